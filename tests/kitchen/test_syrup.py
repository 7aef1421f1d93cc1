from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.syrup import (
    SEA_LEVEL_PA,
    air_pressure,
    boiling_point,
    sugar_share_at,
    sugar_share_of,
    water_boils_at,
)


@given(st.floats(0, 0.97), st.floats(0, 4000))
def test_the_sugar_that_a_temperature_tells_is_the_sugar_that_boils_there(share, altitude_m):
    assert sugar_share_at(boiling_point(share, altitude_m), altitude_m) == pytest.approx(share, abs=1e-6)


def test_stronger_syrup_boils_hotter_and_higher_places_cooler():
    by_share = [boiling_point(share) for share in (0, 0.3, 0.6, 0.8, 0.9)]
    by_altitude = [boiling_point(0.86, altitude) for altitude in (-300, 0, 1600, 3000)]
    assert by_share == sorted(by_share)
    assert by_altitude == sorted(by_altitude, reverse=True)


def test_sea_level_has_the_standard_pressure_and_water_its_boiling_point():
    assert air_pressure(0) == SEA_LEVEL_PA
    assert water_boils_at() == boiling_point(0)


def test_there_is_no_sugar_in_what_boils_like_water():
    assert sugar_share_at(water_boils_at() + 1e-7) < 1e-3


@pytest.mark.parametrize("temperature_c", [99.0, 200.0, -5.0])
def test_a_temperature_at_which_no_syrup_boils_is_refused_with_what_is_allowed(temperature_c):
    with pytest.raises(ValueError, match=r"no syrup boils at .*allowed: 100\.0 to "):
        sugar_share_at(temperature_c)


def test_the_syrup_of_a_formula_is_read_from_its_lines_and_is_none_without_any():
    formulas = load_catalogue(Config().data_dir).formulations
    lines = [line for line in formulas["italian-butter"].lines if line.stage == "syrup"]
    sugar = sum(line.grams for line in lines if line.ingredient.id != "water")
    share = sugar / sum(line.grams for line in lines)
    assert sugar_share_of(formulas["italian-butter"]) == pytest.approx(share, abs=0.01)
    assert sugar_share_of(formulas["swiss-butter"]) == 0
