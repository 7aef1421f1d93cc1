from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from webapp.thermal.exposure import HORIZON_H, MOST_ADDED, MOST_LEAP_K, course_times, without_leaps


def test_display_begins_with_minutes_and_ends_with_half_hours():
    hours = course_times(0.0)
    assert hours[0] == 0
    assert hours[-1] == HORIZON_H
    steps = 60 * np.diff(hours)
    assert steps[:2] == pytest.approx(1)
    assert steps[hours[1:] <= 6].max() <= 15 + 1e-9
    assert steps[-1] == pytest.approx(30)


@given(st.floats(1 / 60, 10), st.floats(0.05, 12), st.integers(1, 4))
def test_course_covers_travel_and_display_in_order(travel_h, horizon_h, refine):
    hours = course_times(travel_h, horizon_h, refine)
    assert hours[0] == pytest.approx(-travel_h)
    assert hours[-1] == pytest.approx(horizon_h)
    assert np.count_nonzero(np.abs(hours) < 1e-12) == 2
    steps = np.diff(hours)
    assert np.count_nonzero(steps <= 1e-12) == 1  # the change of place
    assert steps.max() <= 0.5 / refine + 1e-9


@pytest.mark.parametrize("refine", [2, 3, 8])
def test_refining_splits_every_step(refine):
    coarse, fine = course_times(0.0), course_times(0.0, refine=refine)
    assert fine[::refine] == pytest.approx(coarse)
    assert len(fine) == refine * (len(coarse) - 1) + 1


@pytest.mark.parametrize(("hour", "last"), [(0.5, 0.5), (0.5 + 1e-12, 0.5), (0.4, 0.5), (-0.5, -0.5), (2.0, 1.0)])
def test_a_course_ends_with_the_first_time_that_is_late_enough(make_exposure, hour, last):
    # Seen to fail: one time too few, one too many, a column left as long as it was.
    whole = make_exposure(horizon_h=1.0)
    hours = np.array([-0.5, 0.0, 0.0, 0.5, 1.0])
    course = type(whole)(hours, *(column + np.arange(5.0) for column in (20, 900, 0, 20, 20, 0, 0)), hours <= 0)
    cut = course.until(hour)
    assert cut.hours[-1] == last
    for name in whole.__dataclass_fields__:
        assert getattr(cut, name).tolist() == getattr(course, name)[: len(cut.hours)].tolist()


@given(
    st.lists(st.tuples(st.integers(1, 90), st.floats(-40, 50)), min_size=2, max_size=40),
    st.integers(-300, 300),
    st.sampled_from([0.0, 0.75]),
)
@example([(60, 20), (60, 20), (60, 42), (60, 20)], -20, 0.0)
def test_no_step_has_the_air_leap_and_no_time_is_lost(rows, start_min, travel_h):
    """Seen to fail where the air was looked at on the course's own times alone: up and down again within a step."""
    at_h = (start_min + np.cumsum([minutes for minutes, _ in rows])) / 60
    air = np.array([air_c for _, air_c in rows])
    hours = course_times(travel_h)
    finer = without_leaps(hours, at_h, air)
    assert np.isin(hours, finer).all()
    assert len(finer) <= len(hours) + MOST_ADDED
    assert np.count_nonzero(np.diff(finer) <= 1e-12) == (travel_h > 0)
    # All air of a step lies as near to its ends as is asked: looked at minute by minute.
    many = np.linspace(0, HORIZON_H, 12 * 60 + 1)
    seen = np.interp(many, at_h, air)
    step = np.clip(np.searchsorted(finer, many, side="right"), 1, len(finer) - 1)
    ends = np.interp(finer, at_h, air)
    most = max(MOST_LEAP_K, np.abs(np.diff(air)).sum() / (MOST_ADDED // 2))
    assert (np.abs(seen - ends[step - 1]) <= most + 1e-9).all()


@pytest.mark.parametrize("rise", [0.0, 3.9])
def test_a_usual_day_is_stepped_as_any_other(rise):
    hours = course_times(0.5)
    assert without_leaps(hours, np.arange(-2.0, 14.0), 15 + rise * np.arange(16.0)) is hours


def test_air_that_turns_every_minute_is_stepped_as_any_other():
    hours = course_times(0.0)
    assert without_leaps(hours, np.arange(444) / 60, np.tile([-40.0, 50.0], 222)) is hours
