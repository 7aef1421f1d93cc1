"""How long a tier of this very cake has to stand in a fridge, and when it is pleasant to eat out of it.

The same conduction as for a cake in the heat, with cold air around it. A tier that is warmer than its surroundings
sheds more heat from its top than the film of a cold one allows, and water that dries off it cools it further;
neither is credited, so the minutes err to the long side.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from webapp.advice.brief import Brief
from webapp.advice.event import heat_draws
from webapp.advice.heat import CakeHeat, coat_thickness, family_coat, size_name, tier_body, tier_sizes
from webapp.advice.softness import HEAT_DRAWS
from webapp.catalogue.model import Catalogue, Fact
from webapp.thermal.exposure import Exposure, course_times
from webapp.thermal.holding import Spread
from webapp.thermal.humid import saturation_pressure
from webapp.thermal.tier import TierBody
from webapp.thermal.uncertainty import Draws, standard_draws, within_range
from webapp.thermal.warming import Warming, warm_up

Array = NDArray[np.float64]

LONGEST_CHILL_H = 24.0  # a tier that is not cold then has no time that could be planned
LONGEST_TEMPER_H = 12.0
_FRIDGE_HUMIDITY = 0.8  # the cake is warmer than its dew point: nothing condenses, whatever is taken


@dataclass(frozen=True, slots=True)
class Chill:
    """Hours of one tier in the fridge: until its coat is firm, and until its core is cold; and how warm each then is.

    The low belongs to a fridge that moves its air, the high to still air; both with the range of the fridge's own
    temperature and of the cake's conduction. ``LONGEST_CHILL_H`` stands for longer and for never. ``firm_c`` and
    ``core_c`` are the temperatures [°C] that count as firm and as cold, ``from_c`` [°C] is what it starts from.
    """

    tier: str
    crumb_firm_h: Spread
    coat_firm_h: Spread
    core_h: Spread
    firm_c: float
    core_c: float
    from_c: float


def chills_of(brief: Brief, family: str, catalogue: Catalogue, seed: int) -> tuple[Chill, ...]:
    """Return how long every tier takes in the fridge under a family's coat, bottom tier first, cupcakes last."""
    sizes = tier_sizes(brief, catalogue)
    names = [size_name(brief, i) for i in range(len(sizes))]
    made_of = family_coat(catalogue, family)
    crumb_m = catalogue.fact("cake", "crumb_coat_mm").value / 1000
    thick = [coat_thickness(brief, catalogue, name) for name in names]
    thin = [min(crumb_m, t) for t in thick]
    coated, crumbed = (
        [tier_body(size, t, made_of, brief, catalogue) for size, t in zip(sizes, each, strict=True)]
        for each in (thick, thin)
    )
    firm_c, from_c = catalogue.fact("chill", "coat_firm").value, catalogue.fact("kitchen", "air").value
    core_c = cold_core_c(brief, catalogue)
    courses = fridge_courses([*coated, *crumbed], from_c, catalogue, seed)
    firm = [hours_to_cool(courses, lambda w: w.coat, firm_c, row) for row in range(2 * len(names))]
    core = [hours_to_cool(courses, lambda w: w.core, core_c, row) for row in range(len(names))]
    return tuple(
        Chill(name, firm[len(names) + n], firm[n], core[n], firm_c, core_c, from_c) for n, name in enumerate(names)
    )


def cold_core_c(brief: Brief, catalogue: Catalogue) -> float:
    """Return the core temperature [°C] that counts as chilled: near what the brief asks for and a fridge can give."""
    coldest = max(brief.start_c, catalogue.fact("fridge", "air").value)
    return coldest + catalogue.fact("chill", "through").value


def fridge_courses(bodies: list[TierBody], from_c: float, catalogue: Catalogue, seed: int) -> tuple[Warming, Warming]:
    """Cool bodies from one temperature [°C] throughout: in a fridge that moves its air, and in a still one."""
    draws = fridge_draws(catalogue, seed)
    winds = [catalogue.fact("fridge", name).value for name in ("moved_air", "still_air")]
    air_c = catalogue.fact("fridge", "air").value
    moved, still = (warm_up(bodies, steady(air_c, wind, LONGEST_CHILL_H), draws, from_c, 0.0) for wind in winds)
    return moved, still


def fridge_draws(catalogue: Catalogue, seed: int) -> Draws:
    """Return the draws of a fridge's air and of the cake's conduction; walls are as cold as the air."""
    z = standard_draws(HEAT_DRAWS, seed)
    air = catalogue.fact("fridge", "air")
    off_k = within_range(z["air"], 0.0, air.low - air.value, air.high - air.value)
    kitchen = heat_draws(Brief(), catalogue, HEAT_DRAWS, seed, dt.date.min)
    return replace(kitchen, air_k=off_k, radiant_k=off_k)


def steady(air_c: float, wind_mps: float, hours: float) -> Exposure:
    """Return surroundings that do not change: air and walls [°C], moving air [m/s]."""
    times = course_times(0.0, hours)
    same = np.ones_like(times)
    return Exposure(
        hours=times,
        air_c=air_c * same,
        vapour_pa=_FRIDGE_HUMIDITY * saturation_pressure(air_c * same),
        wind_mps=wind_mps * same,
        radiant_side_c=air_c * same,
        radiant_top_c=air_c * same,
        sun_side=0 * same,
        sun_top=0 * same,
        is_boxed=np.zeros(len(times), dtype=np.bool_),
    )


def hours_to_cool(
    courses: tuple[Warming, Warming], place: Callable[[Warming], Array], to_c: float, body: int
) -> Spread:
    """Return hours until a place is at or below ``to_c``: low of the moved air, high of the still, likely of both."""
    moved, still = (first_below(course.hours, place(course)[body], to_c, LONGEST_CHILL_H) for course in courses)
    both = Spread.of(np.concatenate([moved, still]))
    return Spread(Spread.of(moved).low, both.likely, Spread.of(still).high)


def first_below(hours: Array, temperature_c: Array, to_c: float, never_h: float) -> Array:
    """Return for each draw the first hour at which a course [°C] (n, S) is at or below ``to_c``; see `first_above`."""
    return first_above(hours, -temperature_c, -to_c, never_h)


def first_above(hours: Array, temperature_c: Array, to_c: float, never_h: float) -> Array:
    """Return for each draw the first hour at which a course [°C] (n, S) is at or above ``to_c``, else ``never_h``.

    Straight between the times.
    """
    there = temperature_c >= to_c
    after = np.argmax(there, axis=0)
    draws = np.arange(temperature_c.shape[1])
    before = np.maximum(after - 1, 0)
    t0, t1 = temperature_c[before, draws], temperature_c[after, draws]
    share = np.divide(to_c - t0, t1 - t0, out=np.zeros_like(t0), where=np.abs(t1 - t0) > 1e-9)
    at = hours[before] + np.clip(share, 0.0, 1.0) * (hours[after] - hours[before])
    return np.where(there.any(axis=0), np.where(after == 0, hours[0], at), never_h)


def temper_hours(brief: Brief, family: str, catalogue: Catalogue, seed: int) -> Spread:
    """Return hours out of the fridge in the kitchen until the slowest coat is as warm as the brief lets it leave."""
    fridge_c, kitchen_c = catalogue.fact("fridge", "air").value, catalogue.fact("kitchen", "air").value
    made_of = family_coat(catalogue, family)
    bodies = [
        tier_body(size, coat_thickness(brief, catalogue, size_name(brief, i)), made_of, brief, catalogue)
        for i, size in enumerate(tier_sizes(brief, catalogue))
    ]
    draws = heat_draws(Brief(), catalogue, HEAT_DRAWS, seed, dt.date.min)
    course = warm_up(bodies, steady(kitchen_c, 0.1, LONGEST_TEMPER_H), draws, fridge_c, 0.0)
    slowest = course.coat.min(axis=0)
    return Spread.of(first_above(course.hours, slowest, min(brief.start_c, kitchen_c - 1.0), LONGEST_TEMPER_H))


@dataclass(frozen=True, slots=True)
class Serving:
    """When the cake on the table is pleasant to eat: hours from its arrival, its temperatures [°C] when it is cut.

    ``coat_h`` and ``core_h`` are the hours until the coldest tier has the temperatures wanted; none where the likely
    course does not get there within what is computed. ``shape_h`` is how long nine cakes in ten keep their look.
    ``early_h`` is how much sooner than asked it should leave the cold so that the coat is pleasant when cut, as far as
    that costs no shape; ``is_in_time`` whether that is enough.
    """

    coat: Fact
    core: Fact
    coat_h: Spread | None
    core_h: Spread | None
    coat_c: Spread
    core_c: Spread
    shape_h: float
    early_h: float

    def is_in_time(self, hold_h: float) -> bool:
        """Whether the coat is pleasant when cut after so many hours [h], having left the cold as early as advised."""
        return self.coat_h is not None and self.coat_h.likely <= hold_h + self.early_h + 1e-9


def serving_of(heat: CakeHeat, family: str, shape_h: float, catalogue: Catalogue) -> Serving:
    """Read from the course on the table when the coldest tier is pleasant, and how early to bring it out for that.

    Standing earlier in the same place is taken to add hours at the end of the course that is known.
    """
    hours, hold_h = heat.warming.hours, heat.brief.hold_hours
    rows = heat.bodies(family)
    coat, core = heat.warming.coat[rows].min(axis=0), heat.warming.core[rows].min(axis=0)
    wanted, wanted_core = catalogue.fact("serving", "coat"), catalogue.fact("serving", "core")
    coat_h, core_h = _ready(hours, coat, wanted.value), _ready(hours, core, wanted_core.value)
    late = 0.0 if coat_h is None else max(0.0, coat_h.likely - hold_h)
    return Serving(
        coat=wanted,
        core=wanted_core,
        coat_h=coat_h,
        core_h=core_h,
        coat_c=_at(hours, coat, hold_h),
        core_c=_at(hours, core, hold_h),
        shape_h=shape_h,
        early_h=min(late, max(0.0, shape_h - hold_h)),
    )


def _ready(hours: Array, course: Array, to_c: float) -> Spread | None:
    never = float(hours[-1]) + 1.0
    found = Spread.of(np.maximum(first_above(hours, course, to_c, never), 0.0))
    return None if found.likely > hours[-1] else found


def _at(hours: Array, course: Array, hour: float) -> Spread:
    """Temperatures [°C] of the draws at an hour, straight between the times."""
    end = int(np.clip(np.searchsorted(hours, hour, side="left"), 1, len(hours) - 1))
    gap = hours[end] - hours[end - 1]
    share = (hour - hours[end - 1]) / gap if gap > 0 else 1.0
    return Spread.of(course[end - 1] + share * (course[end] - course[end - 1]))
