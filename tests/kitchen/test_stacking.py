from __future__ import annotations

import math

import pytest

from webapp.kitchen.geometry import TierSize
from webapp.kitchen.stacking import Supports, TierMass, border_mm, dowel_count, stack_of

RULES = Supports(5, 4, 4, 40, 9, 3)


def mass(name, width, height, grams, layers=3):
    size = TierSize(math.pi * width**2 / 4, math.pi * width, height, layers)
    return TierMass(name, size, width, width, 0.6 * grams, 0.1 * grams, 0.3 * grams)


BOTTOM, MIDDLE, TOP = mass("bottom", 30, 12, 5000), mass("middle", 22, 12, 2800), mass("top", 15, 12, 1400)


# Handbook of the trade: eight plastic rods of 3/4 in in a tier of 16 to 18 in; fewer would be too few.
@pytest.mark.parametrize(("inches", "least"), [(6, 4), (8, 4), (10, 5), (16, 8), (18, 8)])
def test_dowels_by_the_width_of_the_tier_that_carries(inches, least):
    assert least <= dowel_count(2.54 * inches, RULES) <= least + 1


def test_each_tier_carries_all_above_it_and_the_top_one_nothing():
    stack = stack_of([BOTTOM, MIDDLE, TOP], 7, RULES)
    assert [standing.carries_g for standing in stack.standings] == pytest.approx([4200, 1400, 0])
    assert [standing.on for standing in stack.standings] == ["", "bottom", "middle"]
    assert [standing.dowels for standing in stack.standings] == [6, 4, 0]
    assert stack.whole_g == pytest.approx(9200)


def test_dowels_are_as_long_as_the_tier_is_high_with_its_coat():
    stack = stack_of([BOTTOM, TOP], 7, RULES)
    assert [standing.dowel_cm for standing in stack.standings] == pytest.approx([12.7, 0])
    assert stack.centre_dowel_cm == 0


def test_three_tiers_take_a_centre_dowel_and_boards():
    # 2 x (12 + 0.7 + 0.4) + 6 cm; bottom board 30 + 2 x 0.7 + 2 x 4 cm.
    stack = stack_of([BOTTOM, MIDDLE, TOP], 7, RULES)
    assert stack.centre_dowel_cm == pytest.approx(32.2)
    assert [standing.board_width_cm for standing in stack.standings] == pytest.approx([39.4, 22, 15])
    assert stack.height_cm == pytest.approx(39.3)


def test_pressure_without_supports_by_hand():
    # On the bottom filling: own layers and top coat, and 4.2 kg on the middle's 380.1 cm2: 41.19 N / 0.03801 m2.
    bottom = stack_of([BOTTOM, MIDDLE, TOP], 7, RULES).standings[0]
    assert bottom.bare_kpa - bottom.own_kpa == pytest.approx(1.0835, abs=1e-3)


def test_with_supports_a_filling_carries_only_its_own_tier():
    # Two thirds of 3000 g of sponge, half of 500 g of filling, the top's 494.8 of 1352 mL of 1500 g of coat: 2799 g
    # on 706.9 cm2.
    own = stack_of([BOTTOM, MIDDLE, TOP], 7, RULES).standings[0].own_kpa
    assert own == pytest.approx(2.799 * 9.80665 / 0.070686 / 1000, abs=1e-3)
    assert own == stack_of([BOTTOM], 7, RULES).standings[0].own_kpa


def test_a_tier_without_filling_is_pressed_on_nowhere():
    assert stack_of([mass("cake", 20, 6, 1500, layers=1), TOP], 7, RULES).standings[0].bare_kpa == 0


def test_heavy_or_tall_stacks_travel_apart():
    assert stack_of([BOTTOM, MIDDLE, TOP], 7, RULES).travels_apart
    assert stack_of([mass("low", 40, 15, 8000), mass("high", 30, 12, 2000)], 7, RULES).travels_apart
    assert not stack_of([MIDDLE, TOP], 7, RULES).travels_apart
    assert not stack_of([mass("slab", 60, 8, 12_000)], 7, RULES).travels_apart


def test_the_board_is_counted_from_the_border_at_the_foot():
    # A guide for judges asks for 1 1/2 in of board beyond the border: 30 + 2 x (0.7 + 1.2 + 3.8) cm.
    rules = Supports(5, 4, 4, 38, 9, 3)
    assert stack_of([BOTTOM], 7, rules, 12).standings[0].board_width_cm == pytest.approx(41.4)


def test_a_border_is_as_wide_as_its_volume_makes_it():
    # 12 mm wide and 9 mm high, half an ellipse: 84.8 mm2, which is 84.8 mL for each metre.
    assert border_mm(84.823) == pytest.approx(12, abs=1e-3)
    assert border_mm(0) == 0


def test_what_the_lowest_filling_bears_as_a_weight():
    # As above: 2799 g; the same figure that the pressure follows from.
    assert stack_of([BOTTOM, MIDDLE, TOP], 7, RULES).standings[0].own_g == pytest.approx(2799, abs=1)
