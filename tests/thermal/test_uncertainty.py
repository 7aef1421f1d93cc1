from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from webapp.thermal.uncertainty import NAMES, Draws, factor_in_range, standard_draws, within_range


def test_every_band_is_drawn_once():
    draws = standard_draws(64, 7)
    assert set(draws) == set(NAMES)
    for z in draws.values():
        shares = np.array([NormalDist().cdf(value) for value in z])
        assert sorted(np.floor(64 * shares).astype(int)) == list(range(64))


def test_draws_follow_from_the_seed_alone():
    standard_draws.cache_clear()
    first = {name: z.copy() for name, z in standard_draws(32, 3).items()}
    standard_draws.cache_clear()
    assert all(np.array_equal(z, first[name]) for name, z in standard_draws(32, 3).items())
    assert not np.array_equal(standard_draws(32, 4)["air"], first["air"])


def test_draws_cannot_be_written_to():
    with pytest.raises(ValueError, match="read-only"):
        standard_draws(8, 1)["air"][0] = 0.0


def test_quantities_are_drawn_independently():
    z = standard_draws(512, 1)
    table = np.corrcoef([z[name] for name in NAMES])
    # Four standard errors of a correlation of 512 pairs, 4 / sqrt(512) = 0.18.
    assert np.abs(table - np.eye(len(NAMES))).max() < 0.18


def test_range_is_the_fifth_to_the_ninety_fifth_percentile():
    z = standard_draws(2000, 1)["film"]
    values = within_range(z, 27.0, 24.0, 29.0)
    # The percentile falls between two of 2000 stratified values: 0.01 K.
    assert np.percentile(values, (5, 50, 95)) == pytest.approx((24.0, 27.0, 29.0), abs=0.01)


def test_factor_keeps_its_range_and_stays_positive():
    values = factor_in_range(standard_draws(2000, 1)["film"], 1.0, 0.75, 1.3)
    assert np.percentile(values, (5, 50, 95)) == pytest.approx((0.75, 1.0, 1.3), abs=0.003)
    assert factor_in_range(np.array([-40.0]), 1.0, 0.5, 2.0)[0] > 0


def test_no_range_draws_the_value():
    assert within_range(np.array([-2.0, 0.0, 2.0]), 5.0, 5.0, 5.0) == pytest.approx(5.0)


def test_single_draw_changes_nothing():
    none = Draws.none()
    assert len(none) == 1
    assert (none.air_k, none.radiant_k) == (0, 0)
    assert (none.film, none.sun, none.conductivity, none.capacity) == (1, 1, 1, 1)


def test_shifted_draws_are_the_draws_once_for_each_shift_in_warmer_air_and_walls():
    # Seen to fail: walls left as they are, copies of each draw side by side, no copies of the rest.
    two = Draws(*(np.array([first, first + 1]) for first in (0.0, 10.0, 20.0, 30.0, 40.0, 50.0)))
    warmer = two.shifted((0.0, 3.0))
    assert len(warmer) == 4
    assert warmer.air_k.tolist() == [0, 1, 3, 4]
    assert warmer.radiant_k.tolist() == [10, 11, 13, 14]
    assert warmer.film.tolist() == [20, 21, 20, 21]
    assert warmer.sun.tolist() == [30, 31, 30, 31]
    assert warmer.conductivity.tolist() == [40, 41, 40, 41]
    assert warmer.capacity.tolist() == [50, 51, 50, 51]
    assert two.shifted((2.0,)).air_k.tolist() == [2, 3]
    assert two.shifted((0.0,)) is two
