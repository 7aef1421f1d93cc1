"""Slices by volume against the guests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from webapp.kitchen.geometry import TierSize


@dataclass(frozen=True, slots=True)
class Servings:
    """How many a cake serves: slices of each tier, bottom first, and cupcakes at one each."""

    slices: tuple[int, ...]
    cupcakes: int

    @property
    def whole(self) -> int:
        """All portions."""
        return sum(self.slices) + self.cupcakes

    def spare(self, guests: int) -> int:
        """Portions over; short by so many where it is negative."""
        return self.whole - guests


def slices_of(tier: TierSize, slice_ml: float) -> int:
    """Return the slices of a volume [mL] that a tier cuts into, rounded down; a cake serves at least one."""
    return max(1, math.floor(tier.area_cm2 * tier.height_cm / slice_ml + 1e-9))


def servings_of(tiers: Sequence[TierSize], cupcakes: int, slice_ml: float) -> Servings:
    """Return what an order serves in slices of a volume [mL]; sponge and fillings count, the coat does not."""
    return Servings(tuple(slices_of(tier, slice_ml) for tier in tiers), cupcakes)


def tiers_to_cut(servings: Servings, guests: int) -> int:
    """Return how many tiers from the bottom up, after the cupcakes, must be cut to serve so many; all if too few."""
    if servings.cupcakes >= guests:
        return 0
    served = accumulate(servings.slices, initial=servings.cupcakes)
    enough = (number for number, portions in enumerate(served) if portions >= guests)
    return next(enough, len(servings.slices))
