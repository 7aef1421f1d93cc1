from __future__ import annotations

import json
from typing import Any

import pytest

from tests.advice.asking import TODAY, asked
from tests.strategies import OWN_RECIPES
from webapp.advice.brief import OwnFormula
from webapp.advice.own_figures import figures_of
from webapp.advice.own_formulas import OwnRecipe, understand
from webapp.advice.phrases import spoken
from webapp.advice.service import Advisor
from webapp.advice.wording import write_advice
from webapp.catalogue.composition import compose
from webapp.catalogue.model import Catalogue, Formulation
from webapp.errors import BriefError
from webapp.units import METRIC

HOT = {"setting": "shade", "air_high_c": 34, "hold_hours": 3}
STURDY = {
    "name": "Summer American",
    "family": "american",
    "lines": [
        "3 cups powdered sugar",
        "1 1/2 cups high-ratio shortening",
        "1/4 cup butter",
        "2 tbsp milk",
        "1 tsp vanilla",
        "a pinch of salt",
    ],
}


def recipe(catalogue: Catalogue, family: str, treatment: str, *lines: str) -> OwnRecipe:
    shape = {"name": "Mine", "family": family, "egg_treatment": treatment, "lines": lines}
    return understand(OwnFormula.model_validate_json(json.dumps(shape)), catalogue)


def typed(formulation: Formulation) -> tuple[str, ...]:
    return tuple(f"{line.grams:g} g {line.ingredient.name}" for line in formulation.lines)


def test_our_own_formulas_typed_back_are_the_same_formulas(catalogue: Catalogue) -> None:
    for ours in catalogue.formulations.values():
        back = recipe(catalogue, ours.family.id, ours.egg_treatment, *typed(ours)).formulation
        assert back is not None, ours.id
        for name in ("water", "fat", "sugar", "sweetness", "energy_kcal", "gas_free_density"):
            assert getattr(compose(back), name) == pytest.approx(getattr(compose(ours), name)), f"{ours.id}: {name}"
        assert compose(back).allergens == compose(ours).allergens
        assert (back.equipment, back.egg_treatment) == (ours.equipment, ours.egg_treatment)


@pytest.mark.parametrize("family", OWN_RECIPES)
def test_a_recipe_in_cups_becomes_a_formulation_of_its_family(catalogue: Catalogue, family: str) -> None:
    treatment, lines = OWN_RECIPES[family]
    found = recipe(catalogue, family, treatment, *lines)
    assert found.formulation is not None
    assert (found.formulation.id, found.formulation.family.id) == ("own-1", family)


def test_a_syrup_keeps_the_water_that_stays_when_it_is_boiled(catalogue: Catalogue) -> None:
    """As in our first Italian formula: 49 g of water with 300 g of sugar, whatever it began with."""
    lines = ("150 g egg whites", "300 g caster sugar", "120 g water", "450 g butter")
    found = recipe(catalogue, "italian", "syrup-cooked", *lines)
    assert found.formulation is not None
    water = next(line.grams for line in found.formulation.lines if line.ingredient.id == "water")
    assert water == pytest.approx(49, abs=0.1)
    assert found.notes == ("Of 120 g water 49 g stay in a syrup boiled to about 86 % sugar.",)


AMERICAN = ("4 cups icing sugar", "1 cup butter")
WHITES, SUGAR, FAT = "4 egg whites", "250 g caster sugar", "340 g butter"


@pytest.mark.parametrize(
    ("family", "treatment", "lines", "part", "says"),
    [
        ("american", "none", ("1 cup butter",), "lines", "of sugar in 100 g"),
        ("american", "none", ("4 cups icing sugar", "4 tbsp milk"), "lines", "nothing that sets"),
        ("american", "none", ("1 g icing sugar", "1 g butter"), "lines", "next to nothing"),
        ("american", "none", ("500 g caster sugar", "250 g butter"), "lines", "does not dissolve"),
        ("american", "none", (*AMERICAN, "2 egg whites"), "family", "no egg"),
        ("swiss", "heated-71c", (SUGAR, FAT), "family", "needs egg whites"),
        ("swiss", "heated-71c", (WHITES, "2 yolks", SUGAR, FAT), "family", "no yolks"),
        ("swiss", "none", (WHITES, SUGAR, FAT), "egg_treatment", "raw egg"),
        ("swiss", "syrup-cooked", (WHITES, SUGAR, FAT), "egg_treatment", "not made so"),
        ("swiss", "pasteurised", (WHITES, SUGAR, FAT), "egg_treatment", "from shell eggs"),
        ("italian", "syrup-cooked", (WHITES, SUGAR, FAT), "lines", "no water"),
        ("french", "syrup-cooked", (WHITES, SUGAR, "60 g water", FAT), "family", "needs egg yolks"),
    ],
)
def test_what_cannot_be_of_the_family_is_refused_with_the_reason(
    catalogue: Catalogue, family: str, treatment: str, lines: tuple[str, ...], part: str, says: str
) -> None:
    found = recipe(catalogue, family, treatment, *lines)
    assert found.formulation is None
    assert any(misfit.part == part and says in misfit.problem for misfit in found.misfits)


def test_headings_are_left_out_and_lines_keep_their_places(catalogue: Catalogue) -> None:
    found = recipe(catalogue, "american", "none", "For the icing:", "4 cups sugar", "1 cup butter")
    assert [place for place, _ in found.problems] == [1]


def test_problems_of_a_brief_name_the_line_and_what_is_allowed(advisor: Advisor) -> None:
    bad = {"name": "Mine", "family": "american", "lines": ["4 cups sugar", "1 cup butter", "200 g mascarpone"]}
    with pytest.raises(BriefError) as refused:
        advisor.advise(asked(own_formulas=[STURDY, bad]), TODAY)
    assert [problem.field for problem in refused.value.problems] == ["own_formulas.1.lines.0", "own_formulas.1.lines.2"]
    assert "square brackets" in refused.value.problems[0].allowed


def test_an_own_formula_in_cups_wins_a_hot_event(advisor: Advisor) -> None:
    ours = advisor.advise(asked(**HOT), TODAY)
    with_own = advisor.advise(asked(**HOT, own_formulas=[STURDY]), TODAY)
    advice = write_advice(with_own, METRIC)
    assert advice.verdict == "holds"
    assert advice.pairing is not None
    assert (advice.pairing.coat.formulation, advice.pairing.coat.name) == ("own-1", "Summer American")
    assert len(advice.coats) == len(write_advice(ours, METRIC).coats) + 1


def test_an_own_formula_is_spoken_of_by_the_name_it_was_given(catalogue: Catalogue) -> None:
    found = recipe(catalogue, "american", "none", *AMERICAN)
    assert found.formulation is not None
    assert spoken(found.formulation) == "American buttercream (“Mine”)"


def test_entering_a_formula_leaves_the_advisor_and_ours_as_they_were(advisor: Advisor) -> None:
    before = write_advice(advisor.advise(asked(**HOT), TODAY), METRIC)
    entered = write_advice(advisor.advise(asked(**HOT, own_formulas=[STURDY]), TODAY), METRIC)
    assert "own-1" not in advisor.catalogue.formulations
    assert write_advice(advisor.advise(asked(**HOT), TODAY), METRIC) == before
    holds = {row.formulation: row.hold for row in entered.coats}
    assert all(holds[row.formulation] == row.hold for row in before.coats)


def test_two_recipes_by_the_same_id_are_not_taken_for_each_other(advisor: Advisor) -> None:
    soft = STURDY | {"lines": ["4 cups powdered sugar", "1 cup butter", "2 tbsp milk"]}
    chances = [_chance(advisor, own) for own in (STURDY, soft, STURDY)]
    assert chances[0] == chances[2] > chances[1]


def _chance(advisor: Advisor, own: dict[str, Any]) -> float:
    advice = write_advice(advisor.advise(asked(**HOT, own_formulas=[own]), TODAY), METRIC)
    return next(row.hold.chance for row in advice.coats if row.formulation == "own-1" and row.hold)


def test_limits_bind_own_formulas_too(advisor: Advisor) -> None:
    advice = write_advice(advisor.advise(asked(diet=["dairy-free"], own_formulas=[STURDY]), TODAY), METRIC)
    assert {row.role for row in advice.excluded if row.formulation == "own-1"} == {"coat", "filling"}


def test_figures_are_those_of_the_formula(advisor: Advisor, catalogue: Catalogue) -> None:
    """The all-butter American typed back softens as ours does, and costs what its grams cost."""
    ours = catalogue.formulations["american-butter"]
    back = recipe(catalogue, "american", "none", *typed(ours)).formulation
    assert back is not None
    figures, known = figures_of(back, advisor), figures_of(ours, advisor)
    assert figures.softens == known.softens
    assert figures.batch_g == pytest.approx(879)
    assert figures.cost == pytest.approx(
        sum(x.grams * x.ingredient.pack_price / x.ingredient.pack_g for x in ours.lines)
    )
    assert figures.softens.low < figures.softens.likely < figures.softens.high


@pytest.mark.parametrize(
    ("own", "field"),
    [
        ({"name": "", "family": "swiss", "lines": ["1 g salt"]}, "own_formulas.0.name"),
        ({"family": "swiss", "lines": ["1 g salt"]}, "own_formulas.0.name"),
        ({"name": "x", "family": "german", "lines": ["1 g salt"]}, "own_formulas.0.family"),
        ({"name": "x", "family": "swiss", "lines": []}, "own_formulas.0.lines"),
        ({"name": "x", "family": "swiss"}, "own_formulas.0.lines"),
        ({"name": "x", "family": "swiss", "lines": ["1 g salt"], "fat": 1}, "own_formulas.0.fat"),
        ({"name": "x", "family": "swiss", "lines": "salt"}, "own_formulas.0.lines"),
        ({"name": "x", "family": "swiss", "lines": ["1 g salt", "y" * 121]}, "own_formulas.0.lines.1"),
        (
            {"name": "x", "family": "swiss", "egg_treatment": "raw", "lines": ["1 g salt"]},
            "own_formulas.0.egg_treatment",
        ),
        ("x", "own_formulas.0"),
    ],
)
def test_a_bad_field_is_named_with_what_is_allowed(own: Any, field: str) -> None:
    with pytest.raises(BriefError) as refused:
        asked(own_formulas=[own])
    assert [problem.field for problem in refused.value.problems] == [field]
    assert all(problem.problem and problem.allowed for problem in refused.value.problems)


def test_at_most_three_of_names_of_their_own() -> None:
    with pytest.raises(BriefError, match="at most 3"):
        asked(own_formulas=[STURDY | {"name": str(n)} for n in range(4)])
    with pytest.raises(BriefError, match="same name"):
        asked(own_formulas=[STURDY, STURDY | {"name": "summer american"}])
