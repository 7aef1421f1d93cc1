"""Writes a record down as advice, in one reader's measures. Decides nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import get_args

import numpy as np

from webapp.advice import phrases
from webapp.advice.assumed import assumptions
from webapp.advice.brief import Brief, CriterionId, Diet, OwnFormula
from webapp.advice.cautions import cautions_for
from webapp.advice.contract import (
    Advice,
    CautionOut,
    ExcludedOut,
    FactOut,
    HoldOut,
    LearntOut,
    LeverOut,
    Named,
    NothingFitsOut,
    PairingOut,
    PartOut,
    PartsOut,
    RankedOut,
    RankedPairingOut,
    ReasonOut,
    RelaxationOut,
    TasteOut,
)
from webapp.advice.event_wording import (
    MELTED_C,
    course_out,
    food_clock_out,
    hh_mm,
    hours_out,
    moisture_out,
    stress_out,
)
from webapp.advice.firmer_fat import FirmerFat
from webapp.advice.food_clock import FoodClock
from webapp.advice.heat import PartHold
from webapp.advice.levers import Lever
from webapp.advice.own_formulas import as_typed
from webapp.advice.service import Answer, Record, class_of
from webapp.catalogue.model import Catalogue, Fact, Formulation
from webapp.decision.criteria import CRITERIA, value_between
from webapp.decision.limits import Relaxation
from webapp.decision.model import HoldFacts
from webapp.decision.ranking import RankedFormulation, RankedPairing
from webapp.units import Measures, duration

BEST_PAIRINGS = 10
GIVEN_UP_BELOW = 0.5  # of the value of a criterion: less is something given up
_HEAT = ("heat", "hold_time")
TIGHT_K = 1.0  # less heat to spare than this is none that a thermometer shows
WEAK_BELOW = 0.7  # a part less sure than this is named beside the verdict of the coat
_CRITERIA: tuple[CriterionId, ...] = get_args(CriterionId)


def write_advice(record: Record, measures: Measures) -> Advice:
    """Write a record down."""
    answer, brief = record.answer, record.brief
    counted = None if answer is None else hours_out(record, answer)
    advice = Advice(
        verdict=record.verdict,
        headline=_headline(record),
        pairing=None if answer is None else _pairing(record, answer, measures),
        hold=None if answer is None else _hold(answer.pairing.coat.hold),
        parts=None if answer is None else _parts(answer, brief.hold_hours),
        deadline=None if answer is None or counted is None else _deadline(record, answer, counted, measures),
        cut_by=None if record.cut_by_h is None else hh_mm(phrases.later(brief.start_time, record.cut_by_h)),
        coats=[] if answer is None else [_ranked(r) for r in answer.choice.coats],
        fillings=[] if answer is None else [_ranked(r) for r in answer.choice.fillings],
        pairings=[] if answer is None else _pairings(answer),
        excluded=_excluded(record),
        reasons=[] if answer is None else _reasons(record, answer, measures),
        cautions=[CautionOut(id=rule.id, text=rule.sentence, source=rule.source) for rule in cautions_for(record)],
        levers=[] if answer is None else [_lever(lever, brief, measures) for lever in answer.levers],
        assumed=list(assumptions(brief, record.today, measures)),
        taste=None if answer is None else _taste(record, answer, measures),
        stress=None if answer is None else stress_out(answer, measures, bool(brief.tiers)),
        food_clock=None if counted is None else food_clock_out(record, counted, measures),
        moisture=None if answer is None or counted is None else moisture_out(record, answer, counted),
        nothing_fits=_nothing_fits(record),
        course=None if answer is None else course_out(record, answer),
        learnt=_learnt(record),
        sources={},
        brief=brief,
    )
    return advice.model_copy(update={"sources": _sources(advice, record)})


def _learnt(record: Record) -> list[LearntOut]:
    known = record.catalogue.formulations
    return [
        LearntOut(
            formulation=id_,
            name=known[id_].name,
            likely_c=seen.likely_c,
            low_c=seen.low_c,
            high_c=seen.high_c,
            events=seen.events,
        )
        for id_, seen in record.learnt.items()
        if id_ in known
    ]


def _headline(record: Record) -> str:
    if record.answer is None:
        return "Something in this brief has to give: nothing in the book fits it all."
    spare_k = record.answer.stress.spare_k
    return phrases.headline(
        record.verdict,
        record.answer.pairing.coat.hold,
        _weakest(record.answer),
        has_tiers=bool(record.brief.tiers),
        is_tight=spare_k is not None and spare_k < TIGHT_K,
        piping_goes_first=_piping_goes_first(record.answer),
    )


def _piping_goes_first(answer: Answer) -> bool:
    """Tell whether the coat's hold is that of the piping, which is lost before the plain coat."""
    detail, coat = answer.parts.detail, answer.parts.coat
    return detail is not None and detail.spread.likely < coat.spread.likely


def _deadline(record: Record, answer: Answer, counted: FoodClock, measures: Measures) -> str | None:
    brief, fails = record.brief, answer.pairing.hold_class == "fails"
    return phrases.deadline(
        brief.start_time,
        brief.hold_hours,
        record.cut_by_h,
        measures,
        is_failing=fails,
        has_tiers=bool(brief.tiers),
        food_h=counted.left_h if counted.is_longer else None,
    )


def _weakest(answer: Answer) -> tuple[str, PartHold] | None:
    """Return the part that is likelier to give way than to hold although the coat holds, if there is one."""
    parts = {"the stack": answer.parts.stack, "the filling": answer.parts.filling}
    doubtful = {name: part for name, part in parts.items() if part is not None and part.chance < WEAK_BELOW}
    return min(doubtful.items(), key=lambda named: named[1].chance, default=None)


def _named(formulation: Formulation) -> Named:
    return Named(
        formulation=formulation.id,
        name=formulation.name,
        family=formulation.family.id,
        family_name=formulation.family.name,
    )


def _pairing(record: Record, answer: Answer, measures: Measures) -> PairingOut:
    pairing = answer.pairing
    return PairingOut(
        coat=_named(pairing.coat.formulation),
        filling=_named(pairing.filling.formulation),
        score=pairing.score,
        score_low=_share(pairing.score - pairing.doubt),
        score_high=_share(pairing.score + pairing.doubt),
        confidence=answer.choice.confidence,
        confidence_of_coat=answer.choice.confidence_of_coat,
        sure=phrases.sure_sentence(
            pairing.coat.formulation.family.name,
            answer.choice.confidence_of_coat,
            answer.choice.confidence,
            sum(p.is_tied_with_first for p in answer.choice.pairings[1:BEST_PAIRINGS]),
            "outside" if record.brief.tiers else "on top",
            is_failing=pairing.hold_class == "fails",
        ),
        needs_dam=answer.choice.needs_dam(pairing),
        summary=_summary(record, answer, measures),
    )


def _summary(record: Record, answer: Answer, measures: Measures) -> str:
    """Say in one sentence why: where it stands, and what the two halves bring."""
    coat, filling = answer.pairing.coat.formulation, answer.pairing.filling.formulation
    where = phrases.setting_phrase(record.brief, measures)
    outside = phrases.spoken(coat)
    strongest = {
        "holds": "keeps its look",
        "marginal": "is the one most likely to keep its look",
        "fails": "does not hold, but lasts longest",
    }[answer.pairing.hold_class]
    between = "between the layers" if record.brief.tiers else "inside"
    if coat.id == filling.id:
        return f"{outside} {strongest} {where} and goes {between} too, so one recipe does it all."
    return f"{outside} outside {strongest} {where}; {phrases.spoken(filling)} goes {between}."


def _hold(hold: HoldFacts) -> HoldOut:
    return HoldOut(
        needed_h=hold.needed_h,
        likely_h=hold.likely_h,
        low_h=hold.low_h,
        high_h=hold.high_h,
        peak_coat_c=min(hold.peak_c, MELTED_C),
        peak_low_c=min(hold.peak_low_c, MELTED_C),
        peak_high_c=min(hold.peak_high_c, MELTED_C),
        softens_c=hold.threshold_c,
        softens_low_c=hold.threshold_low_c,
        softens_high_c=hold.threshold_high_c,
        chance=hold.chance,
        sentence=phrases.sentence(phrases.hold_phrase(hold)),
    )


def _parts(answer: Answer, needed_h: float) -> PartsOut:
    def part(name: str, held: PartHold) -> PartOut:
        spread = held.spread
        return PartOut(
            likely_h=spread.likely,
            low_h=spread.low,
            chance=held.chance,
            sentence=phrases.part_sentence(name, held, needed_h),
        )

    parts = answer.parts
    return PartsOut(
        coat=part("the coat", parts.coat),
        detail=None if parts.detail is None else part("the piping", parts.detail),
        filling=part("the filling", parts.filling),
        stack=None if parts.stack is None else part("the stack", parts.stack),
    )


def _values(values: dict[str, float]) -> dict[CriterionId, float]:
    return {id_: _share(values[id_]) for id_ in _CRITERIA if id_ in values}


def _share(value: float) -> float:
    """Clear the last digits, which sums of weights leave above 1."""
    return min(1.0, max(0.0, round(value, 9)))


def _ranked(ranked: RankedFormulation) -> RankedOut:
    formulation = ranked.candidate.formulation
    hold = ranked.candidate.hold if ranked.role == "coat" else None
    return RankedOut(
        formulation=formulation.id,
        name=formulation.name,
        family=formulation.family.id,
        family_name=formulation.family.name,
        score=_share(ranked.score),
        score_low=_share(ranked.score - ranked.doubt),
        score_high=_share(ranked.score + ranked.doubt),
        values=_values(ranked.values),
        hold=None if hold is None else _hold(hold),
        holds=None if hold is None else hold.hold_class == "holds",
    )


def _pairings(answer: Answer) -> list[RankedPairingOut]:
    choice = answer.choice
    return [
        RankedPairingOut(
            coat=_named(pairing.coat.formulation),
            filling=_named(pairing.filling.formulation),
            score=_share(pairing.score),
            score_low=_share(pairing.score - pairing.doubt),
            score_high=_share(pairing.score + pairing.doubt),
            hold_class=pairing.hold_class,
            tied_with_first=pairing.is_tied_with_first,
            values=_values(choice.values(pairing)),
        )
        for pairing in choice.pairings[:BEST_PAIRINGS]
    ]


def _excluded(record: Record) -> list[ExcludedOut]:
    rules = record.catalogue.rules
    return [
        ExcludedOut(
            formulation=exclusion.formulation.id,
            name=exclusion.formulation.name,
            family=exclusion.formulation.family.id,
            role=exclusion.role,
            limit=exclusion.limit,
            because=exclusion.because,
            source=rules[exclusion.limit].source,
        )
        for exclusion in record.decision.screening.exclusions
    ]


def _reasons(record: Record, answer: Answer, measures: Measures) -> list[ReasonOut]:
    """Write what every criterion says of the advised pairing, the weightiest first."""
    choice, pairing = answer.choice, answer.pairing
    halves = (pairing.coat.formulation, pairing.filling.formulation)
    names = phrases.short_names(*halves, has_tiers=bool(record.brief.tiers))
    reasons = []
    for id_ in _CRITERIA:
        assessment, spec = choice.assessment(id_, pairing), record.catalogue.criteria[id_]
        least, most = value_between(spec, assessment.low, assessment.high)
        reasons.append(
            ReasonOut(
                criterion=id_,
                title=spec.title,
                role=spec.role,
                text=phrases.sentence(CRITERIA[id_].say(assessment, names, measures)),
                value=_share(assessment.value),
                value_low=_share(least),
                value_high=_share(most),
                weight=_share(choice.weights[id_]),
                speaks="for" if CRITERIA[id_].is_gain(assessment) and assessment.value >= GIVEN_UP_BELOW else "against",
                facts=[_fact(fact) for fact in assessment.facts],
                source=spec.source,
            )
        )
    heat_first = record.brief.is_outdoors or record.verdict != "holds"
    return sorted(reasons, key=lambda r: (r.speaks == "against", heat_first and r.criterion not in _HEAT, -r.weight))


def _fact(fact: Fact) -> FactOut:
    return FactOut(
        subject=fact.subject,
        name=fact.name,
        value=fact.value,
        low=fact.low,
        high=fact.high,
        unit=fact.unit,
        basis=fact.basis,
        source=fact.source,
    )


def _lever(lever: Lever, brief: Brief, measures: Measures) -> LeverOut:
    return LeverOut.model_validate(
        {
            "lever": lever.field,
            "from": _json(lever.before),
            "to": _json(lever.after),
            "also": {field: _json(value) for field, value in lever.also},
            "effect": phrases.lever_effect(lever, brief, measures),
            "verdict": "holds",
        }
    )


def _json(value: object) -> object:
    """Write a field as the brief's JSON has it."""
    if isinstance(value, dt.time):
        return hh_mm(value)
    return list(value) if isinstance(value, tuple) else value


def _taste(record: Record, answer: Answer, measures: Measures) -> TasteOut:
    """Show the pairing that would win on taste and looks alone, and what would let it hold."""
    taste, hold = answer.choice.taste, answer.choice.taste.coat.hold
    is_advised = _same(taste, answer.pairing)
    return TasteOut(
        coat=_named(taste.coat.formulation),
        filling=_named(taste.filling.formulation),
        is_the_advice=is_advised,
        hold=_hold(hold),
        takes=_takes(taste, answer, record.catalogue, is_advised, measures),
        firmer=None if answer.firmer is None else _as_own(answer.firmer, record.catalogue),
    )


def _as_own(firmer: FirmerFat, catalogue: Catalogue) -> OwnFormula:
    new = catalogue.ingredients[firmer.swap.with_].name.partition(" (")[0].lower()
    return as_typed(firmer.formulation, f"{firmer.formulation.family.name}, {round(100 * firmer.share)} % {new}")


def _same(one: RankedPairing, other: RankedPairing) -> bool:
    return (one.row, one.column) == (other.row, other.column)


def _takes(taste: RankedPairing, answer: Answer, catalogue: Catalogue, is_advised: bool, measures: Measures) -> str:
    if is_advised:
        return "It is also the one that would win on taste and looks alone."
    look = answer.taste_hold.look
    if class_of(look.chance) == "holds":
        return "It holds too, and differs too little from the advised one to be told apart."
    assured = float(np.quantile(look.hours, 0.1, method="lower"))
    coolest, warmest = (float(end) - 1 for end in np.quantile(look.threshold, (0.1, 0.9)))
    room = f"in a room no warmer than {measures.temperatures(coolest, warmest)}"
    told = f"It would hold only {room}."
    if assured >= 0.25:
        told = f"Nine cakes in ten would hold if cut within {duration(np.floor(assured * 4) / 4)}; longer only {room}."
    if answer.firmer is None:
        return told
    return f"{told} {phrases.firmer_sentence(answer.firmer, catalogue)}"


def _nothing_fits(record: Record) -> NothingFitsOut | None:
    empty = record.decision.empty
    if empty is None:
        return None
    asked = _listed(empty.limits)
    where = {"coat": "no coat", "filling": "no filling", "both": "no coat and no filling"}[empty.role]
    return NothingFitsOut(
        role=empty.role,
        limits=list(empty.limits),
        text=f"Together, {asked} leave {where}." if len(empty.limits) > 1 else f"{asked} leaves {where}.",
        relaxations=[
            RelaxationOut(
                limits=list(relaxation.limits),
                text=_way_out(relaxation),
                then=list(dict.fromkeys(f.id for f in (*relaxation.coats, *relaxation.fillings))),
            )
            for relaxation in empty.relaxations
        ],
    )


def _way_out(relaxation: Relaxation) -> str:
    coat = phrases.spoken(relaxation.coats[0])
    others = len(relaxation.coats) - 1
    more = "" if not others else " or one other" if others == 1 else f" or {others} others"
    told = f"without {_listed(relaxation.limits)}, {coat}{more} could go outside."
    if set(relaxation.limits) & set(get_args(Diet)):
        return f"Only if it is a wish and no allergy: {told}"
    return told[:1].upper() + told[1:]


def _listed(entries: Iterable[str]) -> str:
    *first, last = (f"“{phrases.labelled(entry)}”" for entry in entries)
    return f"{', '.join(first)} and {last}" if first else last


def _sources(advice: Advice, record: Record) -> dict[str, str]:
    used = [caution.source for caution in advice.cautions]
    used += [] if advice.food_clock is None else [advice.food_clock.source]
    used += [excluded.source for excluded in advice.excluded]
    for reason in advice.reasons:
        used += [reason.source, *(fact.source for fact in reason.facts)]
    known = record.catalogue.sources
    return {key: known[key].citation for key in dict.fromkeys(used) if key in known}
