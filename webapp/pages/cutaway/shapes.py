"""What a drawing is made of: plain shapes in drawing units, y downwards, each with the kind that its look hangs on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    form: ClassVar[str] = "box"
    kind: str
    x: float
    y: float
    width: float
    height: float
    corner: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """A path in absolute M, L, Q and Z, every number a coordinate."""

    form: ClassVar[str] = "line"
    kind: str
    d: str


@dataclass(frozen=True, slots=True)
class Beads:
    """A row of touching beads, drawn as one dotted stroke."""

    form: ClassVar[str] = "beads"
    kind: str
    x: float
    y: float
    end_x: float
    size: float


@dataclass(frozen=True, slots=True)
class Stamp:
    """A motif that is drawn once and set down often, by its centre."""

    form: ClassVar[str] = "stamp"
    kind: str
    x: float
    y: float
    size: float


Shape = Box | Line | Beads | Stamp


def box(kind: str, left: float, top: float, right: float, bottom: float, corner: float = 0.0) -> Box:
    """Span a box between its edges."""
    x, y = round(left, 2), round(top, 2)
    return Box(kind, x, y, round(max(right - left, 0), 2), round(max(bottom - top, 0), 2), round(corner, 2))


def beads(kind: str, left: float, y: float, right: float, size: float) -> Beads:
    """Fill a stretch with whole beads, from its left end."""
    count = max(int((right - left) // size), 1)
    first = left + size / 2
    return Beads(kind, round(first, 2), round(y, 2), round(first + (count - 1) * size, 2), round(size, 2))


def stamp(kind: str, x: float, y: float, size: float) -> Stamp:
    return Stamp(kind, round(x, 2), round(y, 2), round(size, 2))


def at(x: float, y: float) -> str:
    return f"{x:.1f} {y:.1f}"


def polyline(kind: str, points: Sequence[Point]) -> Line:
    return Line(kind, "M" + "L".join(at(x, y) for x, y in points))


def wave(kind: str, start: Point, length: float, step: float, sway: float) -> Line:
    """A row of equal arcs to the right, each hanging down by half of ``sway`` (or standing up, if negative)."""
    count = max(round(length / step), 1)
    x, y = start
    each = length / count
    arcs = (f"Q{at(x + (n + 0.5) * each, y + sway)} {at(x + (n + 1) * each, y)}" for n in range(count))
    return Line(kind, f"M{at(x, y)}" + "".join(arcs))


def spaced(left: float, right: float, size: float) -> list[float]:
    """Centres of motifs of one size, touching, that fill a stretch evenly; one at least."""
    count = max(int((right - left) // size), 1)
    each = (right - left) / count
    return [left + (n + 0.5) * each for n in range(count)]
