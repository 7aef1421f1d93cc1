"""How much of the fat to swap for a firmer one: the least that holds, within the limits, the same when asked alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.firmer_fat import STEPS, fat_swaps, firmer_fat
from webapp.advice.holds import coat_hold
from webapp.advice.service import Advisor
from webapp.advice.wording import write_advice
from webapp.catalogue.model import Catalogue
from webapp.decision.model import HOLDS_FROM
from webapp.kitchen.swaps import swapped
from webapp.units import METRIC

WARM_HALL = {"setting": "indoors", "air_high_c": 26.0, "hold_hours": 6.0}


def found(advisor: Advisor, id_: str, **fields):
    heat, _, decision = advisor.judge(asked(**fields), TODAY)
    coat = next(c for c in decision.screening.coats if c.id == id_)
    return heat, firmer_fat(coat, heat, decision.situation, advisor.softness, advisor.catalogue)


def test_the_least_share_holds_and_a_step_less_does_not(advisor: Advisor, catalogue: Catalogue) -> None:
    heat, firmer = found(advisor, "swiss-butter", **WARM_HALL)
    assert firmer is not None
    assert firmer.chance >= HOLDS_FROM
    less = swapped(catalogue.formulations["swiss-butter"], firmer.swap, catalogue.ingredients, firmer.share - 1 / STEPS)
    hold = coat_hold(replace(less, id="a step less"), heat, advisor.softness, catalogue)
    assert hold.look.chance < HOLDS_FROM


@pytest.mark.parametrize("share", [0.25, 0.5, 0.75])
def test_more_of_a_firmer_fat_never_holds_shorter(advisor: Advisor, catalogue: Catalogue, share: float) -> None:
    heat, _, _ = advisor.judge(asked(**WARM_HALL), TODAY)
    american = catalogue.formulations["american-butter"]
    swap = catalogue.substitutions["butter-to-high-ratio"]
    made = [swapped(american, swap, catalogue.ingredients, s) for s in (share - 0.25, share)]
    named = [replace(formulation, id=f"variant {n} of {share}") for n, formulation in enumerate(made)]
    holds = [coat_hold(formulation, heat, advisor.softness, catalogue) for formulation in named]
    assert holds[0].look.chance <= holds[1].look.chance
    assert holds[0].look.spread.likely <= holds[1].look.spread.likely


def test_asked_as_a_brief_the_firmer_formula_holds(advisor: Advisor) -> None:
    advice = write_advice(advisor.advise(asked(**WARM_HALL), TODAY), METRIC)
    assert advice.taste is not None
    assert advice.taste.firmer is not None
    own = [advice.taste.firmer.model_dump(mode="json")]
    again = write_advice(advisor.advise(asked(**WARM_HALL, own_formulas=own), TODAY), METRIC)
    entered = next(row for row in again.coats if row.formulation == "own-1")
    assert entered.holds


def test_what_the_guests_cannot_eat_is_not_offered(advisor: Advisor, catalogue: Catalogue) -> None:
    _, firmer = found(advisor, "swiss-butter", **WARM_HALL, diet=["soy-free"])
    assert firmer is None or "soy" not in catalogue.ingredients[firmer.swap.with_].allergens


def test_no_share_helps_in_the_noon_sun(advisor: Advisor) -> None:
    _, firmer = found(advisor, "swiss-butter", setting="sun", air_high_c=37.0, hold_hours=5.0, start="12:00")
    assert firmer is None


def test_swaps_of_fat_are_between_kinds_of_fat(catalogue: Catalogue) -> None:
    swaps = list(fat_swaps(catalogue.formulations["american-butter"], catalogue.substitutions, catalogue.ingredients))
    assert swaps
    for swap in swaps:
        kinds = {catalogue.ingredients[id_].fat_kind for id_ in (swap.replaces, swap.with_)}
        assert len(kinds) == 2
        assert None not in kinds
