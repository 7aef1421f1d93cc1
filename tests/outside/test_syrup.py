"""Boiling points of water and syrup against IAPWS, a standard atmosphere, textbook tables and the stages of sugar."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI

from webapp.kitchen.syrup import (
    air_pressure,
    boiling_point,
    saturation_pressure,
    specific_heat,
    sugar_share_at,
    water_boils_at,
)
from webapp.units import METRES_PER_FOOT, celsius


@pytest.mark.parametrize("temperature_c", [1, 20, 50, 80, 95, 100, 120, 150])
def test_saturation_pressure_is_that_of_iapws_95(temperature_c):
    # 0.01 %: the auxiliary equation against the equation of state that it was fitted to.
    kelvin = temperature_c + 273.15
    assert saturation_pressure(temperature_c) == pytest.approx(PropsSI("P", "T", kelvin, "Q", 0, "Water"), rel=1e-4)


@pytest.mark.parametrize(("kelvin", "mpa"), [(300, 0.353658941e-2), (500, 2.63889776), (600, 12.3443146)])
def test_saturation_pressure_is_that_of_the_iapws_if97_check_values(kelvin, mpa):
    # IAPWS R7-97(2012), Table 35; 0.05 %: two formulations of the same water.
    assert saturation_pressure(kelvin - 273.15) / 1e6 == pytest.approx(mpa, rel=5e-4)


@pytest.mark.parametrize(
    ("altitude_m", "pascal", "boils_c"),
    # ISO 2533 and the IAPWS-IF97 saturation line, worked out beforehand.
    [
        (0, 101325, 99.97),
        (500, 95461, 98.31),
        (1000, 89875, 96.65),
        (1500, 84556, 94.98),
        (1524, 84307, 94.90),
        (2000, 79495, 93.32),
        (2286, 76713, 92.36),
        (3000, 70109, 89.97),
        (4000, None, 86.62),
        (5000, None, 83.25),
    ],
)
def test_water_boils_at_altitude_as_the_standard_atmosphere_says(altitude_m, pascal, boils_c):
    if pascal is not None:
        assert air_pressure(altitude_m) == pytest.approx(pascal, rel=1e-4)
    assert water_boils_at(altitude_m) == pytest.approx(boils_c, abs=0.01)  # last digit given


@pytest.mark.parametrize(("feet", "boils_f"), [(2000, 208), (5000, 202), (7500, 198)])
def test_water_boils_at_altitude_as_food_services_say(feet, boils_f):
    # fsis-altitude: 208 °F at 2000 ft, about 198 °F at 7500 ft. csu-candy: 1 °F less for each 500 ft, 202 at 5000 ft.
    # Whole degrees of a rule: 1 °F, and 0.2 K more where the rule is rounded down for all altitudes alike.
    assert water_boils_at(feet * METRES_PER_FOOT) == pytest.approx(celsius(boils_f), abs=5 / 9 + 0.2)


@pytest.mark.parametrize(
    ("feet", "low_f", "high_f"),
    # csu-candy, its table of sugar stages: soft ball at sea level 234 to 240 °F, and the same syrup higher up.
    [(5000, 224, 230), (7500, 219, 225)],
)
def test_soft_ball_syrup_boils_at_altitude_as_the_table_of_an_extension_service_says(feet, low_f, high_f):
    # 1.5 °F: the table goes by 2 °F for each 1000 ft, in whole degrees.
    for at_sea_level_f, higher_f in ((234, low_f), (240, high_f)):
        syrup = sugar_share_at(celsius(at_sea_level_f))
        assert boiling_point(syrup, feet * METRES_PER_FOOT) == pytest.approx(celsius(higher_f), abs=1.5 * 5 / 9)


@pytest.mark.parametrize(
    ("percent", "boils_c"),
    # Starzak & Peacock's equation, worked out beforehand in another program.
    [
        (10, 100.14), (20, 100.37), (30, 100.68), (40, 101.12), (50, 101.80), (60, 102.91), (65, 103.77),
        (70, 104.96), (75, 106.72), (80, 109.44), (82, 110.96), (84, 112.87), (85, 113.99), (86, 115.27),
        (88, 118.36), (90, 122.40), (92, 127.78), (95, 139.37),
    ],
)  # fmt: skip
def test_syrup_boils_where_another_program_has_it(percent, boils_c):
    # 0.04 K: the other program let plain water boil at 100.00 °C, IAPWS at 99.97.
    assert boiling_point(percent / 100) == pytest.approx(boils_c, abs=0.04)


@pytest.mark.parametrize(
    ("percent", "boils_c", "within"),
    # A table of food-science texts, from memory: 0.3 K is how coarse it is, 0.6 K at 70 %, where it stands apart.
    [
        (10, 100.1, 0.3), (20, 100.3, 0.3), (30, 100.6, 0.3), (40, 101.0, 0.3), (50, 101.8, 0.3), (60, 103.0, 0.3),
        (70, 105.5, 0.6), (80, 109.4, 0.3), (90.8, 122.6, 2.0),
    ],
)  # fmt: skip
def test_syrup_boils_about_where_textbooks_have_it(percent, boils_c, within):
    # At 90.8 % the texts are 1.7 K below the equation: the table's last row runs ahead of every model.
    assert boiling_point(percent / 100) == pytest.approx(boils_c, abs=within)


@pytest.mark.parametrize(("percent", "boils_c", "apart"), [(50, 102.0, 0.3), (80, 112.0, 2.7), (90, 127.8, 5.5)])
def test_an_old_handbook_runs_hotter_by_what_is_known(percent, boils_c, apart):
    # Browne (1912) lies above both the equation and the textbooks, more so the stronger the syrup; it is not followed.
    assert 0 < boils_c - boiling_point(percent / 100) <= apart


@pytest.mark.parametrize(
    ("temperature_c", "percent"),
    [(112, 83.15), (114.4, 85.33), (115, 85.80), (116, 86.52), (118, 87.79), (120, 88.88), (121, 89.37)],
)
def test_sugar_at_a_temperature_is_that_of_another_program(temperature_c, percent):
    assert 100 * sugar_share_at(temperature_c) == pytest.approx(percent, abs=0.03)


def test_soft_ball_is_about_85_percent_sugar():
    # The stage table of confectionery: soft ball 112 to 116 °C (234 to 240 °F) is 85 % sugar, firm ball 87 % at
    # 118 to 120 °C, hard ball 90 % at 121 to 130 °C. 2 points: a stage is a span of temperatures.
    assert 85 == pytest.approx(100 * (sugar_share_at(112) + sugar_share_at(116)) / 2, abs=2)
    assert 87 == pytest.approx(100 * (sugar_share_at(118) + sugar_share_at(120)) / 2, abs=2)
    assert 90 == pytest.approx(100 * (sugar_share_at(121) + sugar_share_at(130)) / 2, abs=2)


@pytest.mark.parametrize(("feet", "low_f", "high_f"), [(2000, 230, 236), (5000, 224, 230), (7500, 219, 225)])
def test_soft_ball_at_altitude_is_as_cool_as_the_extension_table_says(feet, low_f, high_f):
    # The same sugar as at 234 to 240 °F by the sea. 1.2 K: the table drops 2 °F for each 1000 ft, rounded.
    shares = [sugar_share_at(celsius(f)) for f in (234, 240)]
    found = [boiling_point(share, feet * METRES_PER_FOOT) for share in shares]
    assert found == pytest.approx([celsius(low_f), celsius(high_f)], abs=1.2)


@pytest.mark.parametrize(("percent", "temperature_c", "expected"), [(60, 20, 2.77), (86, 90, 2.61)])
def test_specific_heat_is_that_of_the_manual(percent, temperature_c, expected):
    # Bubnik and others, Sugar Technologists Manual; the last digit given.
    assert specific_heat(percent / 100, temperature_c) == pytest.approx(expected, abs=0.006)
