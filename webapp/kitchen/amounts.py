"""How much coat and filling a cake takes, place by place, so that every number can be followed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from webapp.kitchen.geometry import TierSize

Role = Literal["coat", "filling"]
Edging = Literal["side-rosettes", "top-edge", "foot-edge", "mending"]
Kind = Literal["crumb-coat", "outer-coat", "dam", "filling", Edging, "swirl", "core"]
TAKEN_ALONG = "taken along"  # a place that is no tier, and so weighs on none


@dataclass(frozen=True, slots=True)
class Rosette:
    """A piped rosette, taken as a dome: a paraboloid on a disc [mm]; ``spacing_mm`` from centre to centre."""

    width_mm: float
    height_mm: float
    spacing_mm: float

    @property
    def ml(self) -> float:
        """Volume [mL]: half of the cylinder around it."""
        return math.pi * self.width_mm**2 / 4 * self.height_mm / 2 / 1000

    @property
    def mean_mm(self) -> float:
        """Thickness [mm] of an even coat of as much, over the square that each covers."""
        return 1000 * self.ml / self.spacing_mm**2

    def rows_on(self, height_cm: float) -> int:
        """Return how many rows cover a side, nearest to its height; at least one."""
        return max(1, math.floor(10 * height_cm / self.spacing_mm + 0.5))

    def around(self, edge_cm: float) -> int:
        """Return how many stand side by side around a tier, without a gap."""
        return math.ceil(10 * edge_cm / self.spacing_mm - 1e-9)


@dataclass(frozen=True, slots=True)
class Layout:
    """How a cake is to be finished: thicknesses [mm], borders [mL per metre of edge], cupcakes.

    ``coat_mm`` is the whole coat; the crumb coat is its first ``crumb_mm`` and never more than it. ``dam_mm`` is 0
    where no dam is piped. ``rosette`` is what covers the side, if anything does. ``swirl_mm`` is the height of a
    swirl, ``swirl_share`` what it fills of the cylinder around it, ``core_ml`` what goes into one cupcake.
    ``cupcake`` is one of them without its swirl. ``mending_ml_m`` is what is taken along, in a bag, for each metre
    around the foot of a tier that is stacked.
    """

    coat_mm: float
    crumb_mm: float
    filling_mm: float
    dam_mm: float
    top_edge_ml_m: float
    foot_edge_ml_m: float
    rosette: Rosette | None = None
    cupcakes: int = 0
    cupcake: TierSize | None = None
    swirl_mm: float = 0.0
    swirl_share: float = 1 / 3
    core_ml: float = 0.0
    mending_ml_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Portion:
    """What one place of the cake takes [mL], with the measures it follows from; those that do not apply are 0."""

    place: str
    kind: Kind
    role: Role
    ml: float
    area_cm2: float = 0.0
    thickness_mm: float = 0.0
    length_cm: float = 0.0
    count: int = 1


def portions_of(tiers: Sequence[tuple[str, TierSize]], layout: Layout) -> tuple[Portion, ...]:
    """Return every portion of an order, tier by tier from the bottom, cupcakes last; what takes nothing is left out."""
    portions = [portion for name, tier in tiers for portion in _of_tier(name, tier, layout)]
    portions += _for_mending([tier for _, tier in tiers[1:]], layout)
    portions += _of_cupcakes(layout)
    return tuple(portion for portion in portions if portion.ml > 0)


def _of_tier(name: str, tier: TierSize, layout: Layout) -> Iterator[Portion]:
    crumb_mm = min(layout.crumb_mm, layout.coat_mm)
    crumb_ml, whole_ml = tier.coat_ml(crumb_mm), tier.coat_ml(layout.coat_mm)
    covered = tier.outline_cm * tier.height_cm + tier.area_cm2
    yield Portion(name, "crumb-coat", "coat", crumb_ml, covered, crumb_mm)
    if layout.rosette is None:
        yield Portion(name, "outer-coat", "coat", whole_ml - crumb_ml, covered, layout.coat_mm - crumb_mm)
    else:
        yield from _under_rosettes(name, tier, layout, layout.rosette, crumb_mm)
    yield from _between(name, tier, layout)
    edge_cm = tier.edge_cm(layout.coat_mm)
    yield Portion(name, "top-edge", "coat", edge_cm / 100 * layout.top_edge_ml_m, length_cm=edge_cm)
    yield Portion(name, "foot-edge", "coat", edge_cm / 100 * layout.foot_edge_ml_m, length_cm=edge_cm)


def _under_rosettes(name: str, tier: TierSize, layout: Layout, rosette: Rosette, crumb_mm: float) -> Iterator[Portion]:
    """Give the coat of the top, what the side has more than its rosettes, and the rosettes of the side.

    Rosettes are piped on the crumb coat and are the coat of the side; only what a thicker coat has beyond their mean
    is spread below them.
    """
    over_mm = layout.coat_mm - crumb_mm
    side_mm = max(0.0, over_mm - rosette.mean_mm)
    top_ml = tier.top_ml(layout.coat_mm) - tier.top_ml(crumb_mm)
    yield Portion(name, "outer-coat", "coat", top_ml, tier.area_cm2, over_mm)
    side_ml = tier.side_ml(crumb_mm + side_mm) - tier.side_ml(crumb_mm)
    yield Portion(name, "outer-coat", "coat", side_ml, tier.outline_cm * tier.height_cm, side_mm)
    # Counted on the crumb coat's outside, where they are piped.
    rows, around = rosette.rows_on(tier.height_cm), rosette.around(tier.edge_cm(crumb_mm + side_mm))
    piped_ml = rows * around * rosette.ml
    yield Portion(name, "side-rosettes", "coat", piped_ml, 0.0, rosette.height_mm, rosette.width_mm / 10, rows * around)


def _between(name: str, tier: TierSize, layout: Layout) -> Iterator[Portion]:
    """Give the dam and what it rings; together they are the fillings as thick as asked."""
    gaps = tier.layers - 1
    if not gaps:
        return
    whole_ml = tier.filling_ml(layout.filling_mm)
    dam_ml = tier.dam_ml(layout.filling_mm, layout.dam_mm)
    width = layout.dam_mm
    yield Portion(name, "dam", "coat", dam_ml, thickness_mm=width, length_cm=tier.outline_cm, count=gaps)
    inside_cm2 = (whole_ml - dam_ml) / gaps / (layout.filling_mm / 10) if layout.filling_mm else 0.0
    yield Portion(name, "filling", "filling", whole_ml - dam_ml, inside_cm2, layout.filling_mm, count=gaps)


def _for_mending(stacked: Sequence[TierSize], layout: Layout) -> Iterator[Portion]:
    """Give the coat that goes along in a bag, for the feet of the tiers that stand on another."""
    around_cm = math.fsum(tier.edge_cm(layout.coat_mm) for tier in stacked)
    ml = around_cm / 100 * layout.mending_ml_m
    yield Portion(TAKEN_ALONG, "mending", "coat", ml, length_cm=around_cm, count=len(stacked))


def _of_cupcakes(layout: Layout) -> Iterator[Portion]:
    if not layout.cupcakes or layout.cupcake is None:
        return
    swirl_ml = layout.cupcake.area_cm2 * layout.swirl_mm / 10 * layout.swirl_share
    area, count = layout.cupcake.area_cm2, layout.cupcakes
    yield Portion("cupcakes", "swirl", "coat", count * swirl_ml, area, layout.swirl_mm, count=count)
    yield Portion("cupcakes", "core", "filling", count * layout.core_ml, count=count)


@dataclass(frozen=True, slots=True)
class Losses:
    """What does not stay on the cake, over what does [share]: on bowl and beater, in bags, taken off in smoothing."""

    bowl: float
    bag: float
    trimming: float

    @property
    def whole(self) -> float:
        """All of it together."""
        return self.bowl + self.bag + self.trimming

    def scaled_to(self, whole: float) -> Losses:
        """Return the same mix making up another whole [share], in equal thirds where there was none."""
        if self.whole == 0:
            return Losses(whole / 3, whole / 3, whole / 3)
        factor = whole / self.whole
        return Losses(self.bowl * factor, self.bag * factor, self.trimming * factor)


@dataclass(frozen=True, slots=True)
class Need:
    """What one buttercream must be made of [g]: on the cake, and what stays behind of it."""

    on_cake_g: float
    bowl_g: float
    bag_g: float
    trimming_g: float

    @property
    def whole_g(self) -> float:
        """All of it."""
        return math.fsum((self.on_cake_g, self.bowl_g, self.bag_g, self.trimming_g))

    def __add__(self, other: Need) -> Need:
        """Put two needs of the same buttercream together."""
        return Need(
            self.on_cake_g + other.on_cake_g,
            self.bowl_g + other.bowl_g,
            self.bag_g + other.bag_g,
            self.trimming_g + other.trimming_g,
        )


def need_of(portions: Sequence[Portion], role: Role, density_g_ml: float, losses: Losses) -> Need:
    """Return what a role takes [g] at a density of the beaten buttercream [g/mL]."""
    grams = math.fsum(portion.ml for portion in portions if portion.role == role) * density_g_ml
    return Need(grams, grams * losses.bowl, grams * losses.bag, grams * losses.trimming)
