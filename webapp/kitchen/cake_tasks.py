"""The tasks that make one cake, in the order in which one pair of hands takes them.

Sponge first, then both buttercreams, then each stage tier by tier, so that a tier is out of the fridge only while it
is worked on; the delivery last, in one go.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from webapp.catalogue.model import TaskTime
from webapp.kitchen.work_plan import Task

Times = Mapping[tuple[str, str, str], TaskTime]
GRAIN_MIN = 5
_PER_DOZEN = 12


@dataclass(frozen=True, slots=True)
class Minutes:
    """How long something takes [min]: likely, low and high."""

    likely: float
    low: float
    high: float

    def __add__(self, other: Minutes) -> Minutes:
        """One after the other; the ranges add up, as one slow hand is slow at all."""
        return Minutes(self.likely + other.likely, self.low + other.low, self.high + other.high)

    @property
    def planned(self) -> int:
        """What a plan counts: the likely minutes, rounded up to five."""
        return GRAIN_MIN * math.ceil(self.likely / GRAIN_MIN - 1e-9)


@dataclass(frozen=True, slots=True)
class TierWork:
    """What the fridge asks of one tier: minutes until the crumb coat and the coat are firm and the core is cold."""

    name: str
    crumb_firm: Minutes
    coat_firm: Minutes
    core_cold: Minutes
    places: int = 1


@dataclass(frozen=True, slots=True)
class CakeWork:
    """One cake as its maker sees it.

    ``crust`` is how long the coat crusts before it is smoothed, none where it is chilled instead. ``tempers`` is how
    long it stands in the kitchen before it leaves, ``stands`` how long on the table before the display. ``coat`` and
    ``filling`` are the minutes to make them, none for the filling where the coat fills as well; beside them, how long
    before the display they may be made. ``oven_loads`` and ``cupcake_loads`` are how often the oven is filled.
    ``longest`` is how long the hands may be at one buttercream without a pause [min]: what takes longer has parts.
    ``coat_softens`` and ``filling_softens`` name what of them has to soften before they are made, ``taken_along``
    what the car is loaded with beside the cake; empty for nothing. ``has_foot`` tells whether a border is piped
    around the foot beside the piping that ``piping`` names.
    """

    family: str
    tiers: tuple[TierWork, ...]
    cupcakes: int
    cupcake_places: int
    cupcakes_cold: Minutes
    piping: str
    is_textured: bool
    is_dowelled: bool
    crust: Minutes | None
    coat: tuple[Minutes, dt.timedelta]
    filling: tuple[Minutes, dt.timedelta] | None
    travel: Minutes
    tempers: Minutes
    stands: Minutes
    oven_loads: int = 1
    cupcake_loads: int = 0
    longest: int = 24 * 60
    coat_softens: str = ""
    filling_softens: str = ""
    taken_along: str = ""
    has_foot: bool = False


@dataclass(frozen=True, slots=True)
class Described:
    """A task, and what is said of it: its kind, the tier it is for, its minutes with their range.

    ``loads`` are its oven loads, ``part`` which of how many parts of a buttercream it is, ``with_what`` what else
    its title names.
    """

    task: Task
    kind: str
    tier: str | None
    minutes: Minutes
    times: tuple[TaskTime, ...]
    loads: int = 0
    part: tuple[int, int] = (1, 1)
    with_what: str = ""


def minutes_of(
    times: Times, task: str, family: str, counts: Mapping[str, float]
) -> tuple[Minutes, tuple[TaskTime, ...]]:
    """Return how long a task takes for counts of what its rows are ``per``, and the rows behind it.

    Raises
    ------
    KeyError
        If the data hold no row of this task that applies.
    """
    rows = [row for per in counts if (row := times.get((task, family, per)) or times.get((task, "all", per)))]
    if not rows:
        raise KeyError(task)
    total = Minutes(0, 0, 0)
    for row in rows:
        count = counts[row.per]
        total += Minutes(count * row.minutes, count * row.low, count * row.high)
    return total, tuple(row for row in rows if counts[row.per])


def cake_tasks(cake: CakeWork, times: Times) -> tuple[Described, ...]:
    """Return every task of a cake, ready to be scheduled."""
    return tuple(_Bench(cake, times).all())


class _Bench:
    """Makes the tasks of one cake out of its data."""

    def __init__(self, cake: CakeWork, times: Times) -> None:
        self.cake, self.times = cake, times
        self.is_stacked = cake.is_dowelled and len(cake.tiers) > 1
        self.dozens = math.ceil(cake.cupcakes / _PER_DOZEN)
        self.whole = {"order": 1, "tier": len(cake.tiers), "dozen": self.dozens}

    def all(self) -> Iterator[Described]:
        yield self.timed("mix", self.whole)
        loads = {"load": self.cake.oven_loads, "cupcake-load": self.cake.cupcake_loads}
        yield replace(self.timed("bake", loads, after=("mix",), at_once=True), loads=sum(loads.values()))
        yield self.timed("cool", {"order": 1}, after=("bake",), can_last=True)
        yield from self.buttercreams()
        for number in range(len(self.cake.tiers)):
            yield from self.filling(number)
        for number in range(len(self.cake.tiers)):
            yield from self.coating(number)
        if self.cake.crust is None and not self.cake.is_textured:
            for number in range(len(self.cake.tiers)):
                yield from self.smoothing(number)
        if self.dozens:
            yield self.timed("swirl", {"dozen": self.dozens}, after=("cool", "make-coat"))
            cold, places = self.cake.cupcakes_cold, self.cake.cupcake_places
            yield self.with_spare(self.cold("chill-cupcakes", "chill-through", "cupcakes", cold, "swirl", places))
        yield from self.delivery()

    def buttercreams(self) -> Iterator[Described]:
        if self.cake.filling is not None and self.cake.tiers:
            yield from self.made("filling", *self.cake.filling, softens=self.cake.filling_softens)
        yield from self.made("coat", *self.cake.coat, softens=self.cake.coat_softens)

    def made(self, role: str, minutes: Minutes, keeps: dt.timedelta, *, softens: str) -> Iterator[Described]:
        """Yield the parts in which a buttercream is made, one where it fits a working day; the last has its id.

        What has to soften is taken out before the first part.
        """
        kind, taken_out = f"make-{role}", tuple[str, ...]()
        if softens:
            minutes_out, rows = minutes_of(self.times, "soften", self.cake.family, {"order": 1})
            task = Task(f"soften-{role}", minutes_out.planned, rows[0].attention)
            yield Described(task, "soften", None, minutes_out, rows, with_what=f"for the {role}: {softens}")
            taken_out = (task.id,)
        parts = math.ceil(minutes.planned / max(GRAIN_MIN, self.cake.longest // GRAIN_MIN * GRAIN_MIN))
        each = Minutes(minutes.likely / parts, minutes.low / parts, minutes.high / parts)
        ids = [*(f"{kind}-part-{number}" for number in range(1, parts)), kind]
        for place, id_ in enumerate(ids):
            task = Task(id_, each.planned, after=tuple(ids[max(0, place - 1) : place]) or taken_out, keeps=keeps)
            yield Described(task, kind, None, each, (), part=(place + 1, parts))

    def filling(self, number: int) -> Iterator[Described]:
        ready = ("cool", "make-coat", *(("make-filling",) if self.cake.filling is not None else ()))
        yield self.tier("fill", number, after=ready)
        yield self.tier("crumb", number, after=(f"fill-{number}",), at_once=True)
        yield self.chill("chill-crumb", number, self.cake.tiers[number].crumb_firm, f"crumb-{number}")

    def coating(self, number: int) -> Iterator[Described]:
        cold = self.cake.tiers[number]
        yield self.tier("coat", number, after=(f"chill-crumb-{number}",))
        last = f"coat-{number}"
        if self.cake.is_textured:
            yield self.tier("texture", number, after=(last,), at_once=True)
            last = f"texture-{number}"
        elif self.cake.crust is None:
            yield self.chill("chill-coat", number, cold.coat_firm, last)
            return
        else:
            crust = self.cake.crust
            task = Task(f"crust-{number}", crust.planned, "waiting", (last,), at_once=True)
            yield Described(task, "crust", cold.name, crust, ())
            yield self.tier("smooth", number, after=(task.id,), at_once=True)
            last = f"smooth-{number}"
        yield from self.piping(number, last)

    def smoothing(self, number: int) -> Iterator[Described]:
        yield self.tier("smooth", number, after=(f"chill-coat-{number}",))
        yield from self.piping(number, f"smooth-{number}")

    def piping(self, number: int, last: str) -> Iterator[Described]:
        if self.cake.piping != "none":
            yield self.tier(f"pipe-{self.cake.piping}", number, after=(last,), at_once=True)
            last = f"pipe-{self.cake.piping}-{number}"
        if self.cake.has_foot:
            yield self.tier("pipe-foot", number, after=(last,), at_once=True)
            last = f"pipe-foot-{number}"
        yield self.with_spare(self.chill("chill-through", number, self.cake.tiers[number].core_cold, last))

    def with_spare(self, chilled: Described) -> Described:
        """Add time for what goes wrong, spent in the fridge before the cake leaves; it is no part of the chilling."""
        spare = minutes_of(self.times, "spare", self.cake.family, {"order": 1})[0]
        return replace(chilled, task=replace(chilled.task, minutes=chilled.task.minutes + spare.planned))

    def delivery(self) -> Iterator[Described]:
        cold = tuple(f"chill-through-{n}" for n in range(len(self.cake.tiers)))
        cold += ("chill-cupcakes",) if self.dozens else ()
        steps = [self.timed("dowel", {"tier": len(self.cake.tiers) - 1})] if self.is_stacked else []
        steps += [self.given("temper", self.cake.tempers)] if self.cake.tempers.likely else []
        steps += [self.timed("box", self.whole)]
        if self.cake.travel.likely:
            steps += [replace(self.timed("load", {"order": 1}), with_what=self.cake.taken_along)]
            steps += [self.given("travel", self.cake.travel, "hands")]
        if len(self.cake.tiers) > 1:
            steps += [self.timed("set-up", self.whole | {"tier": 0})]
            steps += [self.timed("stack", {"tier": len(self.cake.tiers)})]
        else:
            steps += [self.timed("set-up", self.whole)]
        steps += [self.given("stand", self.cake.stands)] if self.cake.stands.likely else []
        before: tuple[str, ...] = cold
        for place, step in enumerate(steps):
            yield self.away(step, before, at_once=place > 0)
            before = (step.task.id,)

    def away(self, step: Described, after: tuple[str, ...], at_once: bool) -> Described:
        old = step.task
        task = Task(old.id, old.minutes, old.attention, after, at_once, days_ahead=old.days_ahead, is_away=True)
        return replace(step, task=task)

    def given(self, kind: str, minutes: Minutes, attention: str = "waiting") -> Described:
        task = Task(kind, minutes.planned, "hands" if attention == "hands" else "waiting")
        return Described(task, kind, None, minutes, ())

    def tier(self, kind: str, number: int, *, after: tuple[str, ...], at_once: bool = False) -> Described:
        made = self.timed(kind, {"tier": 1}, f"{kind}-{number}", after=after, at_once=at_once)
        return Described(made.task, kind, self.cake.tiers[number].name, made.minutes, made.times)

    def chill(self, kind: str, number: int, minutes: Minutes, after: str) -> Described:
        tier = self.cake.tiers[number]
        return self.cold(f"{kind}-{number}", kind, tier.name, minutes, after, tier.places)

    def cold(self, id_: str, kind: str, tier: str, minutes: Minutes, after: str, places: int) -> Described:
        task = Task(id_, minutes.planned, "waiting", (after,), can_last=True, places=places)
        return Described(task, kind, tier, minutes, ())

    def timed(
        self,
        kind: str,
        counts: Mapping[str, float],
        id_: str = "",
        *,
        after: tuple[str, ...] = (),
        at_once: bool = False,
        can_last: bool = False,
    ) -> Described:
        minutes, rows = minutes_of(self.times, kind, self.cake.family, counts)
        task = Task(
            id_ or kind,
            minutes.planned,
            rows[0].attention,
            after,
            at_once,
            can_last,
            None if can_last else min(row.days_ahead for row in rows),
        )
        return Described(task, kind, None, minutes, rows)


def out_of_the_cold(described: Sequence[Described], tier: str) -> int:
    """Return the minutes that a tier, once filled, is out of the fridge until it is boxed to leave."""
    on_it = [one for one in described if one.tier == tier and not one.task.can_last]
    return sum(one.task.minutes for one in on_it)
