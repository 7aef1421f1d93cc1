from __future__ import annotations

import re

import pytest
from flask import Flask

from webapp.pages.household import household
from webapp.units import METRIC, UK, US, Measures


@pytest.mark.parametrize(
    ("ingredient", "grams", "said"),
    [
        ("butter", 227, "8 oz, about 2 sticks"),
        ("butter", 450, "1 lb, about 4 sticks"),
        ("butter", 127, "4.5 oz, about 1 stick and 1 tbsp"),
        ("granulated-sugar", 300, "11 oz, about 1 ½ cups"),
        ("granulated-sugar", 100, "3.5 oz, about ½ cup"),
        ("egg-white", 165, "5.8 oz, from about 5 large eggs"),
        ("egg-yolk", 17, "0.6 oz, from about 1 large egg"),
        ("aquafaba", 30, "1.1 oz, about 2 tbsp"),
        ("vanilla-extract", 8.4, "about 2 tsp"),
        ("salt", 1, "about ¼ tsp"),
        ("egg-white-pasteurised", 56, "2 oz"),
    ],
)
def test_grams_are_said_as_a_us_kitchen_measures_them(
    app: Flask, ingredient: str, grams: float, said: str
) -> None:
    assert household(app.extensions["catalogue"].ingredients[ingredient], grams, US) == said


@pytest.mark.parametrize("measures", [METRIC, UK], ids=lambda measures: measures.name)
def test_who_weighs_in_grams_is_told_no_cups(app: Flask, measures: Measures) -> None:
    assert household(app.extensions["catalogue"].ingredients["butter"], 227, measures) == ""


@pytest.mark.parametrize("grams", [0.5, 25, 140, 5000])
def test_every_ingredient_can_be_said_and_never_as_nothing(app: Flask, grams: float) -> None:
    for ingredient in app.extensions["catalogue"].ingredients.values():
        assert re.search(r"(?<![\d.])([1-9½¼¾]|0\.)", household(ingredient, grams, US)), ingredient.id
