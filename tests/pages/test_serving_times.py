from __future__ import annotations

import datetime as dt

import pytest

from tests.pages.sample_advice import sample_advisor
from webapp.advice.brief import Brief, Tier
from webapp.advice.contract import Advice
from webapp.pages.serving_times import serving_times
from webapp.units import METRIC


@pytest.fixture
def brief() -> Brief:
    return Brief(tiers=(Tier(width_cm=20),), air_high_c=24, hold_hours=3, start=dt.time(15), travel_minutes=30)


@pytest.fixture
def advice(brief: Brief) -> Advice:
    return sample_advisor(brief, METRIC)  # two hours by the rule for homes


@pytest.mark.parametrize(
    ("out_before", "leaves", "serve_by", "is_late", "is_over"),
    [
        (90, dt.time(13, 30), dt.time(15, 30), True, False),
        (150, dt.time(12, 30), dt.time(14, 30), True, True),
        (None, dt.time(14, 30), dt.time(16, 30), True, False),
        (10, dt.time(14, 30), dt.time(16, 30), True, False),  # no plan leaves later than the road allows
    ],
)
def test_food_counts_from_the_fridge(
    brief: Brief,
    advice: Advice,
    out_before: int | None,
    leaves: dt.time,
    serve_by: dt.time,
    is_late: bool,
    is_over: bool,
) -> None:
    times = serving_times(advice, brief, out_before)
    assert (times.leaves, times.serve_by, times.planned) == (leaves, serve_by, dt.time(18))
    assert (times.food_ends_first, times.is_over_on_arrival) == (is_late, is_over)
    assert times.is_planned == (out_before is not None)


def test_a_short_display_ends_before_the_food_does(advice: Advice) -> None:
    short = Brief(tiers=(Tier(width_cm=20),), air_high_c=24, hold_hours=1, start=dt.time(15))
    times = serving_times(advice, short, 30)
    assert not times.food_ends_first and not times.look_outlasts_food


@pytest.mark.parametrize(
    ("verdict", "cut_by", "outlasts"),
    [("holds", None, True), ("marginal", "17:00", True), ("marginal", "15:10", False), ("no-coat-holds", None, False)],
)
def test_the_look_outlasts_the_food_only_where_it_is_promised(
    brief: Brief, advice: Advice, verdict: str, cut_by: str | None, outlasts: bool
) -> None:
    changed = advice.model_copy(update={"verdict": verdict, "cut_by": cut_by})
    assert serving_times(changed, brief, 90).look_outlasts_food is outlasts


def test_an_advice_without_a_clock_for_food_names_no_time(brief: Brief, advice: Advice) -> None:
    times = serving_times(advice.model_copy(update={"food_clock": None}), brief, 90)
    assert times.serve_by is None and not times.food_ends_first
