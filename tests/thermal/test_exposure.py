from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.thermal.exposure import HORIZON_H, course_times, without_leaps


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


@given(st.lists(st.floats(-40, 50), min_size=56, max_size=56), st.floats(0.5, 20))
def test_no_step_has_the_air_leap_and_no_time_is_lost(air, most_k):
    hours = course_times(0.0)
    finer = without_leaps(hours, np.array(air), most_k)
    assert np.isin(hours, finer).all()
    assert np.all(np.diff(finer) > 0)
    assert np.abs(np.diff(np.interp(finer, hours, air))).max() <= most_k * (1 + 1e-9)
    # No more than is needed: of each step as many parts as its change holds.
    assert len(finer) - 1 == sum(max(1, math.ceil(abs(change) / most_k)) for change in np.diff(air))


def test_a_change_of_place_is_no_leap():
    hours = np.array([-1.0, 0.0, 0.0, 1.0])
    assert without_leaps(hours, np.array([20.0, 20.0, 35.0, 36.0])).tolist() == hours.tolist()
