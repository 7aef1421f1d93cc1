"""Moist air against psychrolib (ASHRAE Fundamentals, Hyland & Wexler) and CoolProp (IAPWS-95)."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI

from webapp.thermal.humid import (
    LATENT_HEAT,
    LEWIS,
    condensing,
    dew_point,
    saturation_pressure,
    vapour_density,
)


@pytest.fixture(autouse=True)
def _si_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


WARM = [(t, rh) for t in range(15, 41, 5) for rh in range(20, 91, 10)]


def above_freezing(pairs):
    """Below 0 °C both libraries give the frost point, another quantity."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    return [(t, rh) for t, rh in pairs if psychrolib.GetTDewPointFromRelHum(t, rh / 100) > 0]


@pytest.mark.parametrize(("air_c", "humidity"), above_freezing(WARM))
def test_dew_point_is_that_of_ashrae_and_coolprop(air_c, humidity):
    found = float(dew_point(air_c, humidity))
    # 0.05 K: a tenth of a class of sweating; the Magnus form reaches 0.03 K here.
    assert found == pytest.approx(psychrolib.GetTDewPointFromRelHum(air_c, humidity / 100), abs=0.05)
    real_gas = HAPropsSI("D", "T", air_c + 273.15, "R", humidity / 100, "P", 101325) - 273.15
    assert found == pytest.approx(real_gas, abs=0.05)


@pytest.mark.parametrize("temperature", range(1, 51, 3))
def test_saturation_pressure_is_that_of_steam_tables(temperature):
    found = float(saturation_pressure(temperature))
    # 0.4 % is the error that the authors of the coefficients give; 0.26 % is the most here.
    assert found == pytest.approx(PropsSI("P", "T", temperature + 273.15, "Q", 0, "Water"), rel=0.004)
    assert found == pytest.approx(psychrolib.GetSatVapPres(temperature), rel=0.004)


@pytest.mark.parametrize("temperature", range(1, 51, 7))
def test_saturation_pressure_is_that_of_iapws_if97(temperature):
    # Region 4 of the industrial formulation, apart from IAPWS-95 above; the same 0.4 %.
    found = float(saturation_pressure(temperature))
    assert found == pytest.approx(PropsSI("P", "T", temperature + 273.15, "Q", 0, "IF97::Water"), rel=0.004)


def test_saturation_pressure_meets_the_printed_check_value_of_iapws_if97():
    # IAPWS R7-97(2012), Table 35: 3.53658941 kPa at 300 K.
    assert float(saturation_pressure(300 - 273.15)) == pytest.approx(3536.58941, rel=0.004)


def test_vapour_density_is_that_of_saturated_steam():
    # 0.5 %: ideal gas and the Magnus form together.
    for temperature in (5, 20, 35):
        steam = PropsSI("D", "T", temperature + 273.15, "Q", 1, "Water")
        assert float(vapour_density(saturation_pressure(temperature), temperature)) == pytest.approx(
            steam, rel=0.005
        )


def test_lewis_factor_follows_from_the_properties_of_air_and_vapour():
    k, rho, cp = (PropsSI(name, "T", 298.15, "P", 101325, "Air") for name in "LDC")
    diffusivity = 2.6e-5  # m2/s, water vapour in air at 25 °C, Incropera & DeWitt, Table A.8
    # 3 %: the diffusivity is given to two digits.
    assert LEWIS == pytest.approx(rho * cp * (k / rho / cp / diffusivity) ** (2 / 3), rel=0.03)


def test_latent_heat_is_that_of_steam_tables():
    steam, water = (PropsSI("H", "T", 293.15, "Q", quality, "Water") for quality in (1, 0))
    assert LATENT_HEAT == pytest.approx(steam - water, rel=0.005)  # taken as constant, 0.2 % off at 20 °C


def test_cold_cake_in_still_humid_air_takes_up_the_hand_worked_dew():
    # 4 °C into still 30 °C and 60 %: rho_v 0.01820 - 0.00637 kg/m3 (steam tables), h_c 5.4 W/(m2 K): 5.4 /
    # 1057 x 0.01183 = 6.04e-5 kg/(m2 s), 148 W/m2 of latent heat. Here both densities are taken at the air's
    # temperature, which makes that of the cold surface 8 % less and the dew 5 % more.
    found = condensing(5.4, 0.6 * saturation_pressure(30.0), 30.0, np.array([4.0]))
    steam = [PropsSI("D", "T", t + 273.15, "Q", 1, "Water") for t in (30, 4)]
    at_air = steam[1] * 277.15 / 303.15
    assert found[0] == pytest.approx(5.4 / 1057 * (0.6 * steam[0] - at_air), rel=0.01)
    assert 1000 * found[0] == pytest.approx(0.060, rel=0.06)
    assert found[0] * LATENT_HEAT == pytest.approx(148, rel=0.06)
