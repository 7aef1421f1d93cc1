from __future__ import annotations

from dataclasses import replace

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import FormulaLine
from webapp.config import Config
from webapp.kitchen.water_activity import (
    SUCROSE,
    WaterPhase,
    activity_of,
    estimate_water,
    norrish,
    ross,
    solutes_of,
    starzak_peacock,
    water_phase,
)

CATALOGUE = load_catalogue(Config().data_dir)
SOLUTES = solutes_of(CATALOGUE)
FORMULAS = CATALOGUE.formulations
MOST = 0.679


def with_more(id_, name, grams):
    line = FormulaLine(CATALOGUE.ingredients[name], grams, "beat")
    return replace(FORMULAS[id_], lines=(*FORMULAS[id_].lines, line))


def test_pure_water_has_activity_one():
    assert norrish(0, 100, SOLUTES[SUCROSE]) == 1.0
    assert starzak_peacock(0.0) == 1.0
    assert ross([]) == 1.0


@pytest.mark.parametrize("name", SOLUTES)
def test_more_solute_lowers_the_activity(name):
    activities = [norrish(grams, 100, SOLUTES[name]) for grams in (1, 5, 20)]
    assert activities == sorted(activities, reverse=True)
    assert activities[0] < 1


def test_smaller_molecules_lower_it_more_at_equal_mass():
    assert norrish(20, 100, SOLUTES["salt"]) < norrish(20, 100, SOLUTES["glucose"]) < norrish(20, 100, SOLUTES[SUCROSE])


def test_ross_multiplies_each_solute_in_all_the_water():
    phase = WaterPhase(100, {SUCROSE: 50, "salt": 2})
    expected = norrish(50, 100, SOLUTES[SUCROSE]) * norrish(2, 100, SOLUTES["salt"])
    assert activity_of(phase, SOLUTES, MOST) == pytest.approx(expected)


def test_sugar_beyond_its_solubility_changes_nothing():
    some, more = (activity_of(WaterPhase(10, {SUCROSE: sugar}), SOLUTES, MOST) for sugar in (30, 300))
    assert some == more


@pytest.mark.parametrize("id_", FORMULAS)
def test_the_range_holds_the_likely_value_and_stays_within_zero_and_one(id_):
    activity = estimate_water(FORMULAS[id_], CATALOGUE).activity
    assert 0 < activity.low <= activity.likely <= activity.high < 1


@pytest.mark.parametrize("id_", FORMULAS)
def test_only_american_has_more_sugar_than_its_water_takes_up(id_):
    water = estimate_water(FORMULAS[id_], CATALOGUE)
    assert water.is_saturated == (FORMULAS[id_].family.id == "american")


def test_american_has_a_saturated_water_phase_and_crystals():
    water = estimate_water(FORMULAS["american-butter"], CATALOGUE)
    assert 0.82 <= water.activity.low <= water.activity.high <= 0.86
    assert water.crystals_share == pytest.approx(0.68, abs=0.02)
    assert water.dissolved_share.likely == pytest.approx(MOST, abs=0.005)


def test_fat_has_no_part_in_it():
    more = with_more("swiss-butter", "high-ratio-shortening", 500)
    assert estimate_water(more, CATALOGUE).activity == estimate_water(FORMULAS["swiss-butter"], CATALOGUE).activity


def test_more_water_raises_and_more_sugar_lowers_it():
    usual = estimate_water(FORMULAS["swiss-butter"], CATALOGUE).activity
    assert estimate_water(with_more("swiss-butter", "water", 50), CATALOGUE).activity.likely > usual.likely
    assert estimate_water(with_more("swiss-butter", "beet-sugar", 50), CATALOGUE).activity.likely < usual.likely


def test_the_low_end_leaves_the_water_of_the_fat_in_its_droplets():
    whole, dry = (water_phase(FORMULAS["swiss-butter"], CATALOGUE, fat_water=fat) for fat in (True, False))
    assert whole.water_g - dry.water_g == pytest.approx(450 * 0.1794)
    assert whole.solutes_g[SUCROSE] == dry.solutes_g[SUCROSE]


def test_each_ingredient_holds_as_much_sugar_as_its_solutes_and_no_sugar_is_lost():
    for ingredient in CATALOGUE.ingredients.values():
        named = {name: row.grams for (owner, name), row in CATALOGUE.solutes.items() if owner == ingredient.id}
        sugars = sum(grams for name, grams in named.items() if name != "salt")
        assert sugars in (0, pytest.approx(ingredient.sugar, abs=0.01)), ingredient.id


def test_a_formula_without_water_is_as_dry_as_its_sugar():
    dry = replace(FORMULAS["american-butter"], lines=FORMULAS["american-shortening"].lines[:2])
    shares = estimate_water(dry, CATALOGUE)
    assert 0.8 < shares.activity.likely < 0.86


def test_the_first_water_in_dry_sugar_would_be_saturated():
    # Fat and sugar without any water. Seen to fail: divided by no water.
    sugar, fat = FORMULAS["american-shortening"].lines[:2]
    dry = replace(
        FORMULAS["american-shortening"],
        lines=tuple(replace(n, ingredient=replace(n.ingredient, water=0.0)) for n in (sugar, fat)),
    )
    found = estimate_water(dry, CATALOGUE)
    saturated = CATALOGUE.fact("solute:sucrose-solution", "solubility").value / 100
    assert (found.dissolved_share.low, found.dissolved_share.high) == pytest.approx((saturated, saturated))
    assert found.crystals_share == 1
