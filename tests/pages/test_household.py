from __future__ import annotations

import re

import pytest
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st

from webapp.pages.household import TBSP_ML, cups, household, ounces, spoonfuls
from webapp.units import METRIC, UK, US, Measures


@pytest.mark.parametrize(
    ("ingredient", "grams", "said"),
    [
        ("butter", 227, "8 oz, about 2 sticks"),
        ("butter", 450, "15.9 oz, about 4 sticks"),
        ("butter", 540, "1 lb 3 oz, about 4 ¾ sticks"),
        ("butter", 127, "4.5 oz, about 1 stick and 1 tbsp"),
        ("granulated-sugar", 300, "10.6 oz, about 1 ½ cups"),
        ("granulated-sugar", 100, "3.5 oz, about ½ cup"),
        ("egg-white", 165, "5.8 oz, from about 5 large eggs"),
        ("egg-yolk", 17, "0.6 oz, from about 1 large egg"),
        ("aquafaba", 30, "1.1 oz, about 2 tbsp"),
        ("vanilla-extract", 8.4, "about 2 tsp"),
        ("vanilla-extract", 12.4, "about 1 tbsp"),
        ("salt", 1, "about ⅛ tsp"),
        ("egg-white-pasteurised", 56, "2 oz"),
    ],
)
def test_grams_are_said_as_a_us_kitchen_measures_them(app: Flask, ingredient: str, grams: float, said: str) -> None:
    assert household(app.extensions["catalogue"].ingredients[ingredient], grams, US) == said


@pytest.mark.parametrize("measures", [METRIC, UK], ids=lambda measures: measures.name)
def test_who_weighs_in_grams_is_told_no_cups(app: Flask, measures: Measures) -> None:
    assert household(app.extensions["catalogue"].ingredients["butter"], 227, measures) == ""


@pytest.mark.parametrize("grams", [0.5, 25, 140, 5000])
def test_every_ingredient_can_be_said_and_never_as_nothing(app: Flask, grams: float) -> None:
    for ingredient in app.extensions["catalogue"].ingredients.values():
        assert re.search(r"(?<![\d.])([1-9½¼¾⅛]|0\.)", household(ingredient, grams, US)), ingredient.id


@pytest.mark.parametrize(
    ("grams", "said"),
    [(17, "0.6 oz"), (300, "10.6 oz"), (453.6, "1 lb"), (540, "1 lb 3 oz"), (1000, "2 lb 3.3 oz"), (2350, "5 lb 3 oz")],
)
def test_a_weight_is_said_as_a_scale_shows_it(grams: float, said: str) -> None:
    assert ounces(grams) == said


@given(st.floats(57, 20_000))
def test_ounces_are_within_a_hundredth_of_the_grams_from_five_on(grams: float) -> None:
    """Within 3 % from two ounces on. Seen to fail: with whole ounces from ten on, 300 g was 11 oz, 4 % too much."""
    found = re.fullmatch(r"(?:(\d+) lb)? ?(?:([\d.]+) oz)?", ounces(grams))
    assert found is not None
    back = (16 * float(found[1] or 0) + float(found[2] or 0)) * 28.349523125
    assert back == pytest.approx(grams, rel=0.03 if grams < 142 else 0.01)


@pytest.mark.parametrize(
    ("ml", "said"),
    [(3, "½ tsp"), (54, "3 ½ tbsp"), (219, "¾ cup and 3 tbsp"), (240, "1 cup"), (266, "1 cup"), (590, "2 ½ cups")],
)
def test_a_volume_is_said_in_cups_and_spoons(ml: float, said: str) -> None:
    assert cups(ml) == said


@given(st.floats(1, 20_000))
def test_cups_are_said_in_the_right_number_and_never_less_of_more(ml: float) -> None:
    said = cups(ml)
    assert not re.search(r"(?<![\d ½¼¾])1 cups|^[½¼¾] cups|\d+ [½¼¾] cup\b(?!s)", said)


@pytest.mark.parametrize(
    ("tbsp", "said"),
    [(0.02, "¼ tsp"), (0.8, "2 ½ tsp"), (1.6, "4 ¾ tsp"), (2.7, "2 ¾ tbsp"), (5.9, "6 tbsp"), (9.6, "10 tbsp")],
)
def test_what_is_counted_many_times_is_in_spoons(tbsp: float, said: str) -> None:
    assert spoonfuls(tbsp * TBSP_ML) == said


@given(tbsp=st.floats(0.25, 15.9))
def test_spoons_that_are_counted_are_within_a_sixth(tbsp: float) -> None:
    number, unit = spoonfuls(tbsp * TBSP_ML).rsplit(" ", 1)
    quarters = {"¼": 1, "½": 2, "¾": 3}
    parts = sum(quarters.get(part) or 4 * int(part) for part in number.split())
    assert parts / 4 / (3 if unit == "tsp" else 1) == pytest.approx(tbsp, rel=1 / 6)
