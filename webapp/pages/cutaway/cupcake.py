"""One cupcake: its paper case and swirl outside on the left, cut on the right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from webapp.pages.cutaway.layout import Frame, Sizes
from webapp.pages.cutaway.shapes import Line, Point, Shape, at, box, polyline

FOOT = 0.72  # width of the case at its foot, of that at its rim
PLEATS = 5
# Each turn of the swirl on its right side: where it bulges, where it ends.
TURNS = (((1.15, 0.2), (0.76, 0.34)), ((0.9, 0.56), (0.5, 0.62)), ((0.62, 0.82), (0.0, 1.0)))


@dataclass(frozen=True, slots=True)
class Cupcake:
    """Where a cupcake stands, in drawing units."""

    x: float
    base: float
    half: float
    rim: float
    tip: float

    @staticmethod
    def on(frame: Frame, sizes: Sizes) -> Cupcake:
        scale, base = frame.scale, frame.table_y
        rim = base - sizes.cupcake_height_cm * scale
        return Cupcake(frame.cupcake_x, base, sizes.cupcake_width_cm * scale / 2, rim, rim - sizes.swirl_cm * scale)

    def swirl(self, across: float, up: float) -> Point:
        """A point of the swirl: ``across`` -1..1 of the rim, ``up`` 0..1 from rim to tip."""
        return self.x + across * self.half, self.rim - up * (self.rim - self.tip)


def cupcake(cup: Cupcake, is_filled: bool) -> Iterator[Shape]:
    """Draw the case, the sponge in its cut half, the swirl."""
    foot = cup.half * FOOT
    yield _upright("case", cup, -1.0, 1.0, cup.base)
    yield _upright("sponge", cup, 0.0, 1 - 1 / cup.half, cup.base - 1)
    yield _upright("crumb-texture", cup, 0.0, 1 - 1 / cup.half, cup.base - 1)
    for n in range(1, PLEATS):
        share = n / PLEATS
        yield polyline("pleat", [(cup.x - cup.half * share, cup.rim), (cup.x - foot * share, cup.base)])
    yield _swirl(cup)
    if is_filled:
        deep = 0.55 * (cup.base - cup.rim)
        yield box("filling", cup.x, cup.rim, cup.x + 0.3 * cup.half, cup.rim + deep, 3)
    yield from _folds(cup)
    yield polyline("cut-line", [(cup.x, cup.tip), (cup.x, cup.base)])


def _upright(kind: str, cup: Cupcake, left: float, right: float, base: float) -> Line:
    """A part of the case between two shares of its half width, narrowing to the foot."""
    rim = [(cup.x + share * cup.half, cup.rim) for share in (left, right)]
    foot = [(cup.x + share * cup.half * FOOT, base) for share in (right, left)]
    return Line(kind, polyline(kind, [*rim, *foot]).d + "Z")


def _swirl(cup: Cupcake) -> Line:
    """Draw three turns that narrow to a tip."""
    d = f"M{at(*cup.swirl(-1, 0))}L{at(*cup.swirl(1, 0))}"
    for bend, end in TURNS:
        d += f"Q{at(*cup.swirl(*bend))} {at(*cup.swirl(*end))}"
    starts = [(1.0, 0.0), *(end for _, end in TURNS[:-1])]
    for (bend_x, bend_y), (x, y) in zip([bend for bend, _ in TURNS[::-1]], starts[::-1], strict=True):
        d += f"Q{at(*cup.swirl(-bend_x, bend_y))} {at(*cup.swirl(-x, y))}"
    return Line("coat", d + "Z")


def _folds(cup: Cupcake) -> Iterator[Shape]:
    """Draw the seams between the turns, on the half that is not cut."""
    for start, bend, end in (((-0.76, 0.34), (-0.4, 0.2), (0, 0.3)), ((-0.5, 0.62), (-0.25, 0.5), (0, 0.6))):
        yield Line("fold", f"M{at(*cup.swirl(*start))}Q{at(*cup.swirl(*bend))} {at(*cup.swirl(*end))}")
