"""What would change the answer: each change tried by computing it, and how the answer stands when things go wrong."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np

from webapp.advice.brief import Brief, Tier
from webapp.advice.holds import CoatHold
from webapp.catalogue.model import Formulation
from webapp.decision.model import HOLDS_FROM, MARGINAL_FROM
from webapp.thermal.exposure import HORIZON_H

if TYPE_CHECKING:
    from webapp.advice.service import Advisor

Value = Any
HALL_C = 21.0
CHILLED_C = 4.0
THICKEST_MM = 12.0
LATEST_CLOCK_H = 21.0
COLD_BOX_C = 8.0  # air in an insulated box with ice packs, assumption
LATER_H = 1.0
HOTTER_K = 3.0  # a usual miss of a forecast some days ahead, common practice
SHIFTS_K = (HOTTER_K / 2, HOTTER_K, 6.0)  # the first is read off halfway to the second


@dataclass(frozen=True, slots=True)
class Lever:
    """One change of one field of the brief, with the chance of holding that it gives the best coat."""

    field: str
    before: Value
    after: Value
    also: tuple[tuple[str, Value], ...]
    chance: float
    ask: float

    @property
    def changes(self) -> dict[str, Value]:
        """The fields to set in the brief."""
        return {self.field: self.after, **dict(self.also)}


@dataclass(frozen=True, slots=True)
class Stress:
    """Chance that the advised coat holds: as asked, in hotter air, cut an hour late, and both.

    ``spare_k`` is how much hotter [K] it may get until that is in doubt, ``even_k`` until it is as likely lost.
    """

    chance: float
    hotter: float
    later: float
    both: float
    spare_k: float | None
    even_k: float | None


def find_levers(
    advisor: Advisor, brief: Brief, coats: list[Formulation], holds: Mapping[str, CoatHold], today: dt.date
) -> tuple[Lever, ...]:
    """Return the smallest single changes that make some coat hold, the least asking first.

    Empty when one holds already, or when no single change is enough. Each was tried on the coat that stands the
    heat best, with the same draws as the advice, so asked as a brief it gives the verdict ``holds``.
    """
    likeliest = max(holds[coat.id].look.chance for coat in coats)
    if likeliest >= HOLDS_FROM:
        return ()
    toughest = max(
        (coat for coat in coats if holds[coat.id].look.chance == likeliest),
        key=lambda coat: float(np.median(holds[coat.id].look.threshold)),
    )

    def chance(changes: Mapping[str, Value]) -> float:
        return advisor.chance_of(toughest, brief.model_copy(update=dict(changes)), today)

    ways = [options for options in _options(brief) if options]
    found = [_shorter(brief, holds[toughest.id])]
    found += [_first_that_holds(brief, options, chance) for options in ways]
    single = [lever for lever in found if lever is not None]
    return tuple(sorted(single or _pairs(brief, ways, chance), key=lambda lever: lever.ask))


def _pairs(brief: Brief, ways: list[list[_Option]], chance: Callable[[Mapping[str, Value]], float]) -> list[Lever]:
    """Try two changes together where no single one is enough: one at its fullest, the other as small as will do."""
    found = []
    for first, second in combinations(ways, 2):
        if first[-1].changes.keys() & second[-1].changes.keys():
            continue
        fullest = first[-1]
        together = [
            _Option(option.field, option.after, fullest.ask + option.ask, (*option.also, *fullest.changes.items()))
            for option in second
        ]
        lever = _first_that_holds(brief, together, chance)
        if lever is not None:
            found.append(lever)
    return found


@dataclass(frozen=True, slots=True)
class _Option:
    """A value a field may take, with other fields it brings along and how much it asks (0 little .. 1 much)."""

    field: str
    after: Value
    ask: float
    also: tuple[tuple[str, Value], ...] = ()

    @property
    def changes(self) -> dict[str, Value]:
        return {self.field: self.after, **dict(self.also)}


def _options(brief: Brief) -> Iterable[list[_Option]]:
    """For each field the values it may take instead, from the smallest change to the largest."""
    yield _colder(brief)
    yield _lighter(brief)
    yield _thicker(brief)
    yield _out_of_the_sun(brief)
    yield _indoors(brief)
    yield _starting_later(brief)
    yield _colder_on_the_way(brief)
    yield _bigger(brief)


def _colder_on_the_way(brief: Brief) -> list[_Option]:
    if brief.travel_minutes < 10:
        return []
    cooler = [c for c in (16.0, COLD_BOX_C) if c < brief.travel_air_c]
    return [_Option("travel_c", c, 0.2 + 0.01 * (brief.travel_air_c - c)) for c in cooler]


def _bigger(brief: Brief) -> list[_Option]:
    """Widen the narrowest tier, which warms first, but not past the one it stands on."""
    if not brief.tiers:
        return []
    last = brief.tiers[-1]
    widest = brief.tiers[-2].width_cm if len(brief.tiers) > 1 else min(last.width_cm + 10, 80.0)
    widths = np.arange(last.width_cm + 2, min(widest, last.width_cm + 10) + 0.1, 2.0)
    return [
        _Option(
            "tiers",
            (*brief.tiers[:-1], _widened(last, float(width))),
            0.5 + 0.04 * float(width - last.width_cm),
        )
        for width in widths
    ]


def _widened(tier: Tier, width_cm: float) -> Tier:
    depth = None if tier.depth_cm is None else min(80.0, tier.depth_cm * width_cm / tier.width_cm)
    return tier.model_copy(update={"width_cm": width_cm, "depth_cm": depth})


def _colder(brief: Brief) -> list[_Option]:
    steps = np.arange(2.0, brief.start_c - CHILLED_C + 2.0, 2.0)
    colder = [max(CHILLED_C, brief.start_c - float(step)) for step in steps]
    return [_Option("start_c", c, 0.1 + 0.005 * (brief.start_c - c)) for c in dict.fromkeys(colder)]


def _lighter(brief: Brief) -> list[_Option]:
    shades = ("dark", "deep", "pastel", "white")
    if brief.setting != "sun":
        return []
    lighter = shades[shades.index(brief.colour) + 1 :]
    return [_Option("colour", shade, 0.4 + 0.1 * step) for step, shade in enumerate(lighter)]


def _thicker(brief: Brief) -> list[_Option]:
    steps = np.arange(np.floor(brief.coat_mm) + 1, THICKEST_MM + 0.5)
    return [_Option("coat_mm", float(mm), 0.2 + 0.02 * (mm - brief.coat_mm)) for mm in steps]


def _out_of_the_sun(brief: Brief) -> list[_Option]:
    if brief.setting not in ("sun", "tent"):
        return []
    if brief.setting == "tent":
        return [_Option("setting", "shade", 0.3)]
    return [_Option("setting", "tent", 0.25), _Option("setting", "shade", 0.3)]


def _indoors(brief: Brief) -> list[_Option]:
    if brief.setting == "indoors":
        cooler = np.arange(np.ceil(brief.air_high_c) - 1, 17, -1.0)
        return [_Option("air_high_c", float(c), 0.2 + 0.03 * (brief.air_high_c - c), _low(brief, c)) for c in cooler]
    if brief.warmest_c <= HALL_C:
        return []
    rooms = np.arange(26.0, 17.0, -1.0)
    return [
        _Option("setting", "indoors", 0.5 + 0.02 * (26 - room), (("air_high_c", float(room)), *_low(brief, room)))
        for room in rooms
        if room < brief.warmest_c
    ]


def _low(brief: Brief, room: float) -> tuple[tuple[str, Value], ...]:
    """A room has one temperature: a low above it would be refused."""
    return () if brief.air_low_c is None else (("air_low_c", min(brief.air_low_c, float(room))),)


def _starting_later(brief: Brief) -> list[_Option]:
    start = brief.start_time.hour + brief.start_time.minute / 60
    if not brief.is_outdoors:
        return []
    clocks = np.arange(np.floor(start * 2) / 2 + 0.5, LATEST_CLOCK_H + 0.01, 0.5)
    return [
        _Option("start", dt.time(int(clock), int(clock % 1 * 60)), 0.3 + 0.05 * float(clock - start))
        for clock in clocks
    ]


def _first_that_holds(
    brief: Brief, options: list[_Option], chance: Callable[[Mapping[str, Value]], float]
) -> Lever | None:
    """Find the smallest change that holds by halving: the options run from little to much."""
    if not options:
        return None
    known: dict[int, float] = {}

    def holds(index: int) -> bool:
        if index not in known:
            known[index] = chance(options[index].changes)
        return known[index] >= HOLDS_FROM

    low, high = -1, len(options) - 1
    if not holds(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    option = options[high]
    before = {"start": brief.start_time, "travel_c": brief.travel_air_c}.get(option.field, getattr(brief, option.field))
    return Lever(option.field, before, option.after, option.also, known[high], option.ask)


def _shorter(brief: Brief, hold: CoatHold) -> Lever | None:
    """Cut earlier: the longest display, to a quarter of an hour, that nine draws in ten still reach."""
    assured = float(np.quantile(hold.look.hours, 1 - HOLDS_FROM, method="lower"))
    hours = np.floor(min(assured, brief.hold_hours) * 4) / 4
    if hours <= 0 or hours >= brief.hold_hours:
        return None
    chance = float((hold.look.hours >= hours).mean())
    if chance < HOLDS_FROM:
        return None
    return Lever("hold_hours", brief.hold_hours, float(hours), (), chance, 0.15 + 0.1 * (brief.hold_hours - hours))


def stress_of(hold: CoatHold, if_hotter: list[CoatHold], brief: Brief) -> Stress:
    """Return how the advised coat stands when the forecast is too low and the cutting late, and what it can bear."""
    # The courses in hotter air end at this hour, so a draw that stands to their end is at it up to rounding.
    late = min(brief.hold_hours + LATER_H, HORIZON_H) - 1e-6
    hot = if_hotter[SHIFTS_K.index(HOTTER_K)]
    chances = [hold.look.chance, *(hotter.look.chance for hotter in if_hotter)]
    return Stress(
        chance=hold.look.chance,
        hotter=hot.look.chance,
        later=float((hold.look.hours >= late).mean()),
        both=float((hot.look.hours >= late).mean()),
        spare_k=_spare(chances, HOLDS_FROM),
        even_k=_spare(chances, MARGINAL_FROM),
    )


def _spare(chances: list[float], least: float) -> float | None:
    """Return how much hotter [K] it may get until the chance falls to the least, straight between the shifts tried.

    None where it is below that already, or still above it at the largest shift.
    """
    if chances[0] < least or chances[-1] >= least:
        return None
    last = max(i for i, chance in enumerate(chances) if min(chances[: i + 1]) >= least)
    shifts = (0.0, *SHIFTS_K)
    share = (chances[last] - least) / (chances[last] - chances[last + 1])
    return shifts[last] + share * (shifts[last + 1] - shifts[last])
