from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.thermal.exposure import HORIZON_H, course_times


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
