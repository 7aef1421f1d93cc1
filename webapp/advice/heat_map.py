"""Air against hours on display: which coat comes first where, and where none holds.

Every column is the brief itself on a hotter or cooler day: its air moved as a whole, with the same relative
humidity, drive, sun and draws. A few days are stepped in full; between them each draw's course is taken as straight
in the air, for it is nearly so (0.06 K on the mean, tested against the advice). The event's own day is always one
of them, so the map says at the event what the advice says.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.advice.brief import Brief
from webapp.advice.heat import CakeHeat, warm_cake
from webapp.advice.holds import CoatHold
from webapp.advice.service import Advisor
from webapp.advice.weather import AIR_C as FORECAST_AIR_C
from webapp.advice.weather import Hour
from webapp.catalogue.model import Formulation
from webapp.decision.criteria.base import value_of
from webapp.decision.criteria.hold_time import AMPLE
from webapp.decision.model import HOLDS_FROM, MARGINAL_FROM, HoldClass
from webapp.decision.ranking import CLASSES, SAME, TIE_SHARE, filling_order
from webapp.decision.record import Choice
from webapp.decision.scoring import HEAT_CRITERIA
from webapp.thermal.holding import warmest_so_far

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Courses = Mapping[tuple[str, str], Array]  # by family and place

AIR_C = (15.0, 40.0)
HOURS = (0.25, 12.0)
STEPS = 48
DAYS = 6  # stepped in full beside the event itself; every 5 K
NONE = -1
EDGES = (MARGINAL_FROM, HOLDS_FROM)  # chances at which a coat may hold, and holds
_FAILS = CLASSES.index("fails")


@dataclass(frozen=True, slots=True)
class MapRow:
    """One air [°C]: the coat that comes first there for the hours asked, or the last to fail, and its hours [h].

    Nine cakes in ten keep their look for ``low_h``, one in two for ``likely_h``, one in ten for ``high_h``.
    """

    air_c: float
    coat: Formulation
    hold_class: HoldClass
    low_h: float
    likely_h: float
    high_h: float


@dataclass(frozen=True, slots=True, eq=False)
class HeatMap:
    """The map of one brief. ``chance`` is (coats, air, hours), ``first`` and ``classes`` are (air, hours).

    ``first`` counts into ``coats`` and is ``NONE`` where no coat holds; ``classes`` counts into ``CLASSES``, best
    coat of the cell. Air in °C, hours in h.
    """

    brief: Brief
    coats: tuple[Formulation, ...]
    air_c: Array
    hours: Array
    chance: Array
    first: Indices
    classes: Indices
    event_c: float

    @property
    def best_chance(self) -> Array:
        """The chance of the coat that stands best in each cell (air, hours)."""
        return np.asarray(self.chance.max(axis=0))

    @property
    def is_marginal(self) -> NDArray[np.bool_]:
        """Where the best coat may hold and may not (air, hours)."""
        return np.asarray(self.classes == CLASSES.index("marginal"))

    @property
    def is_event_inside(self) -> bool:
        """Whether the event itself is on the map."""
        return bool(_is_within(AIR_C, self.event_c) and _is_within(HOURS, self.brief.hold_hours))

    def row(self, air_c: float) -> MapRow:
        """Read the map at one air [°C] within it, for the hours that the brief asks for."""
        needed = float(np.clip(self.brief.hold_hours, self.hours[0], self.hours[-1]))
        hour = int(np.abs(self.hours - needed).argmin())
        chance = self._chance_at(air_c)
        enough = chance[:, hour]
        code = int(_class_codes(enough.max()))
        first = int(self.first[np.abs(self.air_c - air_c).argmin(), hour])
        if code == _FAILS or first == NONE or int(_class_codes(enough[first])) > code:
            first = int(np.lexsort((enough, lasting(chance, self.hours, MARGINAL_FROM)))[-1])
        low, likely, high = (float(lasting(chance[first], self.hours, share)) for share in (0.9, 0.5, 0.1))
        return MapRow(air_c, self.coats[first], CLASSES[code], low, likely, high)

    def hottest(self, share: float) -> float | None:
        """Return the air [°C] up to which some coat keeps its look as long as asked with a chance of ``share``.

        None where no air of the map is cool enough; the map's end where all is.
        """
        hour = int(np.abs(self.hours - self.brief.hold_hours).argmin())
        best = np.minimum.accumulate(self.best_chance[:, hour])
        return None if best[0] < share else float(lasting(best, self.air_c, share))

    def _chance_at(self, air_c: float) -> Array:
        return np.asarray(_between(self.air_c, self.chance.swapaxes(0, 1), np.array([air_c]))[0])


def heat_map(advisor: Advisor, brief: Brief, today: dt.date) -> HeatMap | None:
    """Compute the map of a brief on 48 by 48 cells; none where nothing fits the brief.

    Which coat comes first follows the ranking of the advice: class of its hold, score, and among pairings that
    cannot be told from the best one the simplest. Heat and hold time are judged anew in every cell; the other
    values, also of the filling, and the ranges that make a tie are those of the event.
    """
    advisor = advisor.entering(brief)
    heat, holds, decision = advisor.judge(brief, today)
    choice = decision.choice
    if choice is None:
        return None
    coats = [coat.formulation for coat in choice.matrix.grid.coats]
    event = brief.warmest_c
    air, hours = _axis(AIR_C, event), _axis(HOURS, brief.hold_hours)
    courses = _courses(advisor, heat, today, _families(coats), air, hours)
    chance = np.stack([_chance(coat, holds[coat.id], courses) for coat in coats])
    likely = lasting(chance, hours, MARGINAL_FROM)
    own = air == event
    likely[:, own] = np.array([[coat.hold.likely_h] for coat in choice.matrix.grid.coats])
    codes = _class_codes(chance)
    changing = _changing_score(advisor, choice, courses, likely, hours)
    best = codes.min(axis=0)
    first = _first(choice, codes.reshape(len(coats), -1), changing.reshape(len(coats), -1)).reshape(best.shape)
    return HeatMap(brief, tuple(coats), air, hours, chance, np.where(best == _FAILS, NONE, first), best, event)


def in_air(brief: Brief, air_c: float) -> Brief:
    """Return the brief on a day whose air is warmer or cooler as a whole, ``air_c`` [°C] at its warmest."""
    shift = air_c - brief.warmest_c
    if shift == 0:
        return brief
    if brief.is_outdoors and brief.forecast:
        weather = "\n".join(_line(hour, shift) for hour in brief.forecast)
        return brief.model_copy(update={"weather": weather})
    low = None if brief.air_low_c is None else brief.air_low_c + shift
    return brief.model_copy(update={"air_high_c": air_c, "air_low_c": low})


def lasting(chance: Array, along: Array, share: float) -> Array:
    """Return how far ``along`` the last axis the chance, which falls, stays at ``share``; 0 where it never is.

    Straight between the cells; the last of ``along`` where it never falls below.
    """
    reached = (chance >= share).sum(axis=-1)
    after = np.clip(reached, 1, len(along) - 1)
    above, below = (np.take_along_axis(chance, (after - d)[..., None], -1)[..., 0] for d in (1, 0))
    part = np.divide(above - share, above - below, out=np.zeros_like(above), where=above > below)
    crossing = along[after - 1] + np.clip(part, 0.0, 1.0) * (along[after] - along[after - 1])
    return np.asarray(np.where(reached == 0, 0.0, np.where(reached == len(along), along[-1], crossing)))


def _is_within(ends: tuple[float, float], value: float) -> bool:
    return ends[0] <= value <= ends[1]


def _axis(ends: tuple[float, float], event: float) -> Array:
    """Even steps, the nearest of them moved to the event."""
    steps = np.linspace(*ends, STEPS)
    if _is_within(ends, event):
        steps[np.abs(steps - event).argmin()] = event
    return steps


def _line(hour: Hour, shift_k: float) -> str:
    minutes = round(60 * hour.clock_h)
    air = float(np.clip(hour.air_c + shift_k, *FORECAST_AIR_C))
    rest = ("" if value is None else f"{value:g}" for value in (hour.humidity_pct, hour.wind_mps))
    return ";".join((f"{minutes // 60 % 24:02d}:{minutes % 60:02d}", f"{air:.6f}C", *rest))


def _families(coats: list[Formulation]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(coat.family.id for coat in coats))


def _courses(
    advisor: Advisor, event: CakeHeat, today: dt.date, families: tuple[str, ...], air: Array, hours: Array
) -> Courses:
    """Return the warmest [°C] so far of coat and edge under each family's coat, (draws, air, hours)."""
    brief, own = event.brief, event.brief.warmest_c
    days = np.union1d(np.linspace(air[0], air[-1], DAYS), air[air == own])
    places = ("coat",) if brief.piping == "none" else ("coat", "edge")
    known: dict[tuple[str, str], list[Array]] = {(f, place): [] for f in families for place in places}
    for day in days:
        heat = event if day == own else _warmed(advisor, in_air(brief, float(day)), today, families)
        shown = heat.warming.hours >= 0
        for family, place in known:
            warmest = warmest_so_far(getattr(heat.warming, place)[heat.bodies(family)])
            known[family, place].append(_between(heat.warming.hours[shown], warmest[shown], hours))
    return {
        key: np.ascontiguousarray(_between(days, np.stack(series), air).transpose(2, 0, 1))
        for key, series in known.items()
    }


def _warmed(advisor: Advisor, brief: Brief, today: dt.date, families: tuple[str, ...]) -> CakeHeat:
    return warm_cake(brief, advisor.catalogue, advisor.seed, today, families)


def _between(along: Array, known: Array, wanted: Array) -> Array:
    """Read ``known`` along its first axis straight between; of two alike the later counts."""
    after = np.clip(np.searchsorted(along, wanted, side="right"), 1, len(along) - 1)
    share = np.clip((wanted - along[after - 1]) / (along[after] - along[after - 1]), 0.0, 1.0)
    share = share.reshape(-1, *[1] * (known.ndim - 1))
    return np.asarray(known[after - 1] * (1 - share) + known[after] * share)


def _chance(coat: Formulation, hold: CoatHold, courses: Courses) -> Array:
    """Return the share of draws in which coat and piped detail are still below what they bear, (air, hours)."""
    of_coat, of_edge = courses[coat.family.id, "coat"], courses.get((coat.family.id, "edge"))
    count = np.zeros(of_coat.shape[1:], dtype=np.uint16)
    for k in range(hold.coat.threshold.shape[1]):  # several times as fast as all at once, which leaves the cache
        stands = of_coat <= hold.coat.threshold[:, k, None, None]
        if hold.detail is not None and of_edge is not None:
            stands &= of_edge <= hold.detail.threshold[:, k, None, None]
        count += stands.sum(axis=0, dtype=np.uint16)
    return np.asarray(count / hold.coat.threshold.size)


def _class_codes(chance: Array | float) -> Indices:
    """Return the place in ``CLASSES`` of each chance."""
    return np.asarray(2 - (np.asarray(chance) >= MARGINAL_FROM) - (np.asarray(chance) >= HOLDS_FROM), dtype=np.intp)


def _changing_score(advisor: Advisor, choice: Choice, courses: Courses, likely: Array, hours: Array) -> Array:
    """Return each coat's part of the score that the heat decides, (coats, air, hours)."""
    criteria, coats = advisor.catalogue.criteria, choice.matrix.grid.coats
    place = "coat" if choice.matrix.grid.situation.piping == "none" else "edge"
    peaks = {family: np.median(course, axis=0) for (family, at), course in courses.items() if at == place}
    margin = np.stack([coat.hold.threshold_c - peaks[coat.formulation.family.id] for coat in coats])
    times_over = np.minimum(AMPLE, likely[:, :, None] / hours)
    heat = choice.weights["heat"] * value_of(criteria["heat"], margin)
    return heat + choice.weights["hold_time"] * value_of(criteria["hold_time"], times_over)


def _first(choice: Choice, codes: Indices, changing: Array) -> Indices:
    """Return the coat of the pairing that comes first in each cell; ``codes`` and ``changing`` are (coats, cells)."""
    matrix, cells = choice.matrix, np.arange(codes.shape[1])
    simplest = sorted(
        choice.pairings,
        key=lambda p: (round(p.minutes, 6), p.coat.id != p.filling.id, p.coat.id, p.filling.id),
    )
    coat = np.array([pairing.row for pairing in simplest])
    flat = coat * matrix.shape[1] + np.array([pairing.column for pairing in simplest])
    score = _fixed_score(choice).ravel()[flat][:, None] + changing[coat]
    places = filling_order(matrix)
    stays_best = places[[pairing.column for pairing in simplest]] == places.min()
    is_best = (codes[coat] == codes.min(axis=0)) & stays_best[:, None]
    anchor = np.where(is_best, np.round(score / SAME), -np.inf).argmax(axis=0)
    behind = score[anchor, cells] - score
    near = TIE_SHARE * _apart(matrix.spreads().change[flat])[:, anchor]
    is_first = is_best & ((behind < near) | (behind <= SAME))
    return np.asarray(coat[is_first.argmax(axis=0)], dtype=np.intp)


def _fixed_score(choice: Choice) -> Array:
    """Return the score (coats, fillings) without what the heat decides."""
    matrix = choice.matrix
    decided = [matrix.weights[id_] * matrix.evaluations[id_].value for id_ in sorted(HEAT_CRITERIA)]
    return np.asarray(matrix.score() - sum(decided))


def _apart(change: Array) -> Array:
    """Return how far the distance of each two pairings may be off, see :class:`Spreads`, (pairings, pairings)."""
    products = change @ change.T
    own = np.diag(products)
    return np.asarray(np.sqrt(np.maximum(own[:, None] + own[None] - 2 * products, 0.0)))
