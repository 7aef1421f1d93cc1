"""The times of a client's sheet: when the cake leaves the fridge, when food safety ends, when it is to be cut."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.advice.phrases import later


@dataclass(frozen=True, slots=True)
class ServingTimes:
    """Local times of one event, and which of its two clocks ends first.

    ``is_planned`` tells that ``leaves`` is the plan's; else it is the departure, before which boxing counts too.
    ``serve_by`` is none where the advice has no clock for food.
    """

    leaves: dt.time
    planned: dt.time
    serve_by: dt.time | None
    is_planned: bool
    food_ends_first: bool
    is_over_on_arrival: bool
    look_outlasts_food: bool


def serving_times(advice: Advice, brief: Brief, out_before: int | None) -> ServingTimes:
    """Count from the minutes before the display at which the cake leaves the fridge; none: from its departure."""
    before_h = (brief.travel_minutes if out_before is None else max(out_before, brief.travel_minutes)) / 60
    left_h = None if advice.food_clock is None else advice.food_clock.limit_h - before_h
    return ServingTimes(
        leaves=later(brief.start_time, -before_h),
        planned=later(brief.start_time, brief.hold_hours),
        serve_by=None if left_h is None else later(brief.start_time, left_h),
        is_planned=out_before is not None,
        food_ends_first=left_h is not None and left_h < brief.hold_hours,
        is_over_on_arrival=left_h is not None and left_h <= 0,
        look_outlasts_food=left_h is not None and left_h < min(brief.hold_hours, _look_h(advice, brief)),
    )


def _look_h(advice: Advice, brief: Brief) -> float:
    """Return the hours from the start of the display until which the look is promised."""
    if advice.verdict == "no-coat-holds":
        return 0.0
    if advice.verdict == "holds" or advice.cut_by is None:
        return brief.hold_hours
    until = dt.datetime.combine(dt.date.min, dt.time.fromisoformat(advice.cut_by))
    passed = (until - dt.datetime.combine(dt.date.min, brief.start_time)) % dt.timedelta(days=1)
    return passed / dt.timedelta(hours=1)
