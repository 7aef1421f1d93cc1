from __future__ import annotations

import pytest

from webapp.catalogue.composition import batch_mass, compose
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.label import Nutrition, in_falling_order, mixed_per_100_g, nutrition_per_100_g

CATALOGUE = load_catalogue(Config().data_dir)
FORMULATIONS = list(CATALOGUE.formulations.values())
by_name = pytest.mark.parametrize("formulation", FORMULATIONS, ids=lambda each: each.id)


@by_name
def test_ingredients_fall_by_weight_and_add_up(formulation) -> None:
    listed = in_falling_order(formulation, 500.0)
    masses = [each.grams for each in listed]
    assert masses == sorted(masses, reverse=True)
    assert sum(masses) == pytest.approx(500)
    assert {each.ingredient.id for each in listed} == {line.ingredient.id for line in formulation.lines}


def test_an_ingredient_is_named_once_however_often_it_goes_in() -> None:
    listed = in_falling_order(CATALOGUE.formulations["italian-butter-shortening"], 100.0)
    assert [each.ingredient.id for each in listed].count("water") == 1


def test_a_compound_ingredient_names_its_parts() -> None:
    listed = {each.ingredient.id: each for each in in_falling_order(CATALOGUE.formulations["american-butter"], 100.0)}
    assert listed["powdered-sugar"].parts == ("sugar", "corn starch")
    assert listed["salt"].parts == ()


@by_name
def test_nutrition_is_that_of_the_composition(formulation) -> None:
    made, numbers = compose(formulation), nutrition_per_100_g(formulation)
    assert numbers.energy_kcal == pytest.approx(made.energy_kcal)
    assert numbers.carbohydrate == pytest.approx(made.sugar + made.starch)
    assert numbers.energy_kj == pytest.approx(4.184 * made.energy_kcal)
    assert numbers.fat + numbers.carbohydrate + numbers.protein < 100


def test_a_mixture_weighs_its_parts() -> None:
    rich, lean = Nutrition(500, 40, 30, 28, 4), Nutrition(300, 10, 50, 30, 6)
    mixed = mixed_per_100_g([(rich, 100), (lean, 300)])
    assert mixed == Nutrition(350, 17.5, 45, 29.5, 5.5)
    assert mixed.times(0.5).energy_kcal == 175


def test_a_batch_in_other_amounts_is_the_same_food() -> None:
    formulation = CATALOGUE.formulations["swiss-butter"]
    whole = in_falling_order(formulation, batch_mass(formulation))
    assert [each.grams for each in whole][:2] == [450, 300]
