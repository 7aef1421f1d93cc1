from __future__ import annotations

import pytest

from webapp.advice.brief import Brief, OwnFormula
from webapp.advice.comparison import pairing_facts
from webapp.advice.service import Advisor
from webapp.catalogue.composition import allergens, compose
from webapp.catalogue.model import Catalogue
from webapp.units import METRIC

BRIEF = Brief(setting="shade", air_high_c=31, sweetness=2)


@pytest.fixture(scope="module")
def advisor(catalogue: Catalogue) -> Advisor:
    return Advisor(catalogue)


def test_the_sweeter_formula_makes_the_sweeter_forkful(advisor: Advisor) -> None:
    known = advisor.catalogue.formulations
    by_sugar = sorted(known, key=lambda id_: compose(known[id_]).sweetness)
    plain, sweet = (pairing_facts(advisor, BRIEF, (id_, id_), METRIC) for id_ in (by_sugar[0], by_sugar[-1]))
    assert plain and sweet and plain.sweeter_g < sweet.sweeter_g
    assert not sweet.is_as_asked and "sweeter than asked" in sweet.sweetness


def test_allergens_are_those_of_both_formulas(advisor: Advisor) -> None:
    known = advisor.catalogue.formulations
    facts = pairing_facts(advisor, BRIEF, ("american-butter", "swiss-butter"), METRIC)
    assert facts and facts.allergens == allergens(known["american-butter"]) | allergens(known["swiss-butter"])


def test_work_and_cost_agree_with_the_criterion_and_with_the_kitchen_plan(advisor: Advisor) -> None:
    from webapp.advice.kitchen_plan import PlanOptions, plan_kitchen

    pair = ("american-butter", "american-butter")
    facts = pairing_facts(advisor, BRIEF, pair, METRIC)
    plan = plan_kitchen(BRIEF, pair, advisor.catalogue, PlanOptions())
    minutes = advisor.catalogue.formulation_fact(advisor.catalogue.formulations["american-butter"], "minutes")
    assert facts and (facts.cost, facts.minutes) == (plan.shopping.used_price, minutes.value)
    assert not facts.needs_dam


def test_a_larger_cake_costs_more_and_is_no_sweeter_by_its_coat(advisor: Advisor) -> None:
    pair = ("american-butter", "swiss-butter")
    wide = Brief.model_validate({"tiers": ({"width_cm": 40.0},), "sweetness": 2})
    small, large = (pairing_facts(advisor, brief, pair, METRIC) for brief in (BRIEF, wide))
    assert small and large and large.cost > small.cost and large.sweeter_g < small.sweeter_g


def test_own_formulas_are_known_by_their_brief_and_others_are_not(advisor: Advisor) -> None:
    own = OwnFormula(name="Mine", family="american", lines=("500 g icing sugar", "250 g butter", "2 tbsp milk"))
    brief = Brief(own_formulas=(own,))
    assert pairing_facts(advisor, brief, ("own-1", "swiss-butter"), METRIC)
    assert pairing_facts(advisor, BRIEF, ("own-1", "swiss-butter"), METRIC) is None
