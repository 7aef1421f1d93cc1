"""Piped detail hinted in line: beads, rosettes, and strings with small flowers."""

from __future__ import annotations

from collections.abc import Iterator

from webapp.advice.brief import Brief
from webapp.pages.cutaway.layout import Frame, Place, motif
from webapp.pages.cutaway.shapes import Point, Shape, beads, spaced, stamp, wave


def piping(places: tuple[Place, ...], brief: Brief, frame: Frame) -> Iterator[Shape]:
    """Draw what is piped on the coated half, and its section where the cut runs through it."""
    draw = {"borders": _borders, "rosettes": _rosettes, "fine": _fine}.get(brief.piping)
    if draw:
        for place in places:
            yield from draw(place, frame, place is places[-1])


def pointed_at(places: tuple[Place, ...], brief: Brief, frame: Frame) -> Point:
    """Say where the label of the piping points: the top of the top tier."""
    top = places[-1]
    if brief.piping == "fine":
        return top.centre - 1, top.crown - 0.4 * _flower(frame)
    size = _bead(frame) if brief.piping == "borders" else _rosette(frame, top)
    return top.centre + top.edge - size / 2, top.crown - 0.3 * size


def _bead(frame: Frame) -> float:
    return motif(frame, 0.9, 3.0, 8.0)


def _rosette(frame: Frame, place: Place) -> float:
    return min(motif(frame, 2.4, 6.0, 17.0), place.edge)


def _flower(frame: Frame) -> float:
    return motif(frame, 2.2, 7.0, 15.0)


def _borders(place: Place, frame: Frame, is_top: bool) -> Iterator[Shape]:
    size = _bead(frame)
    left, right = place.centre - place.edge, place.centre + place.edge
    for y in (place.floor - size / 2, place.crown):
        yield beads("bead", left - size / 3, y, place.centre, size)
        yield beads("bead", right - size * 2 / 3, y, right + size / 3, size)


def _rosettes(place: Place, frame: Frame, is_top: bool) -> Iterator[Shape]:
    size = _rosette(frame, place)
    left, right = place.centre - place.edge, place.centre + place.edge
    heights = [place.floor - 0.42 * size] + ([place.crown - 0.2 * size] if is_top else [])
    for y in heights:
        for x in spaced(left, place.centre, size):
            yield stamp("rosette", x, y, size)
        yield stamp("rosette", right - size / 2 + 2, y, size)


def _fine(place: Place, frame: Frame, is_top: bool) -> Iterator[Shape]:
    """Hang two rows of strings from the top edge, a flower at every other point."""
    left, size = place.centre - place.edge, _flower(frame)
    drop = min(0.34 * place.height, 1.3 * size)
    step = min(max(1.6 * size, 14.0), place.edge)
    y = place.crown + min(0.12 * place.height, 5)
    yield wave("string", (left, y), place.edge, step, 2 * drop)
    yield wave("string", (left, y), place.edge, step, 1.3 * drop)
    count = max(round(place.edge / step), 1)
    for n in range(0, count, 2):
        yield stamp("flower", left + n * place.edge / count + size / 3, y, size)
    yield from _spray(place, size) if is_top else ()


def _spray(place: Place, size: float) -> Iterator[Shape]:
    """Set a few flowers on the middle of the top."""
    for shift, rise, share in ((-0.75, 0.2, 0.8), (0.6, 0.2, 0.8), (-0.05, 0.5, 1.1)):
        yield stamp("flower", place.centre + shift * size, place.crown - rise * size, share * size)
