"""The cake of a brief warming through, and how long each buttercream keeps its look on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from webapp.advice.brief import Brief
from webapp.advice.event import exposure_of, heat_draws
from webapp.advice.softness import HEAT_DRAWS
from webapp.catalogue.composition import Composition, compose
from webapp.catalogue.model import Catalogue, SolidsCurve
from webapp.kitchen.geometry import TierSize
from webapp.thermal.exposure import Exposure
from webapp.thermal.foods import ThermalProperties, aerated, gas_free, melting_heat
from webapp.thermal.holding import Spread, hold_hours, stands, warmest_so_far
from webapp.thermal.tier import TierBody
from webapp.thermal.warming import Warming, hours_below_dew, warm_up

Array = NDArray[np.float64]

Place = Literal["coat", "edge", "filling"]
_MELTING_FROM_C, _MELTING_TO_C = 5.0, 30.0
MILK_FAT_LATENT_J_KG = 80_800.0  # Abd El-Rahman, Shalabi & Kilara (1998), anhydrous milk fat by calorimetry


@dataclass(frozen=True, slots=True, eq=False)
class PartHold:
    """Hours that one part keeps its shape for every draw (S, K), with what decided."""

    hours: Array
    stands: NDArray[np.bool_]
    threshold: Array
    peak: Array

    @property
    def spread(self) -> Spread:
        """Low, likely and high hours."""
        return Spread.of(self.hours)

    @property
    def chance(self) -> float:
        """Share of draws in which the part holds as long as needed."""
        return np.count_nonzero(self.stands) / self.stands.size


@dataclass(frozen=True, slots=True, eq=False)
class _Course:
    """The running maximum (n, S) of the worst tier at one place, on arrival and until the cake is cut (S,)."""

    warmest: Array
    on_arrival: Array
    peak: Array


@dataclass(frozen=True, slots=True, eq=False)
class CakeHeat:
    """The warmed cake; bodies are numbered family by family, tier by tier within a family."""

    brief: Brief
    exposure: Exposure
    warming: Warming
    families: tuple[str, ...]
    tiers: tuple[str, ...]
    _courses: dict[tuple[str, str, bool], _Course] = field(default_factory=dict, repr=False)

    def shifted(self, place: int) -> CakeHeat:
        """The cake in one of the shifts of air that were stepped along, counted from 0."""
        chosen = slice(place * HEAT_DRAWS, (place + 1) * HEAT_DRAWS)
        return replace(self, warming=self.warming.of_draws(chosen), _courses={})

    def halfway(self, hotter: CakeHeat) -> CakeHeat:
        """The cake of the one family of a hotter course, in air halfway to that.

        A cake follows its surroundings so nearly in proportion that nothing has to be stepped for it: to 0.05 K in
        the tests, on average also where a wet cake dries at another time.
        """
        (family,) = hotter.families
        warming = self.warming.of_bodies(self.bodies(family)).midway(hotter.warming)
        return replace(hotter, warming=warming, _courses={})

    def bodies(self, family: str) -> list[int]:
        """The rows of a family's bodies, bottom tier first."""
        start = self.families.index(family) * len(self.tiers)
        return list(range(start, start + len(self.tiers)))

    def part(
        self,
        place: Place,
        family: str,
        threshold: Array,
        *,
        bottom_only: bool = False,
    ) -> PartHold:
        """Let the worst tier under a family's coat meet thresholds (S, K) at a place of the cake."""
        course = self._course(place, family, bottom_only)
        arrived_soft = course.on_arrival[:, None] > threshold
        hours = np.where(arrived_soft, 0.0, hold_hours(self.warming.hours, course.warmest, threshold))
        return PartHold(
            hours=hours,
            stands=stands(hours, arrived_soft, self.brief.hold_hours),
            threshold=threshold,
            peak=course.peak,
        )

    def parts(self, place: Place, family: str, thresholds: Sequence[Array]) -> list[PartHold]:
        """Let a place meet several sets of thresholds (S, K) at once."""
        whole = self.part(place, family, np.concatenate(thresholds, axis=1))
        ends = list(accumulate((each.shape[1] for each in thresholds), initial=0))
        return [
            PartHold(whole.hours[:, start:end], whole.stands[:, start:end], threshold, whole.peak)
            for threshold, (start, end) in zip(thresholds, pairwise(ends), strict=True)
        ]

    def peak(self, place: str, family: str) -> Array:
        """Return the warmest [°C] of a place under a family's coat until the cake is cut, for each draw (S,)."""
        return self._course(place, family, bottom_only=False).peak

    def _course(self, place: str, family: str, bottom_only: bool) -> _Course:
        key = (place, family, bottom_only)
        if key not in self._courses:
            bodies = self.bodies(family)[: 1 if bottom_only else None]
            warmest = warmest_so_far(getattr(self.warming, place)[bodies])
            arrival = int(np.searchsorted(self.warming.hours, 0.0, side="right")) - 1
            self._courses[key] = _Course(warmest, warmest[arrival], self._peak(warmest))
        return self._courses[key]

    def _peak(self, warmest: Array) -> Array:
        """Warmest [°C] until the cake is cut, for each draw (S,)."""
        hours = self.warming.hours
        end = int(np.searchsorted(hours, self.brief.hold_hours, side="right")) - 1
        following = min(end + 1, len(hours) - 1)
        gap = hours[following] - hours[end]
        share = (self.brief.hold_hours - hours[end]) / gap if gap > 0 else 0.0
        return np.asarray(warmest[end] + share * (warmest[following] - warmest[end]))


def warm_cake(
    brief: Brief,
    catalogue: Catalogue,
    seed: int,
    today: dt.date,
    families: tuple[str, ...] | None = None,
    *,
    shifts_k: tuple[float, ...] = (0.0,),
    until_h: float | None = None,
) -> CakeHeat:
    """Warm every tier of the brief under a coat of every family, or of some.

    ``shifts_k`` steps the same draws once for each shift of the air [K], side by side; see
    :meth:`CakeHeat.shifted`. ``until_h`` stops the course there, where nothing is asked of later hours.
    """
    names = tuple(_distinct(_sizes(brief, catalogue)))
    families = families or tuple(catalogue.families)
    bodies = [body for family in families for body in _bodies(brief, catalogue, family)]
    exposure = exposure_of(brief, catalogue, today)
    if until_h is not None:
        exposure = exposure.until(until_h)
    draws = heat_draws(brief, catalogue, HEAT_DRAWS, seed, today)
    warming = warm_up(
        bodies,
        exposure,
        draws.shifted(shifts_k),
        brief.start_c,
        catalogue.fact(f"colour:{brief.colour}", "absorptance").value,
    )
    return CakeHeat(brief, exposure, warming, families, names)


def boxed_cold_hours(brief: Brief, catalogue: Catalogue, seed: int, today: dt.date, family: str) -> Array:
    """Return how long [h] after its arrival a cake in its shut box stays below the dew point of the place (S,)."""
    exposure = exposure_of(brief, catalogue, today, is_boxed=True).until(brief.hold_hours)
    draws = heat_draws(brief, catalogue, HEAT_DRAWS, seed, today)
    return hours_below_dew(_bodies(brief, catalogue, family), exposure, draws, brief.start_c)


def _bodies(brief: Brief, catalogue: Catalogue, family: str) -> list[TierBody]:
    sizes, coat = _sizes(brief, catalogue), family_coat(catalogue, family)
    return [
        tier_body(sizes[name], coat_thickness(brief, catalogue, name), coat, brief, catalogue)
        for name in _distinct(sizes)
    ]


def _sizes(brief: Brief, catalogue: Catalogue) -> dict[str, TierSize]:
    return {size_name(brief, i): size for i, size in enumerate(tier_sizes(brief, catalogue))}


CUPCAKE = "cupcakes"


def tier_sizes(brief: Brief, catalogue: Catalogue) -> list[TierSize]:
    """The tiers of a brief, bottom first, and one cupcake last where there are any."""
    sizes = [TierSize(t.area_cm2, t.perimeter_cm, t.height_cm, t.layers) for t in brief.tiers]
    if brief.cupcakes:
        width = catalogue.fact("cupcake", "width_mm").value / 10
        height = catalogue.fact("cupcake", "height_mm").value / 10
        sizes.append(TierSize(np.pi * width**2 / 4, np.pi * width, height, 1))
    return sizes


def size_name(brief: Brief, index: int) -> str:
    """Name a tier for people: bottom tier, second tier …, top tier, cupcakes."""
    count = len(brief.tiers)
    if index >= count:
        return CUPCAKE
    if count == 1:
        return "cake"
    if index == 0:
        return "bottom tier"
    if index == count - 1:
        return "top tier"
    return ("second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")[index - 1] + " tier"


def _distinct(sizes: dict[str, TierSize]) -> list[str]:
    """Keep one name for each size: tiers alike warm alike."""
    seen: dict[TierSize, str] = {}
    for name, size in sizes.items():
        seen.setdefault(size, name)
    return list(seen.values())


def coat_thickness(brief: Brief, catalogue: Catalogue, name: str) -> float:
    """Coat thickness [m]; a cupcake's swirl counts as a coat of a third of its height, a cone's mean."""
    if name == CUPCAKE:
        return catalogue.fact("cupcake", "swirl_mm").value / 3000
    return brief.coat_mm / 1000


def tier_body(size: TierSize, coat_m: float, coat: ThermalProperties, brief: Brief, catalogue: Catalogue) -> TierBody:
    """Return a tier under ``coat_m`` [m] of a coat as a body that conducts; outlines other than round by their area."""
    sponge = {
        name: catalogue.fact(f"sponge:{brief.sponge}", name).value
        for name in ("conductivity", "density", "heat_capacity")
    }
    return TierBody(
        radius=size.equal_radius_cm / 100,
        height=size.height_cm / 100,
        coat=coat_m,
        cake_conductivity=sponge["conductivity"],
        cake_capacity=sponge["density"] * sponge["heat_capacity"],
        coat_conductivity=coat.conductivity,
        coat_capacity=coat.capacity,
    )


def family_coat(catalogue: Catalogue, family: str) -> ThermalProperties:
    """Thermal properties of a family's coat, from its first formulation; the others differ by less than the range."""
    formulation = next(f for f in catalogue.formulations.values() if f.family.id == family)
    density = 1000 * catalogue.formulation_fact(formulation, "density").value
    return _coat_of(compose(formulation), density, catalogue.fats["milk-fat"])


@lru_cache(maxsize=64)
def _coat_of(made: Composition, density: float, curve: SolidsCurve) -> ThermalProperties:
    beaten = aerated(gas_free(_shares(made)), density)
    solids = np.interp((_MELTING_FROM_C, _MELTING_TO_C), curve.temperature_c, curve.solids_pct) / 100
    span = _MELTING_TO_C - _MELTING_FROM_C
    extra = melting_heat(made.fat / 100, float(solids[0]), float(solids[1]), span, MILK_FAT_LATENT_J_KG)
    return ThermalProperties(beaten.conductivity, beaten.density, beaten.specific_heat + extra)


def _shares(made: Composition) -> dict[str, float]:
    return {
        "water": made.water,
        "fat": made.fat,
        "protein": made.protein,
        "carbohydrate": made.sugar + made.starch + made.other,
    }
