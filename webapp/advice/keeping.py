"""Egg and keeping: how a buttercream's egg is cooked, what rules say of its water, how long it may be out.

A use case beside the advice: one or two formulations in, with or without a brief, and everything that is known
about their egg and their keeping out, each statement with the rule or the figure behind it. Nothing here shows a
batch to be pasteurised or to keep; the sentences say so.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from webapp.advice import phrases
from webapp.advice.brief import Brief
from webapp.advice.food_clock import FRIDGE_C, FoodClock, food_clock, food_clock_sentence, likely_peak, on_top_sentence
from webapp.advice.heat import CakeHeat, warm_cake
from webapp.advice.keeping_words import (
    FOLLOWED,
    RULE_TITLES,
    egg_name,
    egg_told,
    finding_told,
    sides_told,
    syrup_told,
)
from webapp.catalogue.model import Catalogue, Fact, Formulation, HeatResistance, Rule
from webapp.kitchen.egg_heat import (
    COOKED_C,
    is_extrapolated,
    reached_temperature,
    slowest_kill,
)
from webapp.kitchen.keeping import (
    Says,
    TimeRule,
    findings,
    four_hour_rule,
    six_hour_rule,
    strictest,
)
from webapp.kitchen.water_activity import Range, WaterEstimate, estimate_water
from webapp.units import Measures, duration

TABLE_C = (55.0, 58.0, 60.0, 63.0, 66.0, COOKED_C)
HELD_MIN = (0.25, 1.0, 3.5)


@dataclass(frozen=True, slots=True)
class Reduction:
    """By how many powers of ten Salmonella falls at one temperature [°C], for each time in ``HELD_MIN``."""

    temperature_c: float
    study: HeatResistance
    sugar_factor: float
    is_extrapolated: bool
    by_time: tuple[Range, ...]


@dataclass(frozen=True, slots=True)
class EggCard:
    """How the egg of one formulation is cooked, and what is known of it."""

    told: tuple[str, ...]
    reached: Range | None
    sugar_share: float
    reductions: tuple[Reduction, ...]


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule with what it says of one formulation."""

    rule: Rule
    title: str
    says: Says
    told: str


@dataclass(frozen=True, slots=True)
class KeepingCard:
    """Everything about the egg and the keeping of one formulation; ``sides`` only where its rules do not agree."""

    formulation: Formulation
    egg: EggCard
    water: WaterEstimate
    ph: Fact
    rules: tuple[RuleRow, ...]
    followed: Says
    sides: tuple[str, ...]
    told: str
    notes: tuple[Rule, ...]
    fridge: Fact
    freezer: Fact


@dataclass(frozen=True, slots=True)
class Step:
    """One stretch of the event's timeline out of the fridge; the air in °C."""

    name: str
    hours: float
    begins: str
    ends: str
    air_c: float


@dataclass(frozen=True, slots=True)
class TimeRow:
    """One rule of time with what it gives this event; ``why_closed`` says in short why it gives nothing."""

    rule: Rule
    title: str
    told: str
    is_enough: bool
    why_closed: str = ""

    @property
    def verdict(self) -> str:
        """What the rule gives, against the hours counted."""
        if self.why_closed:
            return self.why_closed
        return "covers the hours counted above" if self.is_enough else "shorter than the hours counted above"


@dataclass(frozen=True, slots=True)
class OutOfFridge:
    """The event's own timeline [h] against the rules of time, and what comes on top of it."""

    out_h: float
    on_top: str
    steps: tuple[Step, ...]
    rules: tuple[TimeRow, ...]


@dataclass(frozen=True, slots=True)
class AtRisk:
    """Whether a formulation remains for guests at risk, and why."""

    formulation: Formulation
    remains: bool
    because: str

    @property
    def is_undercooked(self) -> bool:
        """Whether its egg counts as undercooked; what else does not remain is barred by the brief's other limits."""
        return self.formulation.egg_treatment == "syrup-cooked"


@dataclass(frozen=True, slots=True)
class Keeping:
    """The whole answer for one buttercream, or for a coat with a filling."""

    cards: tuple[KeepingCard, ...]
    followed: Says
    told: str
    fridge: Fact
    freezer: Fact
    out: OutOfFridge | None
    at_risk: tuple[AtRisk, ...]
    at_risk_told: str
    cautions: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class Event:
    """The brief of an event, the day it is asked on, the set-up before the display [h], what its limits bar."""

    brief: Brief
    today: dt.date
    setup_h: float = 0.0
    barred: Mapping[str, str] | None = None


def keeping_of(
    coat: Formulation, filling: Formulation, catalogue: Catalogue, measures: Measures, event: Event | None = None
) -> Keeping:
    """Return what is known of the egg and the keeping of a coat and its filling; they may be the same."""
    chosen = (coat,) if coat.id == filling.id else (coat, filling)
    altitude_m = 0.0 if event is None else event.brief.altitude_m
    cards = tuple(keeping_card(formulation, catalogue, measures, altitude_m) for formulation in chosen)
    followed = strictest(card.followed for card in cards)
    rows = guests_at_risk(catalogue, measures, {} if event is None else event.barred or {}, altitude_m)
    return Keeping(
        cards=cards,
        followed=followed,
        told=_together(cards, followed),
        fridge=min((card.fridge for card in cards), key=lambda fact: fact.low),
        freezer=min((card.freezer for card in cards), key=lambda fact: fact.low),
        out=None if event is None else out_of_fridge(coat, catalogue, measures, event),
        at_risk=rows,
        at_risk_told=_remaining(chosen, rows),
        cautions=_cautions(chosen, catalogue),
    )


def keeping_card(
    formulation: Formulation, catalogue: Catalogue, measures: Measures, altitude_m: float = 0.0
) -> KeepingCard:
    """Return the egg and the keeping of one formulation, its syrup boiled at an altitude [m]."""
    water, ph = estimate_water(formulation, catalogue), catalogue.formulation_fact(formulation, "ph")
    found = findings(formulation, water, catalogue)
    rows = tuple(
        RuleRow(catalogue.rules[each.rule], RULE_TITLES[each.rule], each.says, finding_told(each, water, ph))
        for each in found
    )
    followed = strictest(row.says for row in rows)
    is_foam = formulation.family.id != "american"
    return KeepingCard(
        formulation=formulation,
        egg=_egg_card(formulation, catalogue, measures, altitude_m),
        water=water,
        ph=ph,
        rules=rows,
        followed=followed,
        sides=sides_told([(row.title, row.says) for row in rows], followed),
        told=FOLLOWED[followed],
        notes=tuple(r for r in catalogue.rules.values() if r.applies_to == "meringue" and is_foam),
        fridge=catalogue.formulation_fact(formulation, "refrigerated_days"),
        freezer=catalogue.formulation_fact(formulation, "frozen_months"),
    )


def _egg_card(formulation: Formulation, catalogue: Catalogue, measures: Measures, altitude_m: float) -> EggCard:
    reached = None
    if formulation.egg_treatment == "syrup-cooked":
        reached = reached_temperature(formulation, catalogue, altitude_m)
    reductions: tuple[Reduction, ...] = ()
    if formulation.egg_treatment in ("syrup-cooked", "heated-71c"):
        reductions = _reductions(formulation, catalogue)
    told = egg_told(formulation, reached, measures)
    if reached is not None:
        told = (*told, syrup_told(formulation, measures, altitude_m))
    return EggCard(told, reached, warm_mix_sugar(formulation), reductions)


def warm_mix_sugar(formulation: Formulation) -> float:
    """Return the sugar over sugar and water [0..1] of the egg with its sugar or syrup, before the fat goes in."""
    mix = [line for line in formulation.lines if line.stage in ("meringue", "yolk-foam", "syrup")]
    sugar = sum(line.grams * line.ingredient.sugar for line in mix)
    water = sum(line.grams * line.ingredient.water for line in mix)
    return sugar / (sugar + water) if sugar + water > 0 else 0.0


def _reductions(formulation: Formulation, catalogue: Catalogue) -> tuple[Reduction, ...]:
    kills = ((at, slowest_kill(formulation, catalogue.pathogens, at)) for at in TABLE_C)
    return tuple(
        Reduction(
            at,
            kill.study,
            kill.sugar_factor,
            is_extrapolated(kill.study, at),
            tuple(kill.log_reduction(held) for held in HELD_MIN),
        )
        for at, kill in kills
        if kill is not None
    )


def _together(cards: Sequence[KeepingCard], followed: Says) -> str:
    if len(cards) == 1:
        return FOLLOWED[followed]
    strict = [card for card in cards if card.followed == followed]
    if len(strict) == len(cards):
        return f"Both buttercreams ask for the same. {FOLLOWED[followed]}"
    return f"{strict[0].formulation.name} decides, as the stricter of the two. {FOLLOWED[followed]}"


def out_of_fridge(coat: Formulation, catalogue: Catalogue, measures: Measures, event: Event) -> OutOfFridge:
    """Count the event's hours out of the fridge against every rule of time."""
    brief, heat = event.brief, _heat_until_cut(coat, catalogue, event)
    peak = _coat_peak(heat, coat)
    counted = food_clock(brief, catalogue, likely_peak(heat, coat.family.id), event.setup_h)
    told = food_clock_sentence(counted, brief.start_time, brief.start_c, measures)
    was_cold = brief.start_c <= FRIDGE_C  # else its time out began before, nobody says when
    is_enough, why_closed = was_cold and not counted.is_longer, "" if was_cold else "its time began before"
    rows = [TimeRow(catalogue.rules["time-out"], "Rule for homes", told, is_enough, why_closed)]
    for rule in (four_hour_rule(brief.start_c, catalogue), six_hour_rule(brief.start_c, peak.high, catalogue)):
        rows.append(_time_row(rule, event, counted, peak, catalogue, measures))
    on_top = on_top_sentence(event.setup_h, has_dowels=brief.supported and len(brief.tiers) > 1)
    return OutOfFridge(counted.out_h, on_top, _steps(event, measures), tuple(rows))


def coat_peak(coat: Formulation, catalogue: Catalogue, event: Event) -> Range:
    """Return the warmest [°C] that the coat gets until the cake is cut, with its range over the draws."""
    return _coat_peak(_heat_until_cut(coat, catalogue, event), coat)


def _heat_until_cut(coat: Formulation, catalogue: Catalogue, event: Event) -> CakeHeat:
    hours = min(12.0, event.brief.hold_hours + event.setup_h)
    brief = event.brief.model_copy(update={"hold_hours": hours})
    return warm_cake(brief, catalogue, 0, event.today, (coat.family.id,), until_h=hours)


def _coat_peak(heat: CakeHeat, coat: Formulation) -> Range:
    low, likely, high = np.quantile(heat.peak("coat", coat.family.id), (0.05, 0.5, 0.95))
    return Range(float(likely), float(low), float(high))


def _time_row(
    rule: TimeRule, event: Event, counted: FoodClock, peak: Range, catalogue: Catalogue, measures: Measures
) -> TimeRow:
    title = f"Food Code, {rule.allows_h:g} hours"
    told = _why_not(rule, event, peak, catalogue, measures)
    if not rule.why_not:
        until = phrases.clock(event.brief.start_time, rule.allows_h - counted.before_h, measures)
        enough = "within it" if counted.out_h <= rule.allows_h else "more than it allows"
        told = f"Until {until}; counted here {duration(counted.out_h)}, {enough}. {told}".strip()
    is_enough = not rule.why_not and counted.out_h <= rule.allows_h
    why_closed = "not open to this event" if rule.why_not else ""
    return TimeRow(catalogue.rules[rule.rule], title, told, is_enough, why_closed)


def _why_not(rule: TimeRule, event: Event, peak: Range, catalogue: Catalogue, measures: Measures) -> str:
    told = []
    if rule.why_not.startswith("start"):
        start_at_most = catalogue.fact(f"out:{rule.rule}", "start_at_most").value
        told.append(
            f"Not open to this event: the cake leaves at {measures.temperature(event.brief.start_c)}, and this way "
            f"starts at {measures.temperature(start_at_most)} or colder."
        )
    if rule.rule == "six-hours":
        most = measures.temperature(catalogue.fact("out:six-hours", "food_at_most").value)
        warm = f"{measures.temperature(peak.likely)} ({measures.temperatures(peak.low, peak.high)})"
        if rule.why_not.endswith("gets-too-warm"):
            told.append(f"Not open to this event: the coat is estimated to reach {warm}, and this way ends at {most}.")
        else:
            told.append(f"The coat is estimated to reach {warm}; measure that it stays at {most} or below.")
    return " ".join(told)


def _steps(event: Event, measures: Measures) -> tuple[Step, ...]:
    brief, travel_h = event.brief, event.brief.travel_minutes / 60
    stretches = [
        ("Leaves the kitchen: on the road", travel_h, brief.travel_air_c),
        ("Set-up", event.setup_h, brief.warmest_c),
        ("On display until cut", brief.hold_hours, brief.warmest_c),
    ]
    steps, at_h = [], -travel_h - event.setup_h
    for name, hours, air_c in stretches:
        begins, at_h = at_h, at_h + hours
        begin, end = (phrases.clock(brief.start_time, at, measures) for at in (begins, at_h))
        steps.append(Step(name, hours, begin, end, air_c))
    return tuple(steps)


def guests_at_risk(
    catalogue: Catalogue, measures: Measures, barred: Mapping[str, str], altitude_m: float = 0.0
) -> tuple[AtRisk, ...]:
    """Return which formulations remain for guests at risk: those that remain first, in the catalogue's order.

    ``barred`` says by formulation why the brief's other limits rule it out.
    """
    rows = [_at_risk(each, catalogue, measures, barred, altitude_m) for each in catalogue.formulations.values()]
    return tuple(sorted(rows, key=lambda row: not row.remains))


def _at_risk(
    formulation: Formulation, catalogue: Catalogue, measures: Measures, barred: Mapping[str, str], altitude_m: float
) -> AtRisk:
    if formulation.egg_treatment == "syrup-cooked":
        reached = reached_temperature(formulation, catalogue, altitude_m)
        about = "" if reached is None else f", about {measures.temperature(reached.likely)} by a heat balance"
        because = f"Its {egg_name(formulation)} meet only hot syrup{about}: not shown to be pasteurised."
        return AtRisk(formulation, False, because)
    if formulation.id in barred:
        return AtRisk(formulation, False, barred[formulation.id])
    reasons = {
        "none": "There is no egg in it.",
        "pasteurised": f"Its {egg_name(formulation)} are bought pasteurised.",
        "heated-71c": f"Its {egg_name(formulation)} are heated with the sugar to {measures.temperature(COOKED_C)}: "
        "only where a thermometer shows it in every batch.",
    }
    return AtRisk(formulation, True, reasons[formulation.egg_treatment])


def _remaining(chosen: Sequence[Formulation], rows: Sequence[AtRisk]) -> str:
    """Say whether what was chosen remains, and what of its family does where it does not."""
    remains = {row.formulation.id: row.remains for row in rows}
    lost = [formulation for formulation in chosen if not remains.get(formulation.id, False)]
    if not lost:
        return "What you chose stands in the first list."
    told = []
    for formulation in lost:
        kin = [r.formulation.name for r in rows if r.remains and r.formulation.family.id == formulation.family.id]
        instead = f"of its family there is {' or '.join(kin)}" if kin else "none of its family is"
        told.append(f"{formulation.name} is not for them; {instead}.")
    return " ".join(told)


def _cautions(chosen: Sequence[Formulation], catalogue: Catalogue) -> tuple[Rule, ...]:
    occasions = {"always", "perishable"}
    if any(formulation.egg_treatment != "none" for formulation in chosen):
        occasions |= {"egg", "egg-table"}
    if any(line.stage == "syrup" for formulation in chosen for line in formulation.lines):
        occasions.add("syrup")
    if any(formulation.egg_treatment == "syrup-cooked" for formulation in chosen):
        occasions.add("syrup-cooked-egg")
    if any(line.ingredient.id == "aquafaba" for formulation in chosen for line in formulation.lines):
        occasions.add("aquafaba")
    first = [catalogue.rules["planning-help"]] if "planning-help" in catalogue.rules else []
    rest = [r for r in catalogue.rules.values() if r.kind != "limit" and r.applies_to in occasions]
    return tuple(dict.fromkeys((*first, *rest)))
