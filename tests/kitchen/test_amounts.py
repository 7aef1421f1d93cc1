from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.kitchen.amounts import Layout, Losses, Need, Rosette, need_of, portions_of
from webapp.kitchen.geometry import TierSize

PLAIN = Layout(coat_mm=7, crumb_mm=2, filling_mm=6, dam_mm=0, top_edge_ml_m=0, foot_edge_ml_m=0)
CUPCAKE = TierSize(math.pi * 6.5**2 / 4, math.pi * 6.5, 4.5, 1)
USUAL = Losses(0.03, 0.02, 0.05)


def disc(diameter_cm, height_cm=12.0, layers=3):
    return TierSize(math.pi * diameter_cm**2 / 4, math.pi * diameter_cm, height_cm, layers)


def ml_of(portions, *kinds):
    return math.fsum(portion.ml for portion in portions if portion.kind in kinds)


def test_a_round_cake_by_hand():
    # 20 x 12 cm, 7 mm: 798 mL of coat, of it pi (10.2^2 x 12.2 - 10^2 x 12) = 217.6 mL of crumb coat; two fillings
    # of 6 mm on 314.2 cm2.
    portions = portions_of([("cake", disc(20))], PLAIN)
    assert ml_of(portions, "crumb-coat") == pytest.approx(217.6, abs=0.1)
    assert ml_of(portions, "crumb-coat", "outer-coat") == pytest.approx(798, abs=0.5)
    assert ml_of(portions, "filling") == pytest.approx(377, abs=0.1)
    assert {portion.kind for portion in portions} == {"crumb-coat", "outer-coat", "filling"}


def test_a_dam_takes_from_the_filling_what_it_needs_of_the_coat():
    # Ring 9 mm wide inside 20 cm: pi (10^2 - 9.1^2) = 54.0 cm2, 6 mm high, twice: 64.8 mL.
    ringed = portions_of([("cake", disc(20))], replace(PLAIN, dam_mm=9))
    assert ml_of(ringed, "dam") == pytest.approx(64.8, abs=0.1)
    assert ml_of(ringed, "dam", "filling") == pytest.approx(ml_of(portions_of([("cake", disc(20))], PLAIN), "filling"))
    assert {p.role for p in ringed if p.kind == "dam"} == {"coat"}


def test_borders_run_around_the_outside_of_the_coat():
    # pi x 21.4 cm = 0.672 m at 80 mL/m, top and foot.
    portions = portions_of([("cake", disc(20))], replace(PLAIN, top_edge_ml_m=80, foot_edge_ml_m=80))
    assert ml_of(portions, "top-edge") == ml_of(portions, "foot-edge") == pytest.approx(53.8, abs=0.1)


def test_a_crumb_coat_is_never_more_than_the_coat():
    portions = portions_of([("cake", disc(20))], replace(PLAIN, crumb_mm=9))
    assert ml_of(portions, "outer-coat") == 0
    assert ml_of(portions, "crumb-coat") == pytest.approx(disc(20).coat_ml(7))


def test_one_layer_has_nothing_between():
    assert ml_of(portions_of([("cake", disc(20, layers=1))], replace(PLAIN, dam_mm=9)), "filling", "dam") == 0


def test_cupcakes_are_topped_and_filled_by_hand():
    # A cone 65 mm wide and 30 mm high: 33.18 cm2 x 3 / 3 = 33.2 mL, forty-eight times; 8 mL in each core.
    layout = replace(PLAIN, cupcakes=48, cupcake=CUPCAKE, swirl_mm=30, core_ml=8)
    portions = portions_of([], layout)
    assert ml_of(portions, "swirl") == pytest.approx(1593, abs=1)
    assert ml_of(portions, "core") == 384


def test_a_swirl_fills_a_share_of_its_cylinder():
    # 33.18 cm2 x 3 x 0.4 = 39.8 mL.
    layout = replace(PLAIN, cupcakes=1, cupcake=CUPCAKE, swirl_mm=30, swirl_share=0.4)
    assert ml_of(portions_of([], layout), "swirl") == pytest.approx(39.8, abs=0.05)


ROSETTE = Rosette(width_mm=45, height_mm=15, spacing_mm=42)


def test_rosettes_cover_the_side_by_hand():
    # Each pi x 4.5^2 / 4 x 1.5 / 2 = 11.9 mL. 20 x 12 cm: 120 / 42 = 2.9, so 3 rows; pi x 20.4 = 64.1 cm / 4.2 = 15.3,
    # so 16 around: 48 of them. On 17.64 cm2 each they are 6.8 mm thick, more than the 5 mm that they stand for.
    portions = portions_of([("cake", disc(20))], replace(PLAIN, rosette=ROSETTE))
    assert ROSETTE.ml == pytest.approx(11.93, abs=0.01)
    (side,) = [portion for portion in portions if portion.kind == "side-rosettes"]
    assert (side.count, side.ml) == (48, pytest.approx(572.6, abs=0.1))
    # Under them the crumb coat alone; the top has its 5 mm on 314.2 cm2.
    assert ml_of(portions, "outer-coat") == pytest.approx(157.1, abs=0.1)


def test_a_coat_thicker_than_its_rosettes_is_spread_below_them():
    layout = replace(PLAIN, coat_mm=20, rosette=ROSETTE)
    top, side = [p for p in portions_of([("cake", disc(20))], layout) if p.kind == "outer-coat"]
    assert top.thickness_mm == 18
    assert side.thickness_mm == pytest.approx(18 - ROSETTE.mean_mm)


def test_a_low_tier_has_one_row_at_least():
    assert ROSETTE.rows_on(1) == 1


def test_what_stays_behind_is_a_share_of_what_goes_on():
    portions = portions_of([("cake", disc(20))], PLAIN)
    need = need_of(portions, "filling", 0.65, USUAL)
    assert need.on_cake_g == pytest.approx(245.0, abs=0.1)
    assert (need.bowl_g, need.bag_g, need.trimming_g) == pytest.approx((7.35, 4.90, 12.25), abs=0.01)
    assert need.whole_g == pytest.approx(1.1 * need.on_cake_g)
    assert (need + need).whole_g == pytest.approx(2 * need.whole_g)


def test_an_allowance_of_ones_own_keeps_the_mix():
    asked = USUAL.scaled_to(0.2)
    assert (asked.bowl, asked.bag, asked.trimming, asked.whole) == pytest.approx((0.06, 0.04, 0.1, 0.2))
    assert Losses(0, 0, 0).scaled_to(0.3).whole == pytest.approx(0.3)


@given(
    st.floats(8, 60),
    st.floats(4, 30),
    st.integers(1, 6),
    st.floats(0.1, 5),
    st.floats(0, 15),
    st.sampled_from([None, ROSETTE]),
)
def test_a_wider_taller_cake_never_takes_less(width, height, layers, more, dam, rosette):
    layout = replace(PLAIN, top_edge_ml_m=80, foot_edge_ml_m=80, dam_mm=dam, rosette=rosette)
    small = portions_of([("cake", disc(width, height, layers))], layout)
    large = portions_of([("cake", disc(width + more, height + more, layers))], layout)
    for role in ("coat", "filling"):
        assert need_of(large, role, 0.7, USUAL).whole_g >= need_of(small, role, 0.7, USUAL).whole_g


def test_nothing_is_needed_of_a_role_without_a_place():
    assert need_of((), "coat", 0.7, USUAL) == Need(0, 0, 0, 0)


def test_every_portion_says_on_which_tier_it_goes():
    # Seen to fail: the border at the foot without its tier.
    layout = replace(PLAIN, dam_mm=9, top_edge_ml_m=80, foot_edge_ml_m=80)
    portions = portions_of([("bottom", disc(25)), ("top", disc(15))], layout)
    kinds = ("crumb-coat", "outer-coat", "dam", "filling", "top-edge", "foot-edge")
    assert [(p.place, p.kind) for p in portions] == [(tier, kind) for tier in ("bottom", "top") for kind in kinds]
