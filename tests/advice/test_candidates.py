from __future__ import annotations

import pytest

from tests.advice.asking import THREE_TIERS, TODAY, asked
from webapp.advice.candidates import COMPUTED, candidates_of, formulation_facts, situation_of
from webapp.advice.heat import warm_cake
from webapp.advice.holds import filling_margin
from webapp.advice.service import Advisor
from webapp.catalogue.composition import compose
from webapp.catalogue.model import Catalogue
from webapp.decision.criteria import CRITERIA
from webapp.decision.model import Candidate


@pytest.fixture(scope="module")
def candidates(advisor: Advisor) -> list[Candidate]:
    book, brief = advisor.catalogue, asked()
    heat = warm_cake(brief, book, 0, TODAY)
    holds = advisor.coat_holds(heat, list(book.formulations.values()))
    margins = {f.id: filling_margin(f, heat, advisor.softness, book) for f in book.formulations.values()}
    return candidates_of(book, advisor.facts, holds, margins, brief)


def test_every_formulation_is_a_candidate_in_the_order_of_the_book(
    candidates: list[Candidate], catalogue: Catalogue
) -> None:
    assert [candidate.id for candidate in candidates] == list(catalogue.formulations)


def test_a_candidate_has_every_number_that_a_criterion_reads(candidates: list[Candidate], catalogue: Catalogue) -> None:
    situation = situation_of(asked(piping="fine", tiers=THREE_TIERS, supported=False), catalogue)
    computed_of_hold = {"threshold", "peak", "hold", "needed"}
    wanted = {
        read.name
        for criterion in CRITERIA.values()
        for read in criterion.reads(situation)
        if read.of != "shared" and read.name not in computed_of_hold
    }
    assert {"firmness", "sweetness", "waxy_fat", "filling_margin"} <= wanted
    assert all(wanted <= set(candidate.facts) for candidate in candidates)


def test_what_the_formula_gives_is_computed_and_says_so(advisor: Advisor) -> None:
    butter = advisor.catalogue.formulations["swiss-butter"]
    facts = formulation_facts(advisor.catalogue, butter, advisor.softness)
    made = compose(butter)
    for name in COMPUTED:
        assert facts[name].value == pytest.approx(getattr(made, name))
        assert (facts[name].basis, facts[name].subject) == ("computed", "swiss-butter")


def test_a_formulation_s_own_property_goes_before_its_family_s(advisor: Advisor) -> None:
    half = advisor.catalogue.formulations["american-half-shortening"]
    facts = formulation_facts(advisor.catalogue, half, advisor.softness)
    assert facts["whiteness"].subject == "american-half-shortening"
    assert facts["takes_colour"].subject == "american"


def test_the_hold_of_a_candidate_has_the_hours_asked_for(candidates: list[Candidate]) -> None:
    assert all(candidate.hold.needed_h == 3 for candidate in candidates)


def test_the_filling_margin_has_its_range_in_kelvin(candidates: list[Candidate]) -> None:
    for candidate in candidates:
        margin = candidate.facts["filling_margin"]
        assert margin.low <= margin.value <= margin.high
        assert margin.unit == "K"


def test_the_masses_follow_from_the_tiers(catalogue: Catalogue) -> None:
    one = situation_of(asked(tiers=[{"width_cm": 20, "height_cm": 12, "layers": 3}], coat_mm=10), catalogue)
    # By hand: two fillings of 6 mm over 314.16 cm2; a ring of 1 cm on the side, 13 cm high, and 1 cm on top.
    assert one.filling_ml == pytest.approx(2 * 314.159 * 0.6, rel=1e-4)
    assert one.coat_ml == pytest.approx((62.832 * 1 + 3.1416) * 13 + 314.159, rel=1e-4)
    assert one.sponge_g == pytest.approx((314.159 * 12 - 376.99) * 0.42, rel=1e-4)


def test_cupcakes_add_their_swirls_and_no_filling(catalogue: Catalogue) -> None:
    cake, both = (situation_of(asked(cupcakes=n), catalogue) for n in (0, 24))
    assert both.filling_ml == cake.filling_ml
    # A cone 65 mm across and 30 mm high holds 33 mL.
    assert (both.coat_ml - cake.coat_ml) / 24 == pytest.approx(33.2, abs=0.2)
    assert both.sponge_g > cake.sponge_g


def test_cupcakes_alone_have_no_tier_and_no_load(catalogue: Catalogue) -> None:
    situation = situation_of(asked(tiers=[], cupcakes=12), catalogue)
    assert (situation.tier_count, situation.load_kpa, situation.filling_ml) == (0, 0, 0)


def test_boards_and_dowels_take_the_load_off_the_filling(catalogue: Catalogue) -> None:
    propped, bare = (situation_of(asked(tiers=THREE_TIERS, supported=s), catalogue) for s in (True, False))
    assert propped.load_kpa == bare.load_kpa > 0
    assert (propped.carried_kpa, bare.carried_kpa) == (0, bare.load_kpa)


def test_a_denser_sponge_weighs_more_on_what_it_stands(catalogue: Catalogue) -> None:
    loads = [situation_of(asked(tiers=THREE_TIERS, sponge=s), catalogue).load_kpa for s in ("light", "butter", "dense")]
    assert loads == sorted(loads)


def test_wishes_and_limits_are_passed_on(catalogue: Catalogue) -> None:
    situation = situation_of(
        asked(sweetness=1, cake_sweetness=5, diet=["vegan"], equipment=[], importance={"heat": 4}), catalogue
    )
    assert situation.wanted_sweetness == catalogue.fact("forkful-sweetness:1", "sweetness")
    assert situation.sponge_sweetness == catalogue.fact("sponge-sweetness:5", "sweetness")
    assert (situation.diet, situation.equipment) == ({"vegan"}, frozenset())
    assert situation.importance == {"heat": 4}


def test_what_is_computed_says_in_which_unit_and_from_what(candidates: list[Candidate]) -> None:
    # Seen to fail: waxy fat without a unit, the margin without what it is.
    units = {name: "g/100g" for name in ("sweetness", "sugar", "fat", "water", "waxy_fat")}
    units |= {"energy_kcal": "kcal/100g", "filling_margin": "K"}
    for candidate in candidates:
        assert {name: candidate.facts[name].unit for name in units} == units
        assert all(candidate.facts[name].locator for name in units)
