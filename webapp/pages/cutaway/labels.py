"""Numbers and widths beside the drawing, in columns, with leader lines that never cross."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.pages.cutaway.layout import (
    BADGE_GAP,
    BADGE_R,
    BADGE_X,
    FONT,
    ICON,
    LABEL_GAP,
    Frame,
    Place,
    text_width,
)
from webapp.pages.cutaway.shapes import Line, Point, polyline

DOT = 3.0


@dataclass(frozen=True, slots=True)
class Text:
    """A text on the drawing; ``y`` is its middle."""

    text: str
    x: float
    y: float
    anchor: str


@dataclass(frozen=True, slots=True)
class Width:
    """A tier's width at the left, with its outline from above."""

    shape: str
    text: str
    x: float
    y: float
    plan_x: float
    leader: Line
    end: Point


@dataclass(frozen=True, slots=True)
class Badge:
    """A number that stands for a line of the key, and where it points."""

    number: int
    x: float
    y: float
    leader: Line
    end: Point


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move heights, given in order, as little as it takes to keep them apart and inside."""
    floors = [low + gap * n for n in range(len(wanted))]
    ceilings = [high - gap * (len(wanted) - 1 - n) for n in range(len(wanted))]
    blocks: list[tuple[float, int]] = []
    for number, y in enumerate(wanted):
        mean, count = y - gap * number, 1
        while blocks and blocks[-1][0] >= mean:
            before, members = blocks.pop()
            mean, count = (mean * count + before * members) / (count + members), count + members
        blocks.append((mean, count))
    level = itertools.chain.from_iterable([mean] * count for mean, count in blocks)
    moved = (mean + gap * number for number, mean in enumerate(level))
    return [round(min(max(y, f), c), 2) for y, f, c in zip(moved, floors, ceilings, strict=True)]


def badges_of(targets: Sequence[Point], frame: Frame) -> list[Badge]:
    """Number the targets from the top down, in a column at the right."""
    bend = BADGE_X - BADGE_R - 12
    heights = spread([y for _, y in targets], BADGE_GAP, BADGE_R + 2, frame.table_y - BADGE_R)
    return [
        Badge(
            number,
            BADGE_X,
            y,
            polyline("leader", [(x, at_y), (bend, at_y), (BADGE_X - BADGE_R, y)]),
            (round(x, 1), round(at_y, 1)),
        )
        for number, ((x, at_y), y) in enumerate(zip(targets, heights, strict=True), start=1)
    ]


def widths_of(places: Sequence[Place], texts: Sequence[str], frame: Frame) -> list[Width]:
    """Write each tier's width at the left, level with the tier where there is room."""
    downwards = list(zip(places, texts, strict=True))[::-1]
    wanted = [place.upper for place, _ in downwards]
    heights = spread(wanted, LABEL_GAP, FONT / 2 + 2, frame.plate_y - FONT / 2)
    start = frame.label_end
    return [
        Width(
            place.tier.shape,
            text,
            round(start, 1),
            y,
            round(start - text_width(text) - ICON, 1),
            polyline("leader", [(start + 2, y), (start + 10, place.upper), (place.centre - place.edge, place.upper)]),
            (round(place.centre - place.edge, 1), round(place.upper, 1)),
        )
        for (place, text), y in zip(downwards, heights, strict=True)
    ]
