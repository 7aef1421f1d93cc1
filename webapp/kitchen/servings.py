"""Slices by volume against the guests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.kitchen.geometry import TierSize


@dataclass(frozen=True, slots=True)
class Servings:
    """How many a cake serves: the fewest and the most slices of each tier, bottom first, and cupcakes at one each."""

    fewest: tuple[int, ...]
    most: tuple[int, ...]
    cupcakes: int

    @property
    def slices(self) -> tuple[int, int]:
        """The fewest and the most slices of all tiers."""
        return sum(self.fewest), sum(self.most)

    @property
    def whole(self) -> tuple[int, int]:
        """The fewest and the most portions, cupcakes among them."""
        fewest, most = self.slices
        return fewest + self.cupcakes, most + self.cupcakes

    def spare(self, guests: int) -> int:
        """Portions over even where the fewest are cut; short by so many where it is negative."""
        return self.whole[0] - guests


def slices_of(tier: TierSize, slice_ml: float) -> int:
    """Return the slices of a volume [mL] that a tier cuts into, rounded down; a cake serves at least one."""
    return max(1, math.floor(tier.area_cm2 * tier.height_cm / slice_ml + 1e-9))


def servings_of(tiers: Sequence[TierSize], cupcakes: int, slice_ml: tuple[float, float]) -> Servings:
    """Return what an order serves in slices of the least and the most volume [mL].

    Sponge and fillings count, the coat does not.
    """
    least, most = slice_ml
    fewest, many = (tuple(slices_of(tier, volume) for tier in tiers) for volume in (most, least))
    return Servings(fewest, many, cupcakes)
