"""Prepared frostings of USDA SR28, mixed anew from our own ingredients to the same fat and water.

What is left, carbohydrate and energy, is then no input and must come out as SR28 has it.
"""

from __future__ import annotations

import pytest

from tests.outside.test_composition import rows
from webapp.catalogue.composition import Composition, compose
from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Catalogue, FormulaLine, Formulation
from webapp.config import Config

FROSTINGS = rows("prepared_frostings.csv")
by_food = pytest.mark.parametrize("food", FROSTINGS, ids=lambda food: food["ndb"])
# Salt and protein are what SR28's frostings hold beside sugar, fat and water: less than 1 g in 100 g.
CARBOHYDRATE_G = 1.0
# SR28 counts sugar at 3.87 and powdered sugar at 3.90 kcal/g and shortening at 8.84, but some frostings at 4, 9 and 4:
# 4/3.89 and 9/8.84 are 2.8 and 1.8 % more. 3 % covers that and the carbohydrate above.
ENERGY = 0.03


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue(Config().data_dir)


def mixed_to(food: dict[str, str], catalogue: Catalogue) -> Composition:
    """Mix powdered sugar, one fat and water to the fat and the water of a food."""
    fat = catalogue.ingredients[food["fat_from"]]
    fat_g = 100 * float(food["fat_g"]) / fat.fat
    water_g = float(food["water_g"]) - fat_g * fat.water / 100
    grams = {fat.id: fat_g, "water": water_g, "powdered-sugar": 100 - fat_g - water_g}
    lines = tuple(FormulaLine(catalogue.ingredients[id_], mass, "beat") for id_, mass in grams.items())
    american = catalogue.families["american"]
    return compose(Formulation("check", "Check", american, "none", frozenset(), lines, ""))


@by_food
def test_the_mixture_has_the_fat_and_the_water_it_was_mixed_to(catalogue: Catalogue, food: dict[str, str]) -> None:
    """To 0.3 g: the sugar's own trace of water is not counted on."""
    made = mixed_to(food, catalogue)
    assert made.fat == pytest.approx(float(food["fat_g"]), abs=0.01)
    assert made.water == pytest.approx(float(food["water_g"]), abs=0.3)


@by_food
def test_carbohydrate_is_that_of_sr28(catalogue: Catalogue, food: dict[str, str]) -> None:
    made = mixed_to(food, catalogue)
    assert made.sugar + made.starch == pytest.approx(float(food["carbohydrate_g"]), abs=CARBOHYDRATE_G)


@by_food
def test_energy_is_that_of_sr28(catalogue: Catalogue, food: dict[str, str]) -> None:
    assert mixed_to(food, catalogue).energy_kcal == pytest.approx(float(food["energy_kcal"]), rel=ENERGY)


def test_the_factors_explain_the_difference_of_the_plainest_one(catalogue: Catalogue) -> None:
    """With SR28's own factors for 19230 the mixture's energy agrees to 1 %."""
    (food,) = [food for food in FROSTINGS if food["ndb"] == "19230"]
    made = mixed_to(food, catalogue)
    protein, fat, carbohydrate = map(float, food["factors"].split())
    energy = protein * made.protein + fat * made.fat + carbohydrate * (made.sugar + made.starch)
    assert energy == pytest.approx(float(food["energy_kcal"]), rel=0.01)
