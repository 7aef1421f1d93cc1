from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.thermal.humid import condensing, dew_point, saturation_pressure, vapour_density


def test_saturated_air_has_its_own_temperature_as_dew_point():
    t = np.linspace(-5, 45, 11)
    assert dew_point(t, 100.0) == pytest.approx(t)


@given(st.floats(0, 45), st.floats(5, 100))
def test_dew_point_undoes_the_vapour_pressure(air_c, humidity):
    pressure = saturation_pressure(air_c) * humidity / 100
    # One formula and its inverse: rounding alone.
    assert float(saturation_pressure(dew_point(air_c, humidity))) == pytest.approx(float(pressure), rel=1e-9)


@given(st.floats(5, 45), st.floats(10, 95), st.floats(0.1, 5))
def test_wetter_air_has_a_higher_dew_point(air_c, humidity, more):
    assert float(dew_point(air_c, humidity + more)) > float(dew_point(air_c, humidity))


def test_vapour_density_is_that_of_an_ideal_gas():
    assert float(vapour_density(2339.0, 20.0)) == pytest.approx(2339 / (461.5 * 293.15))


@given(st.floats(15, 40), st.floats(10, 100), st.floats(0, 45))
def test_dew_settles_only_below_the_dew_point(air_c, humidity, surface_c):
    pressure = saturation_pressure(air_c) * humidity / 100
    water = float(condensing(6.0, pressure, air_c, np.array([surface_c]))[0])
    assert water >= 0
    # 1e-6 K: where both pressures are equal rounding decides.
    if surface_c > float(dew_point(air_c, humidity)) + 1e-6:
        assert water == 0
    if surface_c < float(dew_point(air_c, humidity)) - 1e-6:
        assert water > 0


def test_dew_grows_with_the_film():
    cold = np.array([4.0])
    assert condensing(12.0, 2500.0, 30.0, cold)[0] == pytest.approx(
        2 * condensing(6.0, 2500.0, 30.0, cold)[0]
    )
