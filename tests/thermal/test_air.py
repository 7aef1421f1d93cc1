from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.thermal.air import diurnal_air

DAY = np.arange(0.0, 24.0, 1 / 60)


@given(
    low=st.floats(-10, 30),
    swing=st.floats(0, 20),
    sunrise=st.floats(4, 8),
    day_h=st.floats(9, 17),
)
def test_air_stays_between_the_days_low_and_high(low, swing, sunrise, day_h):
    found = diurnal_air(DAY, low, low + swing, sunrise, sunrise + day_h)
    assert found.min() >= low - 1e-9
    assert found.max() <= low + swing + 1e-9
    # The maximum falls on the grid of minutes: the sine is flat there, a thousandth of the swing is 20
    # minutes off.
    assert found.max() >= low + swing - 1e-3 * swing - 1e-9


def test_warmest_hour_is_mid_afternoon():
    # Half of the day and its lag after the minimum, 0.17 h before sunrise: 6 + 7 + 1.86 - 0.17 = 14:41.
    assert DAY[diurnal_air(DAY, 15, 30, 6, 20).argmax()] == pytest.approx(14.69, abs=1 / 60)


def test_next_day_repeats_and_sunset_joins_without_a_jump():
    air = diurnal_air(np.arange(0.0, 48.0, 1 / 60), 15, 30, 6, 20)
    assert air[: len(DAY)] == pytest.approx(air[len(DAY) :])
    # At sunset the two formulas meet; the greatest change in a minute is that of the steepest slope, 2.7 K/h.
    evening = air[19 * 60 : 21 * 60]
    assert np.abs(np.diff(evening)).max() < 2.7 / 60


def test_evening_cools_exponentially_by_hand():
    at_sunset = 15 + 15 * np.sin(np.pi * 14.17 / 17.72)
    by_hand = 15 + (at_sunset - 15) * np.exp(-2.2 * 3 / 10)
    assert diurnal_air(np.array([23.0]), 15, 30, 6, 20)[0] == pytest.approx(by_hand)


def test_no_swing_is_constant_air():
    assert diurnal_air(DAY, 21, 21, 6, 20) == pytest.approx(21)
