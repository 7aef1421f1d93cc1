from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.advice.asking import asked
from webapp.advice.chill_times import LONGEST_CHILL_H, chills_of, first_above, first_below, serving_of, temper_hours
from webapp.advice.heat import warm_cake

SEED = 0


def chill(catalogue, family="swiss", **fields):
    return chills_of(asked(**fields), family, catalogue, SEED)


def test_every_tier_and_the_cupcakes_have_their_own_time(catalogue):
    names = [c.tier for c in chill(catalogue, tiers=[{"width_cm": 30}, {"width_cm": 15}], cupcakes=12)]
    assert names == ["bottom tier", "top tier", "cupcakes"]


def test_a_wider_tier_takes_longer(catalogue):
    wide, narrow = chill(catalogue, tiers=[{"width_cm": 30}, {"width_cm": 15}])
    assert wide.core_h.likely > 1.5 * narrow.core_h.likely
    assert wide.coat_firm_h.likely > narrow.coat_firm_h.likely


def test_a_crumb_coat_is_firm_before_a_whole_one_and_that_before_the_core_is_cold(catalogue):
    (cake,) = chill(catalogue)
    assert cake.crumb_firm_h.likely < cake.coat_firm_h.likely < cake.core_h.likely


def test_the_range_goes_from_moved_to_still_air(catalogue):
    (cake,) = chill(catalogue)
    for spread in (cake.crumb_firm_h, cake.coat_firm_h, cake.core_h):
        assert 0 < spread.low < spread.likely < spread.high


def test_a_crumb_coat_takes_about_as_long_as_the_trade_says(catalogue):
    # Common practice, no source: a crumb coat on a usual tier is firm after 15 to 45 minutes in the fridge.
    (cake,) = chill(catalogue)
    assert 15 <= 60 * cake.crumb_firm_h.likely <= 45


def test_a_tier_is_cold_right_through_after_a_night(catalogue):
    # Common practice, no source: a 20 cm tier is left in the fridge overnight.
    (cake,) = chill(catalogue)
    assert 6 < cake.core_h.likely < 14


def test_a_tier_too_large_for_a_night_says_so(catalogue):
    (slab,) = chill(catalogue, tiers=[{"width_cm": 80, "height_cm": 40}])
    assert slab.core_h.high == LONGEST_CHILL_H


@settings(max_examples=15)
@given(width=st.floats(12, 50), height=st.floats(5, 25), more=st.floats(1.05, 1.6))
def test_a_larger_tier_never_chills_sooner(catalogue, width, height, more):
    (small,) = chill(catalogue, tiers=[{"width_cm": width, "height_cm": height}])
    (large,) = chill(catalogue, tiers=[{"width_cm": width * more, "height_cm": height * more}])
    # A thousandth for the grid, which is coarser in a larger tier.
    assert large.core_h.likely >= 0.999 * small.core_h.likely


def test_a_warmer_start_of_the_event_takes_longer_in_the_kitchen(catalogue):
    cool, warm = (temper_hours(asked(start_c=c), "swiss", catalogue, SEED) for c in (10, 16))
    assert 0 < cool.likely < warm.likely


def serving(catalogue, today, shape_h=12.0, **fields):
    heat = warm_cake(asked(**fields), catalogue, SEED, today, ("swiss",))
    return serving_of(heat, "swiss", shape_h, catalogue)


def test_a_cake_that_stands_long_enough_needs_no_time_before(catalogue, today):
    found = serving(catalogue, today, hold_hours=4)
    assert found.early_h == 0
    assert found.is_in_time(4)
    assert found.coat_c.likely > found.coat.value


def test_a_cake_cut_at_once_leaves_the_cold_sooner(catalogue, today):
    found = serving(catalogue, today, hold_hours=0.25)
    assert found.coat_h is not None
    assert found.early_h == pytest.approx(found.coat_h.likely - 0.25)
    assert found.is_in_time(0.25)


def test_it_does_not_leave_so_early_that_it_loses_its_shape(catalogue, today):
    found = serving(catalogue, today, shape_h=1.0, hold_hours=0.25)
    assert found.early_h == pytest.approx(0.75)
    assert not found.is_in_time(0.25)


def test_in_a_cold_room_the_coat_never_gets_pleasant(catalogue, today):
    found = serving(catalogue, today, air_high_c=10, hold_hours=4)
    assert found.coat_h is None and found.early_h == 0


def test_the_core_lags_behind_the_coat(catalogue, today):
    found = serving(catalogue, today, hold_hours=3)
    assert found.core_c.likely < found.coat_c.likely


def test_crossings_lie_straight_between_the_times():
    hours, course = np.array([0.0, 1.0, 2.0]), np.array([[0.0, 5.0], [10.0, 5.0], [10.0, 5.0]])
    assert first_above(hours, course, 4.0, 9.0) == pytest.approx([0.4, 0.0])
    assert first_above(hours, course, 6.0, 9.0) == pytest.approx([0.6, 9.0])
    assert first_below(hours, -course, -6.0, 9.0) == pytest.approx([0.6, 9.0])
