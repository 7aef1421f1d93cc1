"""Use case: a pairing and its brief in; what a client chooses by out: taste, work, cost and allergens.

How long a coat holds stands in the advice that was given; what is here follows from the formulas and the cake alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from webapp.advice import phrases
from webapp.advice.brief import Brief
from webapp.advice.candidates import situation_of
from webapp.advice.kitchen_plan import PlanOptions, plan_kitchen, rings_filling
from webapp.advice.service import Advisor
from webapp.catalogue.composition import allergens
from webapp.decision.criteria import CRITERIA
from webapp.decision.criteria.sweetness import NEAR
from webapp.decision.model import Assessment, Candidate, HoldFacts
from webapp.units import Measures

NAN = float("nan")
# Of a cake that nobody has warmed: neither sweetness nor work reads it, and a sentence about heat would say nonsense.
UNKNOWN_HOLD = HoldFacts(NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, np.zeros(0, dtype=np.bool_))


@dataclass(frozen=True, slots=True)
class PairingFacts:
    """What tells one pairing from another at the tasting table.

    Attributes
    ----------
    sweeter_g
        How much sweeter than asked a forkful with the sponge is [g of sucrose per 100 g]; negative is less sweet.
    sweetness, effort
        The same, and the minutes of one batch of each, in a sentence.
    minutes
        Work for one batch of each [min].
    cost
        Price of the ingredients that coat and filling use up, by the table's pack prices, which name no currency.
    allergens
        Codes of the allergens in coat and filling; the sponge is the baker's own.
    needs_dam
        Whether the filling has to be ringed with the coat.
    """

    sweeter_g: float
    sweetness: str
    minutes: float
    effort: str
    cost: float
    allergens: frozenset[str]
    needs_dam: bool

    @property
    def is_as_asked(self) -> bool:
        """Whether the forkful is about as sweet as the client wants it."""
        return abs(self.sweeter_g) <= NEAR


def pairing_facts(
    advisor: Advisor, brief: Brief, pairing: tuple[str, str], measures: Measures, options: PlanOptions | None = None
) -> PairingFacts | None:
    """Work out what tells a pairing from another; none where one of its formulations is no longer known.

    Raises
    ------
    BriefError
        If one of the brief's own formulas cannot be understood any more.
    """
    knowing = advisor.entering(brief)
    coat, filling = (knowing.catalogue.formulations.get(id_) for id_ in pairing)
    if coat is None or filling is None:
        return None
    candidates = [Candidate(each, knowing.facts[each.id], UNKNOWN_HOLD) for each in (coat, filling)]
    names = phrases.short_names(coat, filling)
    said = {id_: _assess(id_, knowing, brief, candidates) for id_ in ("sweetness", "effort")}
    sentences: Mapping[str, str] = {
        id_: phrases.sentence(CRITERIA[id_].say(assessment, names, measures)) for id_, assessment in said.items()
    }
    needs_dam = rings_filling(coat, filling, brief, knowing.catalogue)
    plan = plan_kitchen(brief, pairing, knowing.catalogue, options or PlanOptions(), needs_dam=needs_dam)
    return PairingFacts(
        sweeter_g=said["sweetness"].measured,
        sweetness=sentences["sweetness"],
        minutes=said["effort"].measured,
        effort=sentences["effort"],
        cost=plan.shopping.used_price,
        allergens=allergens(coat) | allergens(filling),
        needs_dam=needs_dam,
    )


def _assess(criterion: str, advisor: Advisor, brief: Brief, pairing: list[Candidate]) -> Assessment:
    spec = advisor.catalogue.criteria[criterion]
    return CRITERIA[criterion].assess(spec, situation_of(brief, advisor.catalogue), pairing[0], pairing[1])
