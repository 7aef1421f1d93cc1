from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.kitchen.shopping import EGGS, Pack, Wanted, buy

BUTTER = Wanted("butter", "Butter", 1925, Pack(250, 3.2))
EGG = Wanted(EGGS, "Eggs", 14, Pack(12, 3.6), in_pieces=True)
TAP = Wanted("water", "Water", 77, None)


def test_packs_are_bought_whole_and_used_by_the_gram():
    # 1925 g of 250 g: 8 packs at 3.20, 75 g over; used 7.7 packs.
    (butter,) = buy([BUTTER], {}).purchases
    assert (butter.packs, butter.left, butter.price) == (8, 75, pytest.approx(25.6))
    assert butter.used_price == pytest.approx(24.64)


def test_eggs_are_bought_by_the_dozen():
    (eggs,) = buy([EGG], {}).purchases
    assert (eggs.packs, eggs.left, eggs.used_price) == (2, 10, pytest.approx(4.2))


def test_tap_water_costs_nothing():
    (water,) = buy([TAP], {}).purchases
    assert (water.packs, water.price, water.used_price) == (0, 0, 0)


def test_ones_own_packs_and_prices_come_first():
    whole = buy([BUTTER, EGG], {"butter": Pack(500, 5), EGGS: Pack(6, 2.4)})
    assert [purchase.packs for purchase in whole.purchases] == [4, 3]
    assert whole.price == pytest.approx(4 * 5 + 3 * 2.4)
    assert whole.used_price == pytest.approx(1925 / 500 * 5 + 14 / 6 * 2.4)


def test_a_full_pack_is_enough_although_numbers_are_floats():
    assert buy([Wanted("butter", "Butter", 250.0000001, Pack(250, 3.2))], {}).purchases[0].packs == 1


def test_nothing_is_bought_that_is_not_used():
    assert buy([Wanted("salt", "Salt", 0, Pack(1000, 1))], {}).purchases == ()


@given(st.floats(0.1, 1e5), st.floats(0, 1e4), st.floats(1, 5000), st.floats(0, 50))
def test_more_never_costs_less(used, more, holds, price):
    few, many = (buy([Wanted("x", "X", amount, Pack(holds, price))], {}) for amount in (used, used + more))
    assert many.price >= few.price
    assert many.used_price >= few.used_price
    assert few.purchases[0].packs * holds >= used * (1 - 1e-3) - holds * 1e-3
