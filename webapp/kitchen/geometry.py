"""Volumes, masses and loads of a stack of tiers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

GRAVITY = 9.80665

Shape = Literal["round", "square", "rectangle", "hexagon", "heart"]


@dataclass(frozen=True, slots=True)
class Footprint:
    """What a tier covers: area [cm²] and length around it [cm]."""

    area_cm2: float
    outline_cm: float


def footprint(shape: Shape, width_cm: float, depth_cm: float | None = None) -> Footprint:
    """Return the footprint of a tin.

    Parameters
    ----------
    shape
        ``hexagon`` is regular; ``heart`` is a square on its corner with half a disc on each upper side, as tins are.
    width_cm
        Diameter, longer side, distance across the flats of a hexagon, overall width of a heart [cm].
    depth_cm
        The other side of a rectangle [cm]; the width where it is not given.
    """
    if shape == "round":
        return Footprint(math.pi * width_cm**2 / 4, math.pi * width_cm)
    if shape == "hexagon":
        return Footprint(math.sqrt(3) / 2 * width_cm**2, 2 * math.sqrt(3) * width_cm)
    if shape == "heart":
        side = width_cm / (1 + math.sqrt(0.5))
        return Footprint(side**2 * (1 + math.pi / 4), side * (2 + math.pi))
    other = width_cm if depth_cm is None else depth_cm
    return Footprint(width_cm * other, 2 * (width_cm + other))


def depth_across(shape: Shape, width_cm: float, depth_cm: float | None = None) -> float:
    """Return the other overall measure of a tier [cm], at right angles to its width."""
    if shape == "hexagon":
        return 2 / math.sqrt(3) * width_cm
    if shape == "heart":
        return width_cm * (0.5 + 0.75 * math.sqrt(2)) / (1 + math.sqrt(0.5))
    return depth_cm if shape == "rectangle" and depth_cm is not None else width_cm


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

    def side_ml(self, coat_mm: float) -> float:
        """Volume [mL] of a coat of even thickness around the side, from the board to the top of the coat.

        The outline grows by pi times twice the thickness: exact for a circle, rounded upright edges on a box; a
        heart's notch makes it up to a quarter of the thickness squared too much, under a thousandth.
        """
        t = coat_mm / 10
        return (self.outline_cm * t + math.pi * t * t) * (self.height_cm + t)

    def top_ml(self, coat_mm: float) -> float:
        """Volume [mL] of a coat of even thickness on the top, inside the coat of the side."""
        return self.area_cm2 * coat_mm / 10

    def coat_ml(self, coat_mm: float) -> float:
        """Volume [mL] of a coat of even thickness on side and top."""
        return self.side_ml(coat_mm) + self.top_ml(coat_mm)

    def edge_cm(self, coat_mm: float) -> float:
        """Length [cm] around the outside of the coat, along which borders are piped."""
        return self.outline_cm + 2 * math.pi * coat_mm / 10

    def dam_ml(self, filling_mm: float, dam_mm: float) -> float:
        """Volume [mL] of a ring of this width just inside the edge of every filling, at most the whole filling.

        The ring loses pi times its width squared to the inward turn: exact for a circle; a box has 4 - pi of them less.
        """
        width = dam_mm / 10
        ring = min(self.outline_cm * width - math.pi * width * width, self.area_cm2)
        return (self.layers - 1) * ring * filling_mm / 10


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


def cake_amounts(tiers: Sequence[TierSize], coat_mm: float, filling_mm: float, sponge_density: float) -> CakeAmounts:
    """Return the amounts of a stack of tiers; thicknesses in mm, ``sponge_density`` in g/mL."""
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
