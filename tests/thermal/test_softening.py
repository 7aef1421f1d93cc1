from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.thermal.softening import GRID_C, Solids, blend, same_solids, softening_draws


def fat(*points):
    """A curve of (temperature, solids, low, high)."""
    return Solids.of(*(np.array(column, float) for column in zip(*points, strict=True)))


BUTTER = fat((0, 60, 50, 70), (20, 20, 15, 25), (30, 6, 4, 8), (40, 0, 0, 0), (55, 0, 0, 0))
HARD = fat((0, 40, 30, 50), (20, 30, 25, 35), (30, 20, 15, 25), (40, 10, 6, 14), (55, 0, 0, 0))
CURVES = {"butter": BUTTER, "hard": HARD}


def mixed(share):
    return blend(CURVES, {"butter": 1 - share, "hard": share}, "butter")


def test_pure_butter_gives_back_the_known_temperature():
    known = np.linspace(10, 38, 29)
    # A hundredth of the grid's step: the curve is made to fall strictly by 1e-6 % a degree.
    assert same_solids(BUTTER, mixed(0.0), known) == pytest.approx(known, abs=0.0025)


def test_hard_fat_softens_at_equal_solids_by_hand():
    # Butter at 25 °C has 13 % solids; the hard fat has 13 % at 37 °C.
    assert float(same_solids(BUTTER, mixed(1.0), 25.0)) == pytest.approx(37.0, abs=0.01)


@given(st.floats(0, 1), st.floats(12, 36))
def test_solids_at_the_answer_are_those_of_butter_at_the_known_temperature(share, known):
    blended = mixed(share)
    at = float(same_solids(BUTTER, blended, known))
    solids = float(np.interp(at, GRID_C, blended.value))
    # 0.001 % of solids: the strict fall of 1e-6 % a degree on two curves.
    assert solids == pytest.approx(float(np.interp(known, GRID_C, BUTTER.value)), abs=1e-3)


@given(st.floats(0, 0.95), st.floats(0.01, 0.05), st.floats(22, 34))
def test_more_hard_fat_never_softens_sooner(share, more, known):
    assert float(same_solids(BUTTER, mixed(share + more), known)) > float(
        same_solids(BUTTER, mixed(share), known)
    )


def test_answer_stays_on_the_grid():
    wax = fat((0, 90, 90, 90), (55, 80, 80, 80))
    assert float(same_solids(BUTTER, wax, 25.0)) == GRID_C[-1]
    assert float(same_solids(wax, BUTTER, 25.0)) == GRID_C[0]


def test_range_of_a_curve_is_its_fifth_to_ninety_fifth_percentile():
    at = int(np.flatnonzero(GRID_C == 20)[0])
    assert 1.6449 * HARD.sd_low[at] == pytest.approx(5, abs=1e-3)
    assert 1.6449 * BUTTER.sd_high[at] == pytest.approx(5, abs=1e-3)


def test_doubt_about_the_known_fat_is_counted_once():
    assert np.all(mixed(0.0).sd_low == 0)
    assert mixed(0.5).sd_high == pytest.approx(0.5 * HARD.sd_high)


def test_own_range_of_the_other_fat_is_carried_through():
    z = np.array([-1.6449, 0.0, 1.6449])
    found = softening_draws(BUTTER, mixed(1.0), np.full(3, 25.0), 25.0, z)
    # 13 % solids: low curve 15 at 30 and 6 at 40 °C gives 32.2, high curve 14 at 40 and 0 at 55 gives 41.1.
    # 0.1 K: the draws are read from a table in half standard deviations.
    assert found == pytest.approx([32.22, 37.0, 41.07], abs=0.1)


def test_doubt_about_butter_moves_the_answer_degree_for_degree():
    found = softening_draws(BUTTER, mixed(0.5), np.array([24.0, 25.0, 27.0]), 25.0, np.zeros(3))
    assert found - found[1] == pytest.approx([-1.0, 0.0, 2.0])
    assert found[1] == pytest.approx(float(same_solids(BUTTER, mixed(0.5), 25.0)))


@pytest.mark.parametrize("whole", [1.0, 120.0])
def test_fats_are_mixed_by_their_share_of_all_fat_by_hand(whole):
    # A quarter butter: at 20 °C 0.25 x 20 + 0.75 x 30 = 27.5 % solids. Seen to fail: weighted by grams.
    at = int(np.flatnonzero(GRID_C == 20)[0])
    blended = blend(CURVES, {"butter": 0.25 * whole, "hard": 0.75 * whole}, "butter")
    assert blended.value[at] == pytest.approx(27.5)
    assert 1.6449 * blended.sd_high[at] == pytest.approx(0.75 * 5, abs=1e-3)


def test_butter_alone_has_no_doubt_at_any_temperature():
    # Seen to fail: a number where a curve belongs.
    alone = blend(CURVES, {"butter": 1.0}, "butter")
    assert [curve.tolist() for curve in (alone.sd_low, alone.sd_high)] == [[0.0] * len(GRID_C)] * 2
