from __future__ import annotations

import math

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.geometry import TierSize
from webapp.kitchen.servings import servings_of, slices_of

WEDDING_ML, PARTY_ML = 131, 197


def disc(inches, height_in=4.0):
    cm = 2.54 * inches
    return TierSize(math.pi * cm**2 / 4, math.pi * cm, 2.54 * height_in, 3)


def test_slices_of_a_tier_by_hand():
    # 10 in round, 4 in high: 78.5 sq in x 4 / 8 = 39.3 wedding slices, / 12 = 26.2 party slices.
    assert slices_of(disc(10), WEDDING_ML) == 39
    assert slices_of(disc(10), PARTY_ML) == 26


# Published guides for slices of 1 x 2 in, 4 in high, low and high: Today's Bride magazine, 2024 and 2025 guides, p.
# 158 (round tiers: 10, 20 to 24, 30 to 38, 45 to 58), and Orlando Sentinel, 6 June 1985, "a tiny 1-by-2-inch slice"
# (6 in 16, 10 in 48, 12 in 68, 14 in 92).
@pytest.mark.parametrize("volume", ["low", "value", "high"])
@pytest.mark.parametrize(
    ("inches", "low", "high"), [(6, 10, 16), (8, 20, 32), (10, 30, 48), (12, 45, 68)], ids=lambda value: str(value)
)
def test_slices_lie_between_published_guides(inches, low, high, volume):
    fact = load_catalogue(Config().data_dir).fact("slice:wedding", "volume")
    assert low <= slices_of(disc(inches), getattr(fact, volume)) <= high


def test_a_party_slice_at_most_is_a_twelfth_of_two_layers_of_9_in():
    # SR28, NDB 18102: 1 piece is 1/12 of a cake of 9 in; two layers of 1 1/2 in.
    fact = load_catalogue(Config().data_dir).fact("slice:party", "volume")
    assert fact.high == pytest.approx(disc(9, 3).area_cm2 * 3 * 2.54 / 12, abs=1)


def test_a_cake_serves_at_least_one():
    assert slices_of(disc(2, 1), PARTY_ML) == 1


def test_cupcakes_count_one_each_and_guests_are_compared_with_the_fewest():
    # 10 and 6 in round, 4 in high: 5148 and 1853 mL; / 131 = 39.3 and 14.1, / 164 = 31.4 and 11.3.
    order = servings_of([disc(10), disc(6)], 12, (WEDDING_ML, 164))
    assert (order.fewest, order.most) == ((31, 11), (39, 14))
    assert (order.slices, order.whole) == ((42, 53), (54, 65))
    assert order.spare(50) == 4
    assert order.spare(60) == -6
