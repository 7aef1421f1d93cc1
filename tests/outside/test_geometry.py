"""Areas, outlines and volumes of coat and dam against shapely, on polygons drawn from the meaning of each shape."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from webapp.kitchen.geometry import TierSize, depth_across, footprint

SEGMENTS = 256  # of a quarter turn: its area is within 1e-5 of the disc's


def box(width: float, depth: float) -> Polygon:
    return Polygon([(0, 0), (width, 0), (width, depth), (0, depth)])


def hexagon(across_flats: float) -> Polygon:
    radius = across_flats / math.sqrt(3)
    corners = [math.radians(60 * n) for n in range(6)]
    return Polygon([(radius * math.cos(turn), radius * math.sin(turn)) for turn in corners])


def heart(width: float) -> BaseGeometry:
    """A square on its corner, half a disc on each upper side, scaled to the width."""
    half = math.sqrt(0.5)
    square = Polygon([(0, -half), (half, 0), (0, half), (-half, 0)])
    lobes = [Point(side * half / 2, half / 2).buffer(0.5, quad_segs=SEGMENTS) for side in (-1, 1)]
    drawn = unary_union([square, *lobes])
    left, _, right, _ = drawn.bounds
    scale = width / (right - left)
    return Polygon([(x * scale, y * scale) for x, y in drawn.exterior.coords])


DRAWN = {
    "round": lambda width, _: Point(0, 0).buffer(width / 2, quad_segs=SEGMENTS),
    "square": lambda width, _: box(width, width),
    "rectangle": box,
    "hexagon": lambda width, _: hexagon(width),
    "heart": lambda width, _: heart(width),
}
SIZES = st.tuples(st.sampled_from(sorted(DRAWN)), st.floats(8, 80), st.floats(0.3, 1))


def both(shape: str, width: float, share: float):
    depth = width * share if shape == "rectangle" else None
    return DRAWN[shape](width, depth), footprint(shape, width, depth), depth  # type: ignore[arg-type]


@given(SIZES)
def test_area_and_outline(size):
    drawn, ours, _ = both(*size)
    # Chords of 256 to the quarter turn.
    assert ours.area_cm2 == pytest.approx(drawn.area, rel=2e-5)
    assert ours.outline_cm == pytest.approx(drawn.length, rel=2e-5)


@given(SIZES)
def test_overall_measures(size):
    shape, width, share = size
    drawn, _, depth = both(shape, width, share)
    left, low, right, high = drawn.bounds
    spans = sorted((right - left, high - low))
    assert sorted((width, depth_across(shape, width, depth))) == pytest.approx(spans, rel=2e-5)  # type: ignore[arg-type]


@given(SIZES, st.floats(4, 30), st.floats(3, 20))
def test_coat_is_what_lies_around_the_tier(size, height, coat_mm):
    drawn, ours, _ = both(*size)
    t = coat_mm / 10
    around = drawn.buffer(t, quad_segs=SEGMENTS).area * (height + t) - drawn.area * height
    tier = TierSize(ours.area_cm2, ours.outline_cm, height, 3)
    # The notch of a heart: less than a quarter of the thickness squared, all the way up.
    notch = 0.25 * t * t * (height + t) if size[0] == "heart" else 0.0
    assert tier.coat_ml(coat_mm) == pytest.approx(around, rel=5e-5, abs=notch)


@given(SIZES, st.floats(3, 12))
def test_a_dam_is_the_ring_inside_the_edge(size, dam_mm):
    drawn, ours, _ = both(*size)
    ring = drawn.area - drawn.buffer(-dam_mm / 10, quad_segs=SEGMENTS, join_style="mitre").area
    tier = TierSize(ours.area_cm2, ours.outline_cm, 10, 2)
    # Corners: a box has (4 - pi) widths squared less than is counted; a heart's one corner and notch less than that.
    corners = (4 - math.pi) * (dam_mm / 10) ** 2 + 1e-6
    assert tier.dam_ml(10, dam_mm) == pytest.approx(ring, rel=5e-5, abs=corners)


def test_a_hexagon_and_a_heart_by_hand():
    # 20 cm across the flats: side 11.547, area 346.4; a heart 20 cm wide: side 11.716, area 245.1, outline 60.24.
    assert footprint("hexagon", 20).area_cm2 == pytest.approx(346.41, abs=0.01)
    assert footprint("hexagon", 20).outline_cm == pytest.approx(69.28, abs=0.01)
    assert footprint("heart", 20).area_cm2 == pytest.approx(245.07, abs=0.01)
    assert footprint("heart", 20).outline_cm == pytest.approx(60.24, abs=0.01)
