from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.heat import PartHold, warm_cake
from webapp.advice.holds import CoatHold, coat_hold
from webapp.advice.levers import SHIFTS_K, Lever, stress_of
from webapp.advice.service import Advisor, Record

HOT = {"setting": "sun", "air_high_c": 37.0, "hold_hours": 5.0, "start": "12:00", "colour": "deep"}
BUTTER = {"setting": "shade", "air_high_c": 31.0, "hold_hours": 2.0, "diet": ["soy-free"]}


def levers(record: Callable[..., Record], **fields: Any) -> dict[str, Lever]:
    answer = record(**fields).answer
    assert answer is not None
    return {lever.field: lever for lever in answer.levers}


def test_an_answer_that_holds_needs_no_lever(record: Callable[..., Record]) -> None:
    assert levers(record) == {}


def test_shade_saves_a_coat_from_the_sun(record: Callable[..., Record]) -> None:
    lever = levers(record, **HOT)["setting"]
    assert lever.before == "sun"
    assert lever.after in ("shade", "tent", "indoors")
    assert lever.chance >= 0.9


def test_levers_come_in_the_order_of_what_they_ask(record: Callable[..., Record]) -> None:
    for fields in (HOT, BUTTER, {**BUTTER, "start_c": 20, "air_high_c": 29, "hold_hours": 1}):
        answer = record(**fields).answer
        assert answer is not None
        asks = [lever.ask for lever in answer.levers]
        assert len(asks) > 1
        assert asks == sorted(asks)


def test_each_lever_changes_what_it_says(record: Callable[..., Record]) -> None:
    for lever in levers(record, **HOT).values():
        assert lever.before != lever.after
        assert lever.changes[lever.field] == lever.after
        assert lever.changes == {lever.field: lever.after, **dict(lever.also)}


def chance_with(advisor: Advisor, coat: str, **fields: Any) -> float:
    return advisor.chance_of(advisor.catalogue.formulations[coat], asked(**fields), TODAY)


def test_a_later_start_is_the_first_half_hour_that_will_do(advisor: Advisor, record: Callable[..., Record]) -> None:
    lever = levers(record, **BUTTER)["start"]
    assert isinstance(lever.after, dt.time)
    half_an_hour_before = dt.datetime.combine(TODAY, lever.after) - dt.timedelta(minutes=30)
    assert chance_with(advisor, "american-butter", **{**BUTTER, "start": f"{lever.after:%H:%M}"}) >= 0.9
    assert chance_with(advisor, "american-butter", **{**BUTTER, "start": f"{half_an_hour_before:%H:%M}"}) < 0.9


def test_a_room_is_cooled_no_more_than_needed(advisor: Advisor, record: Callable[..., Record]) -> None:
    warm = {"air_high_c": 31.0, "hold_hours": 3.0, "diet": ["soy-free"]}
    room = levers(record, **warm)["air_high_c"].after
    assert chance_with(advisor, "american-butter", **{**warm, "air_high_c": room}) >= 0.9
    assert chance_with(advisor, "american-butter", **{**warm, "air_high_c": room + 1}) < 0.9


def test_a_low_that_would_be_above_the_room_goes_down_with_it(record: Callable[..., Record]) -> None:
    lever = levers(record, **{**HOT, "air_low_c": 30.0})["setting"]
    if lever.after == "indoors":
        changes = lever.changes
        assert changes["air_low_c"] <= changes["air_high_c"]
    room = levers(record, air_high_c=33, air_low_c=32, hold_hours=6, diet=["soy-free"])["air_high_c"]
    assert room.changes["air_low_c"] == room.after


def test_an_unchilled_cake_is_told_to_be_chilled(record: Callable[..., Record]) -> None:
    lever = levers(record, **{**BUTTER, "air_high_c": 29, "hold_hours": 0.5, "start_c": 24})["start_c"]
    assert 4 <= lever.after < lever.before == 24


def test_a_lighter_colour_helps_only_in_the_sun(record: Callable[..., Record]) -> None:
    sunny = {"setting": "sun", "air_high_c": 24, "hold_hours": 1, "start": "13:00", "colour": "dark"}
    assert levers(record, **sunny)["colour"].after in ("pastel", "white")
    assert "colour" not in levers(record, **{**BUTTER, "colour": "dark"})


def test_a_shorter_display_is_as_long_as_nine_in_ten_reach(record: Callable[..., Record]) -> None:
    given = record(**BUTTER)
    lever = levers(record, **BUTTER)["hold_hours"]
    assert given.answer is not None
    hours = given.answer.hold.look.hours
    assert (hours >= lever.after).mean() >= 0.9 > (hours >= lever.after + 0.25).mean()
    assert lever.after % 0.25 == 0


def test_indoors_there_is_no_later_start(record: Callable[..., Record]) -> None:
    assert "start" not in levers(record, air_high_c=33, hold_hours=6, diet=["soy-free"])


def course(*hours: float) -> CoatHold:
    each = np.array([hours])
    part = PartHold(hours=each, stands=each >= 3, threshold=each, peak=each[0])
    return CoatHold(part, None, part)


def shifted(*by_shift: CoatHold) -> list[CoatHold]:
    assert len(by_shift) == len(SHIFTS_K)
    return list(by_shift)


def test_stress_tells_heat_delay_and_both() -> None:
    fine, hot = course(12, 12, 3.5, 3.5), course(3.5, 3.5, 3.2, 1)
    stress = stress_of(fine, shifted(fine, hot, course(1, 1, 1, 1)), asked(hold_hours=3))
    assert (stress.chance, stress.hotter, stress.later, stress.both) == (1, 0.75, 0.5, 0)


def test_spare_degrees_lie_where_the_chance_falls_to_nine_tenths() -> None:
    sure, half, never = course(*[9] * 10), course(*[9] * 5, *[0] * 5), course(*[0] * 10)
    assert SHIFTS_K == (1.5, 3.0, 6.0)
    # From 1.0 at 1.5 K to 0.5 at 3 K: 0.9 is a fifth of the way.
    assert stress_of(sure, shifted(sure, half, never), asked()).spare_k == pytest.approx(1.8)


def test_spare_degrees_are_unknown_when_it_does_not_hold_or_outlasts_all_that_was_tried() -> None:
    sure, never = course(*[9] * 10), course(*[0] * 10)
    assert stress_of(never, shifted(never, never, never), asked()).spare_k is None
    assert stress_of(sure, shifted(sure, sure, sure), asked()).spare_k is None


def test_a_display_of_twelve_hours_cannot_be_an_hour_later() -> None:
    lasts = course(12, 12)
    assert stress_of(lasts, shifted(lasts, lasts, lasts), asked(hold_hours=12)).later == 1


def test_a_course_that_ends_an_hour_after_the_cutting_tells_the_same_of_it_as_a_whole_one(advisor: Advisor) -> None:
    brief = asked(setting="shade", air_high_c=29, hold_hours=3, start_c=12)
    coat = advisor.catalogue.formulations["american-half-shortening"]
    stress = advisor.advise(brief, TODAY).answer.stress
    hotter = warm_cake(brief, advisor.catalogue, advisor.seed, TODAY, ("american",), shifts_k=(3.0,))
    whole = coat_hold(coat, hotter.shifted(0), advisor.softness, advisor.catalogue).look
    assert 0.1 < stress.both < 1
    assert stress.both == float((whole.hours >= 4.0).mean())
    assert stress.both <= min(stress.hotter, stress.later)
