"""The main use case: a brief in, a record of the whole decision out.

The record is made while computing and holds no sentences; :mod:`webapp.advice.wording` writes it down.
"""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from webapp.advice.brief import Brief
from webapp.advice.candidates import candidates_of, formulation_facts, situation_of
from webapp.advice.contract import Verdict
from webapp.advice.event import clock_hours
from webapp.advice.firmer_fat import FirmerFat, firmer_fat
from webapp.advice.heat import CakeHeat, PartHold, warm_cake
from webapp.advice.holds import CoatHold, coat_hold, coat_holds, filling_hold, filling_margins, stack_hold
from webapp.advice.levers import LATER_H, SHIFTS_K, Lever, Stress, find_levers, stress_of
from webapp.advice.moisture import Crust, Sweat, crust_of, sweat_of
from webapp.advice.own_formulas import own_formulations
from webapp.advice.softness import Softness
from webapp.catalogue.model import Catalogue, Fact, Formulation
from webapp.decision.limits import screen
from webapp.decision.model import HOLDS_FROM, MARGINAL_FROM, Candidate, HoldClass
from webapp.decision.ranking import RankedPairing
from webapp.decision.record import Choice, Decision, decide
from webapp.thermal.exposure import HORIZON_H
from webapp.thermal.posterior import Posterior

VERDICTS: dict[HoldClass, Verdict] = {"holds": "holds", "marginal": "marginal", "fails": "no-coat-holds"}


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Each part of the cake with its own clock."""

    coat: PartHold
    detail: PartHold | None
    filling: PartHold
    stack: PartHold | None


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """What is known about the advised pairing beyond the decision."""

    choice: Choice
    hold: CoatHold
    parts: Parts
    taste_hold: CoatHold
    firmer: FirmerFat | None
    levers: tuple[Lever, ...]
    stress: Stress
    sweat: Sweat
    crust: Crust

    @property
    def pairing(self) -> RankedPairing:
        """The advised pairing."""
        return self.choice.advised


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """Everything that was considered for one brief."""

    brief: Brief
    today: dt.date
    catalogue: Catalogue
    decision: Decision
    heat: CakeHeat
    answer: Answer | None
    learnt: Mapping[str, Posterior] = field(default_factory=dict)

    @property
    def verdict(self) -> Verdict:
        """The verdict of the advised coat."""
        return "nothing-fits" if self.answer is None else VERDICTS[self.answer.pairing.hold_class]

    @property
    def cut_by_h(self) -> float | None:
        """Hours after the arrival until which it keeps its look with chance 0.9; none if it outlasts the horizon."""
        return None if self.answer is None else assured_hours(self.answer.hold)


def assured_hours(hold: CoatHold) -> float | None:
    """Return the hours [h] that nine draws in ten reach, or none when that is the whole horizon."""
    hours = float(np.quantile(hold.look.hours, 1 - HOLDS_FROM, method="lower"))
    return None if hours >= HORIZON_H - 1e-6 else hours


class Advisor:
    """Gives advice from one catalogue; keeps what does not depend on the brief."""

    def __init__(self, catalogue: Catalogue, seed: int = 0) -> None:
        self.catalogue = catalogue
        self.seed = seed
        self.softness = Softness(catalogue, seed)

    @cached_property
    def facts(self) -> dict[str, dict[str, Fact]]:
        """Every property of every formulation."""
        return {
            id_: formulation_facts(self.catalogue, f, self.softness) for id_, f in self.catalogue.formulations.items()
        }

    def advise(self, brief: Brief, today: dt.date) -> Record:
        """Advise on a brief. The same brief, catalogue, seed, day and what was learnt always give the same record.

        Raises
        ------
        BriefError
            If one of the brief's own formulas cannot be understood or is not of its family.
        """
        advisor = self.entering(brief)
        heat, holds, decision = advisor.judge(brief, today)
        answer = None if decision.choice is None else advisor._answer(heat, holds, decision.choice, today)
        return Record(brief, today, advisor.catalogue, decision, heat, answer, advisor.softness.learnt)

    def entering(self, brief: Brief) -> Advisor:
        """Return an advisor that knows the brief's own formulas too; this one where there are none.

        Raises
        ------
        BriefError
            If one of them cannot be understood or is not of its family.
        """
        return self.knowing(own_formulations(brief, self.catalogue)) if brief.own_formulas else self

    def knowing(self, formulations: tuple[Formulation, ...]) -> Advisor:
        """Return an advisor with some formulations more; what is known of ours is shared and not worked out anew."""
        more = {formulation.id: formulation for formulation in formulations}
        made = copy.copy(self)
        made.catalogue = replace(self.catalogue, formulations={**self.catalogue.formulations, **more})
        made.softness = self.softness.of_catalogue(made.catalogue)
        facts = {id_: formulation_facts(made.catalogue, each, made.softness) for id_, each in more.items()}
        made.__dict__["facts"] = self.facts | facts
        return made

    def learning(self, learnt: Mapping[str, Posterior]) -> Advisor:
        """Return an advisor that takes some formulations to soften as events taught; this one is left as it is."""
        made = copy.copy(self)
        made.softness = self.softness.learning(learnt)
        return made

    def judge(self, brief: Brief, today: dt.date) -> tuple[CakeHeat, dict[str, CoatHold], Decision]:
        """Warm the cake of a brief and decide; return the heat, every coat's hold and the decision."""
        heat = warm_cake(brief, self.catalogue, self.seed, today)
        every = list(self.catalogue.formulations.values())
        holds, margins = self.coat_holds(heat, every), filling_margins(every, heat, self.softness, self.catalogue)
        candidates = candidates_of(self.catalogue, self.facts, holds, margins, brief)
        situation = situation_of(brief, self.catalogue)
        return heat, holds, decide(candidates, situation, self.catalogue.criteria, self.catalogue.rules, self.seed)

    def coat_holds(self, heat: CakeHeat, formulations: list[Formulation]) -> dict[str, CoatHold]:
        """Return how long each of some formulations holds as the coat."""
        return coat_holds(formulations, heat, self.softness, self.catalogue)

    def chance_of(self, coat: Formulation, brief: Brief, today: dt.date) -> float:
        """Return the chance that one coat holds under a brief."""
        heat = warm_cake(brief, self.catalogue, self.seed, today, (coat.family.id,), until_h=brief.hold_hours)
        return coat_hold(coat, heat, self.softness, self.catalogue).look.chance

    def holds_if_hotter(self, heat: CakeHeat, coat: Formulation, today: dt.date) -> list[CoatHold]:
        """Return how long one coat holds in air that is hotter by each of ``SHIFTS_K``, with the same moisture."""
        brief, stepped = heat.brief, SHIFTS_K[1:]
        together = warm_cake(
            brief,
            self.catalogue,
            self.seed,
            today,
            (coat.family.id,),
            shifts_k=stepped,
            until_h=brief.hold_hours + LATER_H,
        )
        hotter = [together.shifted(place) for place in range(len(stepped))]
        courses = [heat.halfway(hotter[0]), *hotter]
        return [coat_hold(coat, course, self.softness, self.catalogue) for course in courses]

    def _answer(self, heat: CakeHeat, holds: dict[str, CoatHold], choice: Choice, today: dt.date) -> Answer:
        coat, filling = choice.advised.coat.formulation, choice.advised.filling.formulation
        hold = holds[coat.id]
        parts = Parts(
            coat=hold.coat,
            detail=hold.detail,
            filling=filling_hold(coat, filling, heat, self.softness, self.catalogue),
            stack=stack_hold(coat, filling, heat, self.softness, self.catalogue),
        )
        eligible = [ranked.candidate.formulation for ranked in choice.coats]
        return Answer(
            choice=choice,
            hold=hold,
            parts=parts,
            taste_hold=holds[choice.taste.coat.id],
            firmer=self._firmer(heat, choice),
            levers=find_levers(self, heat.brief, eligible, holds, today),
            sweat=sweat_of(coat, heat, self.catalogue, self.seed, today),
            crust=crust_of(coat, heat.brief.humidity_pct, self.catalogue),
            stress=stress_of(hold, self.holds_if_hotter(heat, coat, today), heat.brief),
        )

    def _firmer(self, heat: CakeHeat, choice: Choice) -> FirmerFat | None:
        """Return what would let the coat hold that would win on taste, where it does not."""
        coat, situation = choice.taste.coat, choice.matrix.grid.situation
        if coat.hold.hold_class == "holds":
            return None
        return firmer_fat(coat, heat, situation, self.softness, self.catalogue)


def class_of(chance: float) -> HoldClass:
    """Return the class of a chance of holding."""
    if chance >= HOLDS_FROM:
        return "holds"
    return "marginal" if chance >= MARGINAL_FROM else "fails"


def advise(brief: Brief, catalogue: Catalogue, *, today: dt.date, seed: int = 0) -> Record:
    """Advise on one brief with a catalogue; for many briefs keep an :class:`Advisor`."""
    return Advisor(catalogue, seed).advise(brief, today)


__all__ = ["Advisor", "Answer", "Candidate", "Parts", "Record", "advise", "clock_hours", "screen"]
