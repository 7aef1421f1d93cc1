"""Water activity against measured saturated sucrose, two models, mass balances and a laboratory's buttercream."""

from __future__ import annotations

from dataclasses import replace

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import FormulaLine
from webapp.config import Config
from webapp.kitchen.water_activity import estimate_water, norrish, solutes_of, starzak_peacock

CATALOGUE = load_catalogue(Config().data_dir)
SUCROSE = solutes_of(CATALOGUE)["sucrose"]


def by_norrish(share):
    return norrish(share, 1 - share, SUCROSE)


def made(base, **grams):
    """A formula of other ingredients and masses under the name of one of ours."""
    lines = [FormulaLine(CATALOGUE.ingredients[name.replace("_", "-")], mass, "beat") for name, mass in grams.items()]
    return replace(CATALOGUE.formulations[base], lines=tuple(lines))


@pytest.mark.parametrize("model", [by_norrish, starzak_peacock])
def test_saturated_sucrose_has_the_measured_activity(model):
    # Greenspan-type saturated solutions at 25 °C: 0.844 (0.836 to 0.851); 67.9 % dissolves.
    assert 0.836 <= model(0.679) <= 0.851
    assert model(0.679) == pytest.approx(0.844, abs=0.002)


@pytest.mark.parametrize(
    ("share", "norrish_gives", "starzak_peacock_gives"),
    # Both equations worked out beforehand in another program, at 25 °C.
    [
        (0.40, 0.9589, 0.9585),
        (0.50, 0.9348, 0.9341),
        (0.60, 0.8953, 0.8947),
        (0.65, 0.8654, 0.8654),
        (0.70, 0.8243, 0.8258),
        (0.75, 0.7658, 0.7709),
        (0.80, 0.6793, 0.6928),
        (0.85, 0.5475, 0.5798),
    ],
)
def test_both_equations_give_what_another_program_gives(share, norrish_gives, starzak_peacock_gives):
    # The last digit given.
    assert by_norrish(share) == pytest.approx(norrish_gives, abs=0.0001)
    assert starzak_peacock(share) == pytest.approx(starzak_peacock_gives, abs=0.0001)


@pytest.mark.parametrize(("share", "apart"), [(0.5, 0.001), (0.6, 0.001), (0.8, 0.014)])
def test_the_two_models_agree_where_formulas_are_and_part_above_them(share, apart):
    # Norrish's constant was fitted to dilute solutions; no formula's water phase is above 68 %.
    assert abs(by_norrish(share) - starzak_peacock(share)) <= apart


@pytest.mark.parametrize(
    ("base", "grams", "expected"),
    # Mass balances of textbook formulas with Norrish's equation, worked out beforehand from SR28.
    [
        ("american-butter", {"powdered_sugar": 454, "butter": 227, "whole_milk": 30}, 0.8433),
        ("american-butter", {"powdered_sugar": 227, "butter": 227, "heavy_cream": 15}, 0.8433),
        ("swiss-butter", {"egg_white": 132, "granulated_sugar": 200, "butter": 410}, 0.9301),
        ("swiss-butter", {"egg_white": 100, "granulated_sugar": 200, "butter": 300}, 0.9020),
        ("italian-butter", {"egg_white": 100, "granulated_sugar": 200, "water": 33, "butter": 300}, 0.9233),
        ("french-butter", {"egg_yolk": 375, "granulated_sugar": 1000, "water": 163, "butter": 1250}, 0.8774),
    ],
)
def test_a_formula_has_the_activity_of_its_mass_balance(base, grams, expected):
    found = estimate_water(made(base, **grams), CATALOGUE).activity
    # 0.003: the other program counted every sugar as sucrose and no other solute.
    assert found.likely == pytest.approx(expected, abs=0.003)
    assert found.low <= expected <= found.high + 0.001


def test_the_laboratorys_swiss_lies_within_the_range():
    # Food Safety Net Services, 2011-12-09: 0.85 for 200 g sugar, 132 g white, 410 g butter, warmed to 160 °F.
    found = estimate_water(made("swiss-butter", egg_white=132, granulated_sugar=200, butter=410), CATALOGUE)
    assert found.activity.low <= 0.85 <= found.activity.high


@pytest.mark.parametrize(("grams", "expected"), [((454, 227, 30), 62.69), ((454, 227, 0.1), 65.23)])
def test_sugar_share_is_that_of_the_mass_balance(grams, expected):
    sugar, butter, milk = grams
    found = estimate_water(made("american-butter", powdered_sugar=sugar, butter=butter, whole_milk=milk), CATALOGUE)
    assert 100 * found.sugar_share == pytest.approx(expected, abs=0.02)  # last digit, with rounding of SR28
