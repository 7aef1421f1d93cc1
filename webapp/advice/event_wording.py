"""Writes down what becomes of the cake at its event: heat to spare, hours out of the fridge, dew, the coat's course."""

from __future__ import annotations

import datetime as dt

import numpy as np

from webapp.advice import phrases
from webapp.advice.contract import CourseOut, FoodClockOut, MoistureOut, StressOut, TierCourseOut
from webapp.advice.food_clock import (
    FRIDGE_C,
    FoodClock,
    food_clock,
    food_clock_short,
    food_clock_words,
    likely_peak,
    on_top_sentence,
)
from webapp.advice.service import Answer, Record
from webapp.thermal.holding import percentiles
from webapp.units import Measures

# A coat this warm has run off: what the model says of one that stayed means nothing to anyone.
MELTED_C = 45.0


def hh_mm(time: dt.time) -> str:
    """Write a time as programs read it, whatever the reader's measures."""
    return f"{time:%H:%M}"


def stress_out(answer: Answer, measures: Measures, has_tiers: bool) -> StressOut:
    """Write how the answer stands when the forecast is wrong and the cutting late."""
    stress = answer.stress
    return StressOut(
        chance=stress.chance,
        hotter=stress.hotter,
        later=stress.later,
        both=stress.both,
        spare_k=stress.spare_k,
        even_k=stress.even_k,
        sentence=phrases.stress_sentence(stress, measures, has_tiers=has_tiers),
    )


def hours_out(record: Record, answer: Answer) -> FoodClock:
    """Count the hours out of the fridge against the rule for homes, for the advised coat."""
    family = answer.pairing.coat.formulation.family.id
    return food_clock(record.brief, record.catalogue, likely_peak(record.heat, family))


def food_clock_out(record: Record, counted: FoodClock, measures: Measures) -> FoodClockOut:
    """Set the hours out of the fridge that the brief asks for beside the rule for homes."""
    brief = record.brief
    rule, then = food_clock_words(counted, brief.start_time, brief.start_c, measures)
    on_top = on_top_sentence(has_dowels=brief.supported and len(brief.tiers) > 1)
    return FoodClockOut(
        out_h=counted.out_h,
        limit_h=counted.limit_h,
        is_longer=counted.is_longer,
        short=food_clock_short(counted),
        sentence=f"{rule} {then} {on_top}",
        rule=rule,
        then=then,
        not_counted=on_top,
        source=record.catalogue.rules["time-out"].source,
    )


def moisture_out(record: Record, answer: Answer, counted: FoodClock) -> MoistureOut:
    """Write how the cold cake sweats, when its box may open, and how its coat forms a crust."""
    sweat, brief = answer.sweat, record.brief
    boxed_h = None if sweat.boxed_h is None else sweat.boxed_h.high + 1 / 12
    stays_too_cold = boxed_h is None or boxed_h > brief.hold_hours / 2
    # Only a box that opens well before the cutting is of use, and before the look and the food rule end.
    lasts_h = brief.hold_hours if record.cut_by_h is None else min(brief.hold_hours, record.cut_by_h)
    if boxed_h is not None and boxed_h > min(lasts_h / 2, counted.left_h):
        boxed_h = None
    is_smoothed = brief.finish == "smooth" and bool(brief.tiers)
    has_time_left = brief.start_c <= FRIDGE_C and counted.out_h + (boxed_h or 0.0) < counted.limit_h
    return MoistureOut(
        amount=sweat.amount,
        minutes=60 * sweat.hours.likely,
        minutes_low=60 * sweat.hours.low,
        minutes_high=60 * sweat.hours.high,
        grams_m2=sweat.grams_m2.likely,
        grams_m2_low=sweat.grams_m2.low,
        grams_m2_high=sweat.grams_m2.high,
        boxed_until=None if boxed_h is None else hh_mm(phrases.later(brief.start_time, boxed_h)),
        sentence=phrases.sweat_sentence(
            sweat,
            boxed_h,
            may_come_earlier=has_time_left,
            stays_too_cold=stays_too_cold,
            has_tiers=bool(brief.tiers),
            has_drive=brief.travel_minutes > 0,
        ),
        crust=phrases.crust_sentence(answer.crust) if is_smoothed else None,
    )


def course_out(record: Record, answer: Answer) -> CourseOut:
    """Read the coat's course on the tier that gets warmest, with its band over the draws."""
    heat = record.heat
    bodies = heat.bodies(answer.pairing.coat.formulation.family.id)
    series = heat.warming.coat if record.brief.piping == "none" else heat.warming.edge
    lows, likely, highs = np.moveaxis(percentiles(series[bodies]), -1, 0)
    end = int(np.searchsorted(heat.warming.hours, max(record.brief.hold_hours, 1.0) + 1.0))
    kept = slice(0, min(end + 1, len(heat.warming.hours)))
    worst = int(np.argmax(likely[:, kept].max(axis=1) + 1e-3 * likely[:, kept].mean(axis=1)))

    def listed(values: np.typing.ArrayLike) -> list[float]:
        return [round(float(v), 3) for v in np.asarray(values)[kept]]

    def told(coat_c: np.typing.ArrayLike) -> list[float]:
        return listed(np.minimum(coat_c, MELTED_C))

    return CourseOut(
        hours=listed(heat.warming.hours),
        coat_c=told(likely[worst]),
        low_c=told(lows[worst]),
        high_c=told(highs[worst]),
        air_c=listed(heat.exposure.air_c),
        tier=heat.tiers[worst],
        tiers=[
            TierCourseOut(tier=tier, coat_c=told(course), low_c=told(low), high_c=told(high))
            for tier, course, low, high in zip(heat.tiers, likely, lows, highs, strict=True)
        ],
    )
