from __future__ import annotations

import json

import pytest

from webapp.advice.brief import read_brief
from webapp.advice.kitchen_plan import PlanOptions, plan_kitchen
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.pages.plan_words import batch_words
from webapp.units import METRIC

CATALOGUE = load_catalogue(Config().data_dir)


def method(id_: str) -> str:
    plan = plan_kitchen(read_brief(json.dumps({})), (id_, id_), CATALOGUE, PlanOptions())
    _, steps = batch_words(plan.makings[0], plan, METRIC).steps[0]
    return " ".join(steps)


def test_yolks_are_whipped_and_the_syrup_is_poured_into_them():
    said = method("french-butter")
    assert "Meanwhile whip the yolks until pale and thick. Pour the syrup in at once, in a thin stream" in said
    assert said.index("Boil the sugar") < said.index("Pour the syrup") < said.index("Whip until below")
    assert said.endswith("Only then beat in unsalted butter, soft, bit by bit; last vanilla extract and table salt.")


def test_whites_are_whipped_while_the_syrup_boils():
    assert "whip the whites to soft peaks" in method("italian-butter")


def test_american_is_beaten_without_heat():
    said = method("american-butter")
    assert said.startswith("Beat unsalted butter, soft, until pale. Sift in powdered sugar")
    assert "in three parts on low speed, then whole milk." in said
    assert "Beat until light; last vanilla extract and table salt." in said


@pytest.mark.parametrize("id_", ["swiss-aquafaba-plant", "italian-aquafaba-plant"])
def test_thin_aquafaba_is_boiled_down_before_it_is_weighed(id_):
    said = method(id_)
    assert said.startswith("Aquafaba that runs like water: boil it down")
    assert said.index("Then weigh it") < said.index("sugar")


def test_the_bath_comes_before_the_fat():
    said = method("swiss-butter")
    steps = ("Over simmering water", "Whip until below", "Only then beat in unsalted butter")
    assert [*map(said.index, steps)] == sorted(map(said.index, steps))


@pytest.mark.parametrize("id_", CATALOGUE.formulations)
def test_every_ingredient_of_every_formula_has_its_place_in_the_method(id_):
    said = method(id_).lower()
    for line in CATALOGUE.formulations[id_].lines:
        name = line.ingredient.name.lower()
        # Egg is named by its part; sugar over a bath and a syrup's sugar and water by kind.
        by_kind = {"white": "white", "yolk": "yolk"}.get(line.ingredient.egg_part, name.partition(" (")[0].split()[-1])
        assert name in said or by_kind in said or "stir egg and sugar" in said, name
