from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.advice.asking import THREE_TIERS
from webapp.advice.contract import Advice
from webapp.advice.event_wording import MELTED_C

GARDEN = {"setting": "shade", "air_high_c": 31.0, "hold_hours": 3.0, "tiers": THREE_TIERS}
RED_NOON = {"setting": "sun", "air_high_c": 37.0, "hold_hours": 5.0, "start": "12:00", "colour": "deep"}


def test_the_course_runs_past_the_cutting_on_the_tier_that_decides(advice: Callable[..., Advice]) -> None:
    course = advice(**GARDEN, travel_minutes=30).course
    assert course is not None
    assert course.hours[0] == pytest.approx(-0.5)
    assert 4 <= course.hours[-1] <= 5
    assert course.tier == "top tier"
    lengths = {len(x) for x in (course.hours, course.coat_c, course.low_c, course.high_c, course.air_c)}
    assert len(lengths) == 1
    assert all(low <= mid <= high for low, mid, high in zip(course.low_c, course.coat_c, course.high_c, strict=True))


@pytest.mark.parametrize(
    ("fields", "may_come_earlier"),
    [
        ({"tiers": [], "cupcakes": 48, "hold_hours": 1}, True),
        ({"tiers": [], "cupcakes": 48, "hold_hours": 1.9}, False),
        ({"tiers": [], "cupcakes": 48, "hold_hours": 1, "start_c": 9, "humidity_pct": 70}, False),
        ({**GARDEN, "travel_minutes": 45}, False),
    ],
    ids=["time left", "over by then", "out of the fridge before", "over"],
)
def test_coming_earlier_is_said_only_where_the_food_rule_leaves_the_time(
    advice: Callable[..., Advice], fields: dict[str, Any], may_come_earlier: bool
) -> None:
    # Seen to fail: told beside "out of the cold too long".
    told = advice(**fields).moisture
    assert told is not None and "in their shut box" in told.sentence.replace("it in its", "them in their")
    assert ("that much earlier" in told.sentence) == may_come_earlier


@pytest.mark.parametrize("fields", [RED_NOON, {"setting": "sun", "air_high_c": 27, "hold_hours": 3}])
def test_no_box_is_advised_that_opens_when_the_look_is_nearly_lost(
    advice: Callable[..., Advice], fields: dict[str, Any]
) -> None:
    # Seen to fail: 20 to 50 min in the box for piping that holds 10 min.
    told = advice(**fields)
    assert told.moisture is not None and told.moisture.amount != "none"
    assert told.moisture.boxed_until is None
    assert "would take up time that it has not" in told.moisture.sentence


def test_no_box_is_advised_that_opens_when_the_food_rule_is_over(advice: Callable[..., Advice]) -> None:
    # Seen to fail: 40 min to 1 h 25 min in the box, of which the rule for homes leaves 10 min.
    cold_drive = {"travel_minutes": 110, "travel_c": 5}
    told = advice(**cold_drive, air_high_c=24, humidity_pct=70, hold_hours=4, piping="none")
    assert told.verdict == "holds"  # else the look alone would keep the box shut
    assert told.moisture is not None and told.moisture.amount == "sweat"
    assert told.moisture.boxed_until is None


def test_no_course_is_told_beyond_where_the_coat_has_run_off(advice: Callable[..., Advice]) -> None:
    # Seen to fail: up to 71 °C beside a peak of "45 °C or more".
    course = advice(**RED_NOON).course
    assert course is not None
    assert max(course.high_c) == MELTED_C
    assert all(max(*tier.coat_c, *tier.low_c, *tier.high_c) <= MELTED_C for tier in course.tiers)
