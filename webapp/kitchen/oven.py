"""How many loads an oven takes to bake a cake's layers, each in a tin of its own, and its cupcakes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Oven:
    """An oven's shelves [cm], how many are used at once, the air that each tin needs [cm], cupcakes of one load."""

    shelf_width_cm: float
    shelf_depth_cm: float
    shelves: int
    gap_cm: float
    cupcakes: int

    def tins_on_shelf(self, width_cm: float, depth_cm: float) -> int:
        """Return how many tins of a size stand side by side on one shelf; one, however large it is."""
        cell = width_cm + self.gap_cm, depth_cm + self.gap_cm
        turned = cell[1], cell[0]
        return max(1, *(self._grid(*each) for each in (cell, turned)))

    def _grid(self, width_cm: float, depth_cm: float) -> int:
        return math.floor(self.shelf_width_cm / width_cm) * math.floor(self.shelf_depth_cm / depth_cm)

    def loads(self, tins: Iterable[tuple[float, float]]) -> int:
        """Return how many loads these tins (width and depth, one for each layer) take.

        Each size has its shelf or its part of one; a load is as many shelves as the oven uses.
        """
        shelves = sum((Fraction(1, self.tins_on_shelf(*tin)) for tin in tins), Fraction())
        return math.ceil(shelves / self.shelves)

    def cupcake_loads(self, cupcakes: int) -> int:
        """Return how many loads of their own so many cupcakes take: they bake in half the time."""
        return math.ceil(cupcakes / self.cupcakes)
