from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.thermal.holding import Spread, hold_hours, percentiles, stands, warmest_so_far

HOURS = np.array([0.0, 1.0, 2.0, 4.0])
RISING = np.array([[10.0], [20.0], [24.0], [26.0]])


def hold(hours, course, *thresholds):
    return hold_hours(np.asarray(hours, float), np.asarray(course, float), np.array([thresholds], float))[0]


def test_crossing_is_read_between_two_times():
    # 15 °C half way through the first hour, 25 °C half way between 2 h and 4 h.
    assert hold(HOURS, RISING, 15, 22, 25) == pytest.approx([0.5, 1.5, 3.0])


def test_threshold_met_exactly_still_holds():
    assert hold(HOURS, RISING, 20.0) == pytest.approx([1.0])
    assert hold(HOURS, RISING, 26.0) == pytest.approx([4.0])


def test_never_reached_is_capped_at_the_horizon():
    assert hold(HOURS, RISING, 40) == pytest.approx([4.0])


def test_too_warm_from_the_start_holds_nothing():
    assert hold(HOURS, RISING, 5) == pytest.approx([0.0])


def test_passed_on_the_way_holds_nothing():
    hours = [-1.0, 0.0, 0.0, 1.0]
    course = [[10.0], [22.0], [22.0], [30.0]]
    assert hold(hours, course, 16, 22, 26) == pytest.approx([0.0, 0.0, 0.5])


def test_plateau_at_the_threshold_holds_until_it_is_left():
    assert hold([0, 1, 2, 3], [[10.0], [20.0], [20.0], [30.0]], 20) == pytest.approx([2.0])


def test_each_course_meets_its_own_thresholds():
    course = np.hstack([RISING, RISING + 5])
    found = hold_hours(HOURS, course, np.array([[15.0, 20.0], [15.0, 20.0]]))
    assert found == pytest.approx(np.array([[0.5, 1.0], [0.0, 0.5]]))


@given(
    st.lists(st.floats(0, 5), min_size=3, max_size=12),
    st.floats(0, 40),
    st.floats(0, 5),
)
def test_higher_threshold_never_shortens_the_hold(rises, threshold, more):
    course = np.cumsum(rises)[:, None]
    low, high = hold(np.arange(len(rises)), course, threshold, threshold + more)
    assert low <= high + 1e-12


def test_worst_body_decides_and_cooling_does_not_restore():
    one, two = [[10.0], [30.0], [20.0]], [[12.0], [15.0], [25.0]]
    assert warmest_so_far(np.array([one, two]))[:, 0] == pytest.approx([12.0, 30.0, 30.0])


def test_spread_is_the_tenth_fiftieth_and_ninetieth_percentile():
    found = Spread.of(np.arange(101.0).reshape(1, 101))
    assert (found.low, found.likely, found.high) == pytest.approx((10, 50, 90))


def test_stands_needs_the_hours_and_an_arrival_in_shape():
    held = np.array([2.0, 3.0, 3.0])
    assert stands(held, np.array([False, False, True]), 3.0).tolist() == [False, True, False]


def test_cut_at_once_needs_only_an_arrival_in_shape():
    assert stands(np.zeros(2), np.array([False, True]), 0.0).tolist() == [True, False]


def test_percentiles_are_those_of_numpy_along_the_last_axis():
    drawn = np.random.default_rng(3).normal(size=(3, 4, 50))
    found = percentiles(drawn)
    assert found.shape == (3, 4, 3)
    assert np.moveaxis(found, -1, 0) == pytest.approx(np.percentile(drawn, (10, 50, 90), axis=-1))
    low, likely, high = found[1, 2]
    assert Spread.of_each([drawn[0, 0], drawn[1, 2].reshape(5, 10)])[1] == Spread(low, likely, high)
