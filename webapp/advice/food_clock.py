"""The clock of food safety beside that of shape: hours out of the fridge against the rule for homes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from webapp.advice.brief import Brief
from webapp.advice.heat import CakeHeat
from webapp.advice.phrases import clock, sentence
from webapp.catalogue.model import Catalogue
from webapp.kitchen.keeping import TimeRule, home_rule
from webapp.units import Measures, duration

DISPLAY = "the start of the display"
DRIVE = "leaving the kitchen"
FRIDGE_C = 8.0  # a coat warmer than this was not in the fridge just before, assumption


@dataclass(frozen=True, slots=True)
class FoodClock:
    """Hours out of refrigeration [h]: as asked, as the rule for homes allows, and what passes before the display.

    ``hot_above_c`` is the air [°C] above which the rule's shorter hours apply; none where its usual ones do.
    ``is_by_coat`` tells that they are taken for the coat's sake, in cooler air. ``setup_h`` [h] is in ``before_h``.
    ``counts_from`` names the moment from which the hours run: what is done cold before it is not in them.
    """

    out_h: float
    limit_h: float
    before_h: float
    hot_above_c: float | None = None
    counts_from: str = DISPLAY
    is_by_coat: bool = False
    setup_h: float = 0.0

    @property
    def is_longer(self) -> bool:
        """Whether more is asked than the rule allows."""
        return self.out_h > self.limit_h

    @property
    def left_h(self) -> float:
        """Hours [h] from the start of the display until the rule's end; 0 or less where it is over by then."""
        return self.limit_h - self.before_h


def likely_peak(heat: CakeHeat, family: str) -> float:
    """Return how warm [°C] a family's coat is likely to get before it is cut, where it gets warmest."""
    return max(float(np.median(heat.peak(place, family))) for place in ("coat", "edge"))


def rule_for_homes(brief: Brief, catalogue: Catalogue, coat_c: float) -> TimeRule:
    """Return the rule for homes in the warmest air that the cake meets, on the way or where it stands.

    ``coat_c`` is how warm the coat is likely to get [°C]: in the sun that can be far above the air.
    """
    on_the_way = [brief.travel_air_c] if brief.travel_minutes else []
    return home_rule(max([brief.warmest_c, *on_the_way]), catalogue, coat_c)


def food_clock(brief: Brief, catalogue: Catalogue, coat_c: float, setup_h: float = 0.0) -> FoodClock:
    """Count the hours that a brief asks for, with a set-up before the display [h], against the rule for homes."""
    rule, before_h = rule_for_homes(brief, catalogue, coat_c), brief.travel_minutes / 60 + setup_h
    counts_from = "the start of setting up" if setup_h else DISPLAY
    if brief.travel_minutes:
        counts_from = DRIVE
    return FoodClock(
        out_h=before_h + brief.hold_hours,
        limit_h=rule.allows_h,
        before_h=before_h,
        hot_above_c=rule.hot_above_c,
        counts_from=counts_from,
        is_by_coat=rule.is_by_coat,
        setup_h=setup_h,
    )


def food_clock_sentence(counted: FoodClock, start: dt.time, start_c: float, measures: Measures) -> str:
    """Say how long the cake is asked to be out of the fridge, until when the rule for homes allows it, what to do."""
    return " ".join(food_clock_words(counted, start, start_c, measures))


def food_clock_words(counted: FoodClock, start: dt.time, start_c: float, measures: Measures) -> tuple[str, str]:
    """Say the rule with its time, then what to do about it: each by itself, for a page that sets them apart."""
    since = f"the fridge, counted from {counted.counts_from}"
    if start_c > FRIDGE_C:
        since = "the kitchen, where its time out began before"
    asked = f"you ask for {duration(counted.out_h)} out of {since}"
    rule = f"the rule for homes is {duration(counted.limit_h)}{_why_so_short(counted, measures)}"
    # The source speaks of the air around the food, not of its surface: an assumption, told as one.
    by_coat = "The rule speaks of the air; to be careful we go by the coat. " if counted.is_by_coat else ""
    if not counted.is_longer:
        return sentence(f"{asked}; {rule}"), f"{by_coat}Your local food code comes first."
    by = "already over on arrival"
    if counted.left_h > 0:
        less = "boxing" if counted.setup_h else "boxing and setting up"
        by = f"serve it before {clock(start, counted.left_h, measures)}, sooner by the time for {less}"
    return (
        sentence(f"{asked}; {rule}, so {by}"),
        f"{by_coat}Keep it cold until later, or ask your local food authority what applies.",
    )


def _why_so_short(counted: FoodClock, measures: Measures) -> str:
    if counted.hot_above_c is None:
        return ""
    above = measures.temperature(counted.hot_above_c)
    return f" above {above}, as the coat is likely to be" if counted.is_by_coat else f", as it is above {above}"


def on_top_sentence(setup_h: float = 0.0, *, has_dowels: bool = True) -> str:
    """Say what a plan of the work counts beyond these hours, of which a set-up [h] may be counted here."""
    work = "boxing, dowels and setting up" if has_dowels else "boxing and setting up"
    if setup_h:
        more = f"Of {work} only {duration(setup_h)} are counted; the rest ends the time sooner"
    else:
        more = f"{work.capitalize()} add to these hours and end the time sooner"
    return f"{more}: the kitchen plan counts all, from the fridge door."


def food_clock_short(counted: FoodClock) -> str:
    """Say the same in a line that fits beside the verdict."""
    if counted.is_longer:
        drive = " with the drive" if counted.counts_from == DRIVE else ""
        rule, planned = duration(counted.limit_h), duration(counted.out_h)
        return f"Out of the cold too long: home food rule {rule}, you plan {planned}{drive}"
    return f"Food rule for homes: {duration(counted.limit_h)}; you ask for {duration(counted.out_h)}"
