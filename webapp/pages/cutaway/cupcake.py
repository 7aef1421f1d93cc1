"""One cupcake: its paper case and swirl outside on the left, cut on the right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from webapp.pages.cutaway.layout import Frame, Sizes
from webapp.pages.cutaway.shapes import Line, Point, Shape, at, box, polyline

FOOT = 0.72  # width of the case at its foot, of that at its rim
PLEATS = 5


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
    corners = [(cup.x - cup.half, cup.rim), (cup.x + cup.half, cup.rim), (cup.x + foot, cup.base), (cup.x - foot, cup.base)]
    yield _closed("case", corners)
    yield _closed("sponge", [(cup.x, cup.rim), (cup.x + cup.half - 1, cup.rim), (cup.x + foot - 1, cup.base - 1), (cup.x, cup.base - 1)])
    for n in range(1, PLEATS):
        share = n / PLEATS
        yield polyline("pleat", [(cup.x - cup.half * share, cup.rim), (cup.x - foot * share, cup.base)])
    yield _swirl(cup)
    if is_filled:
        deep = 0.55 * (cup.base - cup.rim)
        yield box("filling", cup.x, cup.rim, cup.x + 0.3 * cup.half, cup.rim + deep, 3)
    yield from _folds(cup)
    yield polyline("cut-line", [(cup.x, cup.tip), (cup.x, cup.base)])


def _closed(kind: str, points: list[Point]) -> Line:
    return Line(kind, polyline(kind, points).d + "Z")


def _swirl(cup: Cupcake) -> Line:
    """Draw three turns that narrow to a tip."""
    right = [(1.04, 0.0, 1.12, 0.26, 0.76, 0.33), (0.9, 0.56, 0.5, 0.62), (0.62, 0.82, 0.0, 1.0)]
    d = f"M{at(*cup.swirl(-1, 0))}L{at(*cup.swirl(1, 0))}"
    d += f"Q{at(*cup.swirl(1.15, 0.2))} {at(*cup.swirl(0.76, 0.34))}"
    for bend_x, bend_y, x, y in ((right[1][0], right[1][1], right[1][2], right[1][3]), right[2]):
        d += f"Q{at(*cup.swirl(bend_x, bend_y))} {at(*cup.swirl(x, y))}"
    for bend_x, bend_y, x, y in ((-0.5, 0.82, -0.5, 0.62), (-0.9, 0.56, -0.76, 0.34), (-1.15, 0.2, -1, 0)):
        d += f"Q{at(*cup.swirl(bend_x, bend_y))} {at(*cup.swirl(x, y))}"
    return Line("coat", d + "Z")


def _folds(cup: Cupcake) -> Iterator[Shape]:
    """Draw the seams between the turns, on the half that is not cut."""
    for start, bend, end in (((-0.76, 0.34), (-0.4, 0.2), (0, 0.3)), ((-0.5, 0.62), (-0.25, 0.5), (0, 0.6))):
        yield Line("fold", f"M{at(*cup.swirl(*start))}Q{at(*cup.swirl(*bend))} {at(*cup.swirl(*end))}")
