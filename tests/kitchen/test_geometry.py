from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.kitchen.geometry import CakeAmounts, TierSize, cake_amounts, unsupported_load_kpa


def disc(diameter_cm, height_cm, layers=3):
    return TierSize(math.pi * diameter_cm**2 / 4, math.pi * diameter_cm, height_cm, layers)


def box(width_cm, depth_cm, height_cm, layers=3):
    return TierSize(width_cm * depth_cm, 2 * (width_cm + depth_cm), height_cm, layers)


@given(st.floats(8, 60), st.floats(4, 30), st.floats(3, 20))
def test_coat_of_a_round_tier_is_the_larger_cylinder_less_the_smaller(diameter, height, coat_mm):
    t = coat_mm / 10
    whole = math.pi / 4 * (diameter + 2 * t) ** 2 * (height + t)
    bare = math.pi / 4 * diameter**2 * height
    # Exact geometry: rounding alone.
    assert disc(diameter, height).coat_ml(coat_mm) == pytest.approx(whole - bare, rel=1e-9)


@given(st.floats(8, 60), st.floats(8, 60), st.floats(4, 30), st.floats(3, 20))
def test_coat_of_a_box_lacks_only_the_corners(width, depth, height, coat_mm):
    t = coat_mm / 10
    sharp = (width + 2 * t) * (depth + 2 * t) * (height + t) - width * depth * height
    corners = (4 - math.pi) * t * t * (height + t)
    assert box(width, depth, height).coat_ml(coat_mm) == pytest.approx(sharp - corners, rel=1e-9)


def test_coat_of_a_round_cake_by_hand():
    # 20 x 12 cm, 7 mm: pi (10.7^2 x 12.7 - 10^2 x 12) = 798 mL.
    assert disc(20, 12).coat_ml(7) == pytest.approx(798, abs=0.5)


def test_filling_and_sponge_of_three_layers_by_hand():
    # Two fillings of 6 mm on 314.2 cm2: 377 mL; the sponge has the rest of 3770 mL.
    cake = disc(20, 12)
    assert cake.filling_ml(6) == pytest.approx(377, abs=0.1)
    assert cake.sponge_ml(6) == pytest.approx(3393, abs=0.1)


def test_one_layer_has_no_filling_and_thick_filling_leaves_some_sponge():
    assert disc(20, 12, layers=1).filling_ml(6) == 0
    assert disc(20, 4, layers=9).sponge_ml(6) == pytest.approx(0.1 * disc(20, 4).area_cm2 * 4)


def test_square_has_the_radius_of_the_round_tier_with_its_footprint():
    assert box(20, 20, 12).equal_radius_cm == pytest.approx(math.sqrt(400 / math.pi))
    assert disc(24, 12).equal_radius_cm == pytest.approx(12)


def test_amounts_of_a_stack_are_those_of_its_tiers():
    low, high = disc(25, 12), disc(15, 10)
    both = cake_amounts([low, high], 7, 6, 0.42)
    apart = cake_amounts([low], 7, 6, 0.42) + cake_amounts([high], 7, 6, 0.42)
    for name in ("coat_ml", "filling_ml", "sponge_g"):
        assert getattr(both, name) == pytest.approx(getattr(apart, name))
    assert both.sponge_g == pytest.approx(0.42 * (low.sponge_ml(6) + high.sponge_ml(6)))


def test_orders_add_part_by_part():
    assert CakeAmounts(1, 2, 3) + CakeAmounts(10, 20, 30) == CakeAmounts(11, 22, 33)


def test_single_tier_bears_nothing():
    assert unsupported_load_kpa([disc(20, 12)], 7, 6, 0.42, 0.95) == 0


def test_load_of_one_upper_tier_by_hand():
    # 15 x 10 cm, one layer, 7 mm of coat: sponge 1767 mL x 0.4 = 706.9 g; coat pi (8.2^2 x 10.7 - 7.5^2 x 10)
    # = 493.1 mL x 0.9 = 443.8 g; 1.1507 kg x 9.80665 / 0.017671 m2 = 638.6 Pa.
    tiers = [disc(25, 12), disc(15, 10, layers=1)]
    assert unsupported_load_kpa(tiers, 7, 6, 0.4, 0.9) == pytest.approx(0.6386, abs=5e-4)


def test_narrow_middle_tier_bears_on_its_own_footprint():
    # Wide top on a narrow middle: the bottom filling carries both on the middle's footprint, the worst of the
    # stack.
    bottom, middle, top = disc(30, 12), disc(10, 10, 1), disc(20, 10, 1)
    alone = unsupported_load_kpa([middle, top], 7, 6, 0.4, 0.9)
    both = unsupported_load_kpa([bottom, middle, top], 7, 6, 0.4, 0.9)
    assert both > 3 * alone  # (top + middle) / 78.5 cm2 against top / 314 cm2


@given(st.floats(0.2, 0.8), st.floats(0.01, 0.2))
def test_heavier_sponge_never_lightens_the_load(density, more):
    tiers = [disc(30, 12), disc(20, 12), disc(12, 10)]
    light, heavy = (unsupported_load_kpa(tiers, 7, 6, d, 0.9) for d in (density, density + more))
    assert heavy > light
