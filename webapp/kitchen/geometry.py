"""Volumes, masses and loads of a stack of tiers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class TierSize:
    """One tier without its coat: footprint [cm²], outline [cm], height [cm] and layers of sponge."""

    area_cm2: float
    outline_cm: float
    height_cm: float
    layers: int

    @property
    def equal_radius_cm(self) -> float:
        """Radius [cm] of the round tier with the same footprint."""
        return math.sqrt(self.area_cm2 / math.pi)

    def filling_ml(self, filling_mm: float) -> float:
        """Volume [mL] between the layers."""
        return (self.layers - 1) * self.area_cm2 * filling_mm / 10

    def sponge_ml(self, filling_mm: float) -> float:
        """Volume [mL] of the sponge; at least a tenth of the tier, however thick the fillings."""
        whole = self.area_cm2 * self.height_cm
        return max(whole - self.filling_ml(filling_mm), 0.1 * whole)

    def coat_ml(self, coat_mm: float) -> float:
        """Volume [mL] of a coat of even thickness on side and top.

        The outline grows by pi times twice the thickness: exact for a circle, rounded upright edges on a box.
        """
        t = coat_mm / 10
        ring = self.outline_cm * t + math.pi * t * t
        return ring * (self.height_cm + t) + self.area_cm2 * t


@dataclass(frozen=True, slots=True)
class CakeAmounts:
    """Volumes [mL] and mass [g] of everything together."""

    coat_ml: float
    filling_ml: float
    sponge_g: float

    def __add__(self, other: CakeAmounts) -> CakeAmounts:
        """Put two orders together."""
        return CakeAmounts(
            self.coat_ml + other.coat_ml, self.filling_ml + other.filling_ml, self.sponge_g + other.sponge_g
        )


def cake_amounts(
    tiers: Sequence[TierSize], coat_mm: float, filling_mm: float, sponge_density: float
) -> CakeAmounts:
    """Return the amounts of a stack of tiers; ``sponge_density`` in g/mL."""
    return CakeAmounts(
        coat_ml=sum(tier.coat_ml(coat_mm) for tier in tiers),
        filling_ml=sum(tier.filling_ml(filling_mm) for tier in tiers),
        sponge_g=sum(tier.sponge_ml(filling_mm) for tier in tiers) * sponge_density,
    )


def unsupported_load_kpa(
    tiers: Sequence[TierSize], coat_mm: float, filling_mm: float, sponge_density: float, icing_density: float
) -> float:
    """Return the greatest pressure [kPa] that tiers above put on the filling of a tier below them.

    The weight above spreads over the footprint of the tier that stands on it; without boards and dowels that
    is what the filling carries. 0 for a single tier. Densities in g/mL.
    """
    worst = above_g = 0.0
    for upper in reversed(tiers[1:]):
        icing_ml = upper.coat_ml(coat_mm) + upper.filling_ml(filling_mm)
        above_g += upper.sponge_ml(filling_mm) * sponge_density + icing_ml * icing_density
        worst = max(worst, above_g / 1000 * GRAVITY / (upper.area_cm2 / 1e4) / 1000)
    return worst
