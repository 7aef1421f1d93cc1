from __future__ import annotations

from dataclasses import replace
from itertools import combinations_with_replacement

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.keeping import (
    STRICTEST,
    cells_touched,
    findings,
    food_code_finding,
    four_hour_rule,
    home_rule,
    six_hour_rule,
    strictest,
)
from webapp.kitchen.water_activity import Range, WaterEstimate, estimate_water

CATALOGUE = load_catalogue(Config().data_dir)
FORMULAS = CATALOGUE.formulations
CELLS = CATALOGUE.food_code


def exactly(value):
    return Range(value, value, value)


def said(id_, **changes):
    water = replace(estimate_water(FORMULAS[id_], CATALOGUE), **changes)
    return {found.rule: found.says for found in findings(FORMULAS[id_], water, CATALOGUE)}


def test_the_strictest_of_two_is_followed_in_any_order():
    for one, other in combinations_with_replacement(STRICTEST, 2):
        assert strictest((one, other)) == strictest((other, one)) == one


def test_a_range_touches_every_cell_from_its_low_to_its_high():
    touched = cells_touched(CELLS, "b", Range(0.9, 0.87, 0.91), exactly(7))
    assert [cell.class_ for cell in touched] == ["non-tcs", "pa", "pa"]


def test_a_range_over_both_classes_is_left_open_and_counts_as_the_fridge():
    found = food_code_finding("b", True, Range(0.87, 0.86, 0.89), exactly(7), CELLS)
    assert found.says == "open"
    assert strictest((found.says, "room")) == "open"


def test_table_a_never_decides_for_a_coat():
    assert {said(id_)["food-code-a"] for id_ in FORMULAS} == {"other"}


@pytest.mark.parametrize(("share", "says"), [(0.651, "room"), (0.65, "fridge"), (0.33, "fridge")])
def test_more_than_65_percent_sugar_is_more_than_65(share, says):
    assert said("american-butter", sugar_share=share)["kansas-sugar"] == says


@pytest.mark.parametrize(
    ("brix", "activity", "says"),
    [
        (exactly(0.66), exactly(0.85), "room"),
        (exactly(0.65), exactly(0.85), "fridge"),
        (exactly(0.66), exactly(0.851), "fridge"),
        (exactly(0.66), Range(0.84, 0.83, 0.851), "open"),
        (Range(0.66, 0.64, 0.67), exactly(0.84), "open"),
    ],
)
def test_minnesota_asks_for_both_brix_and_water_activity(brix, activity, says):
    assert said("american-butter", dissolved_share=brix, activity=activity)["minnesota"] == says


@pytest.mark.parametrize("id_", ["american-shortening", "swiss-butter", "french-butter"])
def test_minnesota_is_written_for_uncooked_dairy_only(id_):
    assert said(id_)["minnesota"] == "other"


@pytest.mark.parametrize("id_", FORMULAS)
def test_egg_goes_in_the_fridge_by_iowa_whatever_its_water(id_):
    has_egg = any("egg" in line.ingredient.allergens for line in FORMULAS[id_].lines)
    dry = said(id_, activity=exactly(0.6))["iowa-activity"]
    assert dry == ("fridge" if has_egg else "room")
    assert said(id_, activity=exactly(0.9))["iowa-activity"] == "fridge"


@pytest.mark.parametrize("id_", FORMULAS)
def test_every_formula_of_ours_is_kept_in_the_fridge(id_):
    assert strictest(said(id_).values()) in ("fridge", "open")


def test_a_dry_and_sugary_frosting_without_egg_passes_every_rule():
    water = WaterEstimate(Range(0.84, 0.83, 0.848), exactly(0.68), 0.67, 0.7)
    rules = findings(FORMULAS["american-butter"], water, CATALOGUE)
    assert strictest(found.says for found in rules) == "room"


@pytest.mark.parametrize(("warmest_c", "hours"), [(21, 2), (32.2, 2), (32.3, 1), (40, 1)])
def test_homes_have_two_hours_and_one_above_90_fahrenheit(warmest_c, hours):
    assert home_rule(warmest_c, CATALOGUE).allows_h == hours


@pytest.mark.parametrize(("start_c", "why"), [(5, ""), (5.1, "start-too-warm")])
def test_four_hours_start_cold(start_c, why):
    rule = four_hour_rule(start_c, CATALOGUE)
    assert (rule.allows_h, rule.why_not) == (4, why)


@pytest.mark.parametrize(
    ("start_c", "food_c", "why"),
    [
        (4, 21, ""),
        (4, 21.1, "gets-too-warm"),
        (8, 20, "start-too-warm"),
        (8, 25, "start-and-gets-too-warm"),
    ],
)
def test_six_hours_start_cold_and_stay_cool(start_c, food_c, why):
    rule = six_hour_rule(start_c, food_c, CATALOGUE)
    assert (rule.allows_h, rule.why_not) == (6, why)


@pytest.mark.parametrize(("warmest_c", "hot_above_c"), [(32.2, None), (32.3, 32.2)])
def test_the_air_above_which_a_home_has_one_hour_is_named_only_where_it_counts(warmest_c, hot_above_c):
    # 90 °F is 32.2 °C. Seen to fail: never named.
    assert home_rule(warmest_c, CATALOGUE).hot_above_c == hot_above_c
