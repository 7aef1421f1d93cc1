"""What stands on what: weights, pressures on the fillings, boards, dowels, and when tiers travel apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.kitchen.geometry import GRAVITY, TierSize

BORDER_HEIGHT_SHARE = 0.75  # a shell about 12 mm wide and 9 mm high, as edge:borders in the data


@dataclass(frozen=True, slots=True)
class Supports:
    """The trade's rules: one dowel for each so many cm of the tier that carries, boards [mm], limits of carrying."""

    dowel_each_cm: float
    least_dowels: int
    board_mm: float
    margin_mm: float
    apart_kg: float
    apart_tiers: int


@dataclass(frozen=True, slots=True)
class TierMass:
    """One tier, bottom first, with its widths [cm] and what it weighs [g] with coat, filling and piping."""

    name: str
    size: TierSize
    width_cm: float
    depth_cm: float
    sponge_g: float
    filling_g: float
    coat_g: float

    @property
    def whole_g(self) -> float:
        """Sponge, filling and coat [g]; the board is left out."""
        return self.sponge_g + self.filling_g + self.coat_g


@dataclass(frozen=True, slots=True)
class Standing:
    """How one tier stands: what it carries [g], pressures on its lowest filling [kPa], its board and its dowels.

    Without supports the tier above presses on its own footprint; with them a filling carries only its own tier.
    A tier of one layer has no filling: its pressures are 0. ``dowels`` is 0 for a tier that carries nothing.
    """

    tier: TierMass
    on: str
    carries_g: float
    own_kpa: float
    bare_kpa: float
    board_width_cm: float
    board_depth_cm: float
    dowels: int
    dowel_cm: float

    @property
    def own_g(self) -> float:
        """What its lowest filling carries of its own tier [g]."""
        return self.own_kpa * 1000 * self.tier.size.area_cm2 / 1e4 / GRAVITY * 1000


@dataclass(frozen=True, slots=True)
class Stack:
    """The whole stack [g, cm]; ``centre_dowel_cm`` is 0 for fewer than three tiers."""

    standings: tuple[Standing, ...]
    whole_g: float
    height_cm: float
    centre_dowel_cm: float
    travels_apart: bool


def dowel_count(width_cm: float, supports: Supports) -> int:
    """Return how many dowels go into a tier that carries another, by its width [cm]."""
    return max(supports.least_dowels, math.floor(width_cm / supports.dowel_each_cm + 1e-9))


def border_mm(ml_m: float) -> float:
    """Return how wide [mm] a border is by its volume [mL per metre]: half round, three quarters as high as wide."""
    return math.sqrt(ml_m / (math.pi / 4 * BORDER_HEIGHT_SHARE))


def stack_of(tiers: Sequence[TierMass], coat_mm: float, supports: Supports, foot_mm: float = 0.0) -> Stack:
    """Return how tiers, bottom first, stand on each other; ``foot_mm`` is how far a border stands out at the foot."""
    standings = tuple(_standing(place, tiers, coat_mm, supports, foot_mm) for place in range(len(tiers)))
    heights = [tier.size.height_cm + coat_mm / 10 + supports.board_mm / 10 for tier in tiers]
    whole_g = math.fsum(tier.whole_g for tier in tiers)
    # From the bottom board to half way up the top tier.
    centre = sum(heights[:-1]) + tiers[-1].size.height_cm / 2 if len(tiers) > 2 else 0.0
    is_heavy = len(tiers) > 1 and whole_g > 1000 * supports.apart_kg
    return Stack(standings, whole_g, sum(heights), centre, is_heavy or len(tiers) >= supports.apart_tiers)


def _standing(place: int, tiers: Sequence[TierMass], coat_mm: float, supports: Supports, foot_mm: float) -> Standing:
    tier, above = tiers[place], tiers[place + 1 :]
    carries_g = math.fsum(each.whole_g for each in above)
    own_kpa = _own_kpa(tier, coat_mm)
    bare_kpa = own_kpa + _kpa(carries_g, above[0].size.area_cm2) if above and own_kpa else own_kpa
    margin = 2 * supports.margin_mm / 10 if place == 0 else 0.0
    foot = 2 * (coat_mm + foot_mm) / 10 if place == 0 else 0.0
    return Standing(
        tier=tier,
        on=tiers[place - 1].name if place else "",
        carries_g=carries_g,
        own_kpa=own_kpa,
        bare_kpa=bare_kpa,
        board_width_cm=tier.width_cm + foot + margin,
        board_depth_cm=tier.depth_cm + foot + margin,
        dowels=dowel_count(tier.width_cm, supports) if above else 0,
        dowel_cm=tier.size.height_cm + coat_mm / 10 if above else 0.0,
    )


def _own_kpa(tier: TierMass, coat_mm: float) -> float:
    """Return the pressure [kPa] of the layers above on the lowest filling, with the coat on top of them."""
    layers = tier.size.layers
    if layers < 2:
        return 0.0
    top_share = tier.size.top_ml(coat_mm) / tier.size.coat_ml(coat_mm) if coat_mm else 0.0
    above_g = tier.sponge_g * (layers - 1) / layers + tier.filling_g * (layers - 2) / (layers - 1)
    return _kpa(above_g + tier.coat_g * top_share, tier.size.area_cm2)


def _kpa(grams: float, area_cm2: float) -> float:
    return grams / 1000 * GRAVITY / (area_cm2 / 1e4) / 1000
