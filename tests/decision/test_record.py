"""Whole decisions over hand-made candidates; a case is a sentence that a baker can check."""

from __future__ import annotations

import pytest

from tests.decision.builders import (
    CRITERIA_SPECS,
    RULES,
    fact,
    situation,
    trade_candidates,
)
from webapp.decision.criteria import CRITERIA
from webapp.decision.record import decide

ALL_DIETS = frozenset({"egg-free", "dairy-free", "vegan", "soy-free", "no-undercooked-egg"})


def advise(*, is_hot: bool = False, **brief):
    return decide(trade_candidates(is_hot=is_hot), situation(**brief), CRITERIA_SPECS, RULES, seed=1)


def wanted(sweetness: float):
    return fact("forkful-sweetness", "sweetness", sweetness, 2.5)


def test_in_summer_heat_american_goes_outside_and_a_meringue_between():
    advised = advise(is_hot=True).choice.advised
    assert advised.coat.id == "american-half-shortening"
    assert advised.filling.formulation.family.id in ("swiss", "italian")


def test_in_a_cool_hall_smooth_and_not_very_sweet_the_coat_is_a_meringue():
    advised = advise(wanted_sweetness=wanted(24)).choice.advised
    assert advised.coat.formulation.family.id in ("swiss", "italian")


def test_barely_sweet_rich_and_without_piping_french_goes_between():
    choice = advise(piping="none", wanted_sweetness=wanted(20), importance={"richness": 5}).choice
    assert choice.advised.filling.id == "french-butter"


def test_richness_without_being_asked_for_does_not_put_french_outside():
    assert advise().choice.advised.coat.id != "french-butter"


def test_without_mixer_and_thermometer_it_is_american_and_the_others_are_out_with_the_reason():
    decision = advise(equipment=frozenset())
    advised = decision.choice.advised
    assert {advised.coat.formulation.family.id, advised.filling.formulation.family.id} == {"american"}
    assert {(e.formulation.family.id, e.limit) for e in decision.screening.exclusions} == {
        (family, "equipment") for family in ("swiss", "italian", "french")
    }


def test_a_very_sweet_cake_for_a_sweet_tooth_is_american_inside_and_out():
    advised = advise(wanted_sweetness=wanted(42)).choice.advised
    assert {advised.coat.formulation.family.id, advised.filling.formulation.family.id} == {"american"}


def test_a_guest_who_avoids_undercooked_egg_gets_american_or_swiss():
    advised = advise(diet=frozenset({"no-undercooked-egg"})).choice.advised
    assert {advised.coat.formulation.family.id, advised.filling.formulation.family.id} <= {
        "american",
        "swiss",
    }


def test_when_nothing_fits_the_record_says_which_limits_did_it():
    decision = advise(diet=ALL_DIETS)
    assert decision.choice is None
    assert decision.empty.role == "both"
    assert decision.empty.limits == ("dairy-free",)
    assert [way.limits for way in decision.empty.relaxations] == [("dairy-free", "vegan")]


def test_the_record_holds_every_criterion_for_every_pairing():
    choice = advise().choice
    assert len(choice.pairings) == 25
    for pairing in choice.pairings:
        assessments = choice.assessments(pairing)
        assert list(assessments) == list(CRITERIA)
        total = sum(choice.weights[id_] * a.value for id_, a in assessments.items())
        assert total == pytest.approx(pairing.score)


def test_the_same_question_gets_the_same_answer():
    def shown(decision):
        choice = decision.choice
        return [(p.coat.id, p.filling.id, p.score) for p in choice.pairings], choice.confidence

    assert shown(advise(is_hot=True)) == shown(advise(is_hot=True))


def test_the_record_tells_when_the_filling_needs_a_dam():
    choice = advise(tier_count=2, load_kpa=0.5, is_supported=False).choice
    needs = {p.filling.id: choice.needs_dam(p) for p in choice.pairings}
    # 5 of 10 are needed under 0.5 kPa; the French one, at 2.5, is out altogether.
    assert needs == {
        "american-butter": False,
        "american-half-shortening": False,
        "swiss-butter": False,
        "italian-butter": False,
    }
    soft = advise().choice
    assert {p.filling.id for p in soft.pairings if soft.needs_dam(p)} == {"french-butter"}


def test_a_decision_keeps_the_situation_it_is_about():
    # Seen to fail: none.
    brief = situation()
    assert decide(trade_candidates(), brief, CRITERIA_SPECS, RULES, seed=1).situation is brief
