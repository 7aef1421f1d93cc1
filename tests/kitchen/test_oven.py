from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.kitchen.oven import Oven

HOME = Oven(shelf_width_cm=46, shelf_depth_cm=37, shelves=2, gap_cm=3, cupcakes=24)
sizes = st.floats(8, 60)


@pytest.mark.parametrize(("width", "tins"), [(30, 1), (22, 1), (20, 2), (15, 4), (60, 1)])
def test_tins_side_by_side_on_a_shelf(width, tins):
    # 46 x 37 cm with 3 cm of air: two of 20 cm are 46 cm wide; four of 15 cm are 36 x 36 cm.
    assert HOME.tins_on_shelf(width, width) == tins


def test_a_rectangle_is_turned_where_more_fit():
    assert HOME.tins_on_shelf(20, 33) == HOME.tins_on_shelf(33, 20) == 2


def test_nine_layers_of_three_tiers_are_several_loads():
    # Three of 30 cm and three of 22 cm, a shelf each; three of 15 cm, three quarters of one: 6.75 shelves, two at once.
    assert HOME.loads([(30, 30)] * 3 + [(22, 22)] * 3 + [(15, 15)] * 3) == 4


def test_cupcakes_bake_in_loads_of_their_own():
    assert HOME.loads([]) == 0
    assert [HOME.cupcake_loads(count) for count in (0, 1, 24, 48, 49)] == [0, 1, 1, 2, 3]


@given(st.lists(st.tuples(sizes, sizes), max_size=8), st.tuples(sizes, sizes), st.integers(0, 100))
def test_more_to_bake_never_takes_fewer_loads(tins, another, cupcakes):
    assert HOME.loads([*tins, another]) >= max(1, HOME.loads(tins))
    assert HOME.cupcake_loads(cupcakes + 1) >= max(1, HOME.cupcake_loads(cupcakes))


def test_long_thin_tins_lie_side_by_side_and_not_across():
    # 32 x 10 cm takes 35 x 13: one deep and three across is 39 x 35 cm, one across and two deep 35 x 26.
    # Seen to fail: turned into a square of its short side, six of them.
    assert HOME.tins_on_shelf(32, 10) == HOME.tins_on_shelf(10, 32) == 3
