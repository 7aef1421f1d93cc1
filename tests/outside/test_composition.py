"""Composition against published figures: USDA SR28, Choi and Okos 1986; each source beside its check."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tests.catalogue.conftest import copy_data
from webapp.catalogue.composition import compose
from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Catalogue, FormulaLine, Formulation

HERE = Path(__file__).parent


def rows(file: str) -> list[dict[str, str]]:
    lines = (HERE / file).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    return load_catalogue(copy_data(tmp_path_factory.mktemp("data")))


@pytest.mark.parametrize("food", rows("usda_sr28.csv"), ids=lambda food: food["ingredient"])
def test_an_ingredient_is_as_in_usda_sr28(catalogue: Catalogue, food: dict[str, str]) -> None:
    ingredient = catalogue.ingredients[food["ingredient"]]
    assert f"NDB {food['ndb']}" in ingredient.locator
    assert ingredient.water == float(food["water_g"])
    assert ingredient.fat == float(food["fat_g"])
    assert ingredient.protein == float(food["protein_g"])
    assert ingredient.sugar == float(food["sugars_g"] or 0)
    assert ingredient.starch == float(food["starch_g"] or 0)
    assert ingredient.energy_kcal == float(food["energy_kcal"])
    assert (ingredient.household_measure, ingredient.household_g) == (
        food["measure"],
        float(food["measure_g"]),
    )


def test_every_ingredient_said_to_be_from_sr28_is_checked(catalogue: Catalogue) -> None:
    checked = {food["ingredient"] for food in rows("usda_sr28.csv")}
    assert {name for name, item in catalogue.ingredients.items() if item.source == "usda-sr28"} == checked


@pytest.mark.parametrize("check", rows("mass_balance.csv"), ids=lambda check: check["name"])
def test_a_textbook_formula_gives_the_mass_balance_of_sr28(
    catalogue: Catalogue, check: dict[str, str]
) -> None:
    """To 0.01 g and 0.01 kcal: the figures are printed with two decimals."""
    parts = [part.split(":") for part in check["formula"].split(" ")]
    lines = tuple(FormulaLine(catalogue.ingredients[name], float(grams), "beat") for name, grams in parts)
    family = catalogue.families[check["family"]]
    composition = compose(Formulation("check", "Check", family, "none", frozenset(), lines, ""))
    for name in ("water", "fat", "sugar", "protein", "energy_kcal"):
        assert getattr(composition, name) == pytest.approx(float(check[name]), abs=0.01), name


def test_energy_agrees_with_the_general_factors(catalogue: Catalogue) -> None:
    """4, 9 and 4 kcal/g (Atwater, as in 21 CFR 101.9); SR28 has specific factors, which 4 % covers."""
    for formulation in catalogue.formulations.values():
        made = compose(formulation)
        general = 4 * made.protein + 9 * made.fat + 4 * (made.sugar + made.starch)
        assert made.energy_kcal == pytest.approx(general, rel=0.04)


def test_densities_agree_with_choi_and_okos(catalogue: Catalogue) -> None:
    """Component densities at 20 °C [g/mL], Choi and Okos 1986; 4 % covers dissolved against solid sugar.

    What is counted as other is taken as ash where it is mineral; vanilla is left out for its alcohol.
    """
    density = {"water": 0.9957, "protein": 1.3195, "fat": 0.9172, "sugar": 1.5929, "starch": 1.5929}
    for name, item in catalogue.ingredients.items():
        if item.other > 10:
            continue
        parts = {part: getattr(item, part) for part in density}
        volume = sum(mass / density[part] for part, mass in parts.items()) + item.other / 1.5929
        total = sum(parts.values()) + item.other
        assert item.density_g_ml == pytest.approx(total / volume, rel=0.04), name
