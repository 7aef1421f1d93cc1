"""Schedules kitchen tasks backwards from the start of the display, for one pair of hands.

Tasks come in the order in which the hands take them. In that order every task is put as late as everything after it
allows. What binds is a lower limit on each start (now, how long a thing keeps, how early one is willing to begin), so
the latest schedule meets the limits whenever any schedule in this order does; and since each start moves the same way
as the display and the working hours, a later display on the same day or a longer working day never spoils a plan that
fits.

Times are aware datetimes; the arithmetic is done in UTC, so that a night with a change of clocks has its true length.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

Attention = Literal["hands", "waiting"]
Trouble = Literal["past", "keeps", "stretch", "cold-places"]
_DAY = dt.timedelta(days=1)
_MORE_HOURS = tuple(dt.timedelta(minutes=30 * n) for n in range(1, 33))  # to 16 h more, beyond any kitchen's day
_MOST_DAYS_LATER, _MOST_DAYS_EARLIER, _LATER_STEP = 14, 14, dt.timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Task:
    """One task of the kitchen.

    ``minutes`` is how long it takes, of a wait how long at least when it ``can_last``: then it goes on, overnight
    too, until the next task takes the thing up. ``after`` names tasks that must have ended. A task ``at_once`` begins
    in the minute in which the task before it in the list ends. ``days_ahead`` is on how many days before the display
    it may begin at most, none for any; ``keeps`` how long before the display, to the minute. ``places`` is how much of
    the fridge it takes while it lasts. ``is_away`` tells what is done for the delivery, at whatever hour that is.
    """

    id: str
    minutes: int
    attention: Attention = "hands"
    after: tuple[str, ...] = ()
    at_once: bool = False
    can_last: bool = False
    days_ahead: int | None = None
    places: int = 0
    is_away: bool = False
    keeps: dt.timedelta | None = None

    @property
    def length(self) -> dt.timedelta:
        """How long it takes, at least."""
        return dt.timedelta(minutes=self.minutes)


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """From when to when one works on every day, local time; the same twice is all day, a later begin is a night's."""

    begin: dt.time = dt.time(8, 0)
    end: dt.time = dt.time(20, 0)

    @property
    def length(self) -> dt.timedelta:
        """How long the working day is by its clock."""
        span = (_since_midnight(self.end) - _since_midnight(self.begin)) % _DAY
        return span or _DAY

    def on(self, day: dt.date, zone: dt.tzinfo) -> tuple[dt.datetime, dt.datetime]:
        """Return begin and end of the working day that starts on a date, in UTC."""
        ends_on = day if self.end > self.begin else day + _DAY
        return _utc(dt.datetime.combine(day, self.begin, zone)), _utc(dt.datetime.combine(ends_on, self.end, zone))

    def longer(self, by: dt.timedelta, early_share: float) -> WorkingHours | None:
        """Return hours that begin and end further out by ``by`` in all; none where they no longer fit in a day."""
        earlier = dt.timedelta(minutes=30 * round(by / dt.timedelta(minutes=30) * early_share))
        begin, end = _since_midnight(self.begin) - earlier, _since_midnight(self.end) + (by - earlier)
        if self.length + by >= _DAY or begin < dt.timedelta() or end >= _DAY or self.end <= self.begin:
            return None
        return WorkingHours(_clock(begin), _clock(end))


def _since_midnight(time: dt.time) -> dt.timedelta:
    return dt.timedelta(hours=time.hour, minutes=time.minute)


def _clock(since_midnight: dt.timedelta) -> dt.time:
    return (dt.datetime.min + since_midnight).time()


def _utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC)


@dataclass(frozen=True)
class Order:
    """What is to be scheduled: the tasks in the order of the hands, and what binds them.

    ``display`` and ``now`` are aware; the display's zone is that of all local times. ``places`` is how much stands in
    the fridge at once at most, none for enough. ``days_ahead`` is how many days before the display work may begin.
    """

    tasks: tuple[Task, ...]
    display: dt.datetime
    now: dt.datetime
    hours: WorkingHours = WorkingHours()
    places: int | None = None
    days_ahead: int | None = None

    @property
    def zone(self) -> dt.tzinfo:
        """The zone of local times."""
        assert self.display.tzinfo is not None, "the display has no time zone"
        return self.display.tzinfo

    def floor(self, task: Task) -> dt.datetime:
        """Return the earliest moment, in UTC, at which a task may begin."""
        floors = [self.keeps_from(days) for days in (task.days_ahead, self.days_ahead) if days is not None]
        if task.keeps is not None:
            floors.append(_utc(self.display) - task.keeps)
        return max([_utc(self.now), *floors])

    def keeps_from(self, days: int) -> dt.datetime:
        """Return the first moment, in UTC, of the day so many days before the display."""
        day = self.display.astimezone(self.zone).date() - days * _DAY
        return _utc(dt.datetime.combine(day, dt.time(), self.zone))


@dataclass(frozen=True, slots=True)
class Placed:
    """A task with its time, in the display's zone; ``earliest`` is when it could begin instead."""

    task: Task
    start: dt.datetime
    end: dt.datetime
    earliest: dt.datetime

    @property
    def slack(self) -> dt.timedelta:
        """How much sooner the task may begin than it is planned; it is planned as late as can be."""
        return max(dt.timedelta(), _utc(self.start) - _utc(self.earliest))


@dataclass(frozen=True, slots=True)
class Miss:
    """Something that does not fit: what, and by how much; ``short`` in time, ``needed`` places in the fridge."""

    trouble: Trouble
    task: str | None
    short: dt.timedelta = dt.timedelta()
    needed: int = 0


@dataclass(frozen=True, slots=True)
class Schedule:
    """The tasks in time; with misses it is no plan, only what would have been needed."""

    order: Order
    placed: tuple[Placed, ...]
    misses: tuple[Miss, ...]

    @property
    def fits(self) -> bool:
        """Whether the order can be done as asked."""
        return not self.misses

    @property
    def begin(self) -> dt.datetime:
        """When work has to begin at the latest."""
        return min((placed.start for placed in self.placed), key=_utc, default=self.order.display)


@dataclass(frozen=True, slots=True)
class Change:
    """A way to make an order fit, found by computing it: the order as it would be, and what differs."""

    kind: Literal["hours", "earlier", "places", "later", "both"]
    order: Order
    schedule: Schedule


@dataclass(frozen=True, slots=True)
class _Block:
    """Tasks that follow each other without a pause; ``hands_until`` is the end of the last one that needs hands."""

    tasks: tuple[Task, ...]

    @property
    def length(self) -> dt.timedelta:
        return sum((task.length for task in self.tasks), dt.timedelta())

    @property
    def hands_until(self) -> dt.timedelta:
        until = at = dt.timedelta()
        for task in self.tasks:
            at += task.length
            until = at if task.attention == "hands" else until
        return until

    @property
    def is_away(self) -> bool:
        return self.tasks[0].is_away

    def offset(self, task: Task) -> dt.timedelta:
        """Return how long after the block's begin a task starts."""
        before = self.tasks[: self.tasks.index(task)]
        return sum((earlier.length for earlier in before), dt.timedelta())


@dataclass(frozen=True, slots=True)
class _Link:
    """Block ``after`` may start ``lag`` after the end of a task in block ``before``, counted from that one's begin."""

    before: int
    after: int
    lag: dt.timedelta


class _Network:
    """Blocks, and how far apart their begins have to be at least."""

    def __init__(self, tasks: Sequence[Task]) -> None:
        self.blocks = tuple(_blocks(tasks))
        self._of = {task.id: n for n, block in enumerate(self.blocks) for task in block.tasks}
        self._task = {task.id: task for task in tasks}
        self.waits = [task for task in tasks if task.can_last]
        links = [*self._dependencies(), *self._one_pair_of_hands()]
        self.onwards = [[link for link in links if link.before == n] for n in range(len(self.blocks))]
        self.backwards = [[link for link in links if link.after == n] for n in range(len(self.blocks))]

    def ends_before(self, task: Task) -> Iterator[tuple[int, dt.timedelta]]:
        """Yield the blocks on whose tasks a task waits, with the end of that task after the block's begin."""
        for name in task.after:
            known = self._task[name]
            if not known.can_last:
                block = self.blocks[self._of[name]]
                yield self._of[name], block.offset(known) + known.length

    def _dependencies(self) -> Iterator[_Link]:
        for after, block in enumerate(self.blocks):
            for task in block.tasks:
                for before, lag in self._all_ends(task):
                    if before != after:
                        yield _Link(before, after, lag - block.offset(task))

    def _all_ends(self, task: Task) -> Iterator[tuple[int, dt.timedelta]]:
        yield from self.ends_before(task)
        for wait in (self._task[name] for name in task.after):
            if wait.can_last:
                yield from ((before, end + wait.length) for before, end in self.ends_before(wait))

    def _one_pair_of_hands(self) -> Iterator[_Link]:
        busy = [n for n, block in enumerate(self.blocks) if block.hands_until]
        for before, after in zip(busy, busy[1:], strict=False):
            yield _Link(before, after, self.blocks[before].hands_until)

    def followers(self, wait: Task) -> Iterator[tuple[int, dt.timedelta]]:
        """Yield the blocks that take up what waits, with the begin of that task after the block's begin."""
        for n, block in enumerate(self.blocks):
            for task in block.tasks:
                if wait.id in task.after:
                    yield n, block.offset(task)


@lru_cache(maxsize=16)
def _network(tasks: tuple[Task, ...]) -> _Network:
    """Check tasks and link them; the many ways to change an order share its tasks."""
    check_tasks(tasks)
    return _Network(tasks)


def _blocks(tasks: Sequence[Task]) -> Iterator[_Block]:
    run: list[Task] = []
    for task in tasks:
        if task.can_last:
            continue
        if run and not task.at_once:
            yield _Block(tuple(run))
            run = []
        run.append(task)
    if run:
        yield _Block(tuple(run))


def check_tasks(tasks: Sequence[Task]) -> None:
    """Refuse tasks that cannot be scheduled as they stand.

    Raises
    ------
    ValueError
        If an id stands twice, a task waits for one that does not come before it, a wait that can last waits for
        another, needs hands or comes at once, or what is done for the delivery is not one last block.
    """
    seen: dict[str, Task] = {}
    for task in tasks:
        if task.id in seen or task.minutes < 0:
            raise ValueError(f"{task.id}: stands twice or takes less than no time")
        if any(name not in seen for name in task.after):
            raise ValueError(f"{task.id}: waits for what does not come before it")
        if task.can_last and (task.attention == "hands" or task.at_once or any(seen[n].can_last for n in task.after)):
            raise ValueError(f"{task.id}: only a wait after something done can last")
        seen[task.id] = task
    blocks = list(_blocks(tasks))
    if not blocks or not blocks[-1].is_away or any(block.is_away for block in blocks[:-1]):
        raise ValueError("the last tasks, and only they, are the delivery")


@lru_cache(maxsize=16)
def places_needed(tasks: tuple[Task, ...]) -> int:
    """Return how many places of the fridge the tasks need at once, whenever each is done in their order."""
    net = _network(tasks)
    taken = [0] * len(net.blocks)
    for wait in net.waits:
        put_in = max((before for before, _ in net.ends_before(wait)), default=0)
        taken_out = min((after for after, _ in net.followers(wait)), default=len(net.blocks))
        for gap in range(put_in, taken_out):
            taken[gap] += wait.places
    return max(taken, default=0)


def schedule(order: Order) -> Schedule:
    """Put every task as late as it may be; what does not fit is kept as misses.

    Raises
    ------
    ValueError
        As :func:`check_tasks`.
    """
    net = _network(order.tasks)
    late, stretched = _latest(net, order)
    early = _earliest(net, order)
    placed = tuple(_placed(net, order, late, early))
    return Schedule(order, placed, tuple(_misses(net, order, placed, stretched)))


def _fits(order: Order) -> bool:
    """Tell whether an order can be done, as :func:`schedule` would, without writing it out."""
    if order.places is not None and places_needed(order.tasks) > order.places:
        return False
    net = _network(order.tasks)
    late, stretched = _latest(net, order)
    return not stretched and all(
        late[n] + block.offset(task) >= order.floor(task) for n, block in enumerate(net.blocks) for task in block.tasks
    )


def _latest(net: _Network, order: Order) -> tuple[list[dt.datetime], list[int]]:
    """Return the latest begin of every block in UTC, and the blocks that no working day is long enough for."""
    display = _utc(order.display)
    begins = [display - block.length for block in net.blocks]
    too_long: list[int] = []
    for n in reversed(range(len(net.blocks))):
        block = net.blocks[n]
        begins[n] = min([begins[n], *(begins[link.after] - link.lag for link in net.onwards[n])])
        if not block.is_away:
            fitted = _last_fit(begins[n], block.length, order)
            if fitted is None:
                too_long.append(n)
            else:
                begins[n] = fitted
    return begins, too_long


def _earliest(net: _Network, order: Order) -> list[dt.datetime]:
    """Return the earliest begin of every block in UTC; the delivery keeps to the display."""
    begins: list[dt.datetime] = []
    for n, block in enumerate(net.blocks):
        floors = [order.floor(task) - block.offset(task) for task in block.tasks]
        begin = max([*floors, *(begins[link.before] + link.lag for link in net.backwards[n])])
        if block.is_away:
            begin = _utc(order.display) - block.length
        else:
            begin = _first_fit(begin, block.length, order) or begin
        begins.append(begin)
    return begins


def _last_fit(latest: dt.datetime, length: dt.timedelta, order: Order) -> dt.datetime | None:
    """Return the last begin, at most ``latest``, with which a stretch lies within one working day."""
    if order.hours.length >= _DAY:
        return latest
    day = (latest + length).astimezone(order.zone).date()
    for back in range(-1, 4):  # a change of clocks can swallow a short night's hours once
        begin, end = order.hours.on(day - back * _DAY, order.zone)
        fitted = min(latest, end - length)
        if fitted >= begin:
            return fitted
    return None


def _first_fit(earliest: dt.datetime, length: dt.timedelta, order: Order) -> dt.datetime | None:
    """Return the first begin, at least ``earliest``, with which a stretch lies within one working day."""
    if order.hours.length >= _DAY:
        return earliest
    day = earliest.astimezone(order.zone).date()
    for ahead in range(-1, 4):
        begin, end = order.hours.on(day + ahead * _DAY, order.zone)
        fitted = max(earliest, begin)
        if fitted + length <= end:
            return fitted
    return None


def _placed(net: _Network, order: Order, late: Sequence[dt.datetime], early: Sequence[dt.datetime]) -> Iterator[Placed]:
    zone = order.zone
    spans: dict[str, tuple[dt.datetime, dt.datetime, dt.datetime]] = {}
    for n, block in enumerate(net.blocks):
        for task in block.tasks:
            start, first = late[n] + block.offset(task), early[n] + block.offset(task)
            spans[task.id] = (start, start + task.length, first)
    for wait in net.waits:
        ends = [late[n] + end for n, end in net.ends_before(wait)]
        firsts = [early[n] + end for n, end in net.ends_before(wait)]
        taken_up = [late[n] + offset for n, offset in net.followers(wait)]
        end = min(taken_up, default=_utc(order.display))
        start = max(ends, default=end - wait.length)
        spans[wait.id] = (start, max(end, start), max(firsts, default=start))
    for task in order.tasks:
        start, end, first = (moment.astimezone(zone) for moment in spans[task.id])
        yield Placed(task, start, end, min(first, start, key=_utc))


def _misses(net: _Network, order: Order, placed: Sequence[Placed], too_long: Sequence[int]) -> Iterator[Miss]:
    needed = places_needed(order.tasks)
    if order.places is not None and needed > order.places:
        yield Miss("cold-places", None, needed=needed)
    for n in too_long:
        yield Miss("stretch", net.blocks[n].tasks[0].id, short=net.blocks[n].length - order.hours.length)
    for item in placed:
        if item.task.can_last:
            continue
        start = _utc(item.start)
        if start < _utc(order.now):
            yield Miss("past", item.task.id, short=_utc(order.now) - start)
        elif start < order.floor(item.task):
            yield Miss("keeps", item.task.id, short=order.floor(item.task) - start)


def smallest_changes(order: Order) -> tuple[Change, ...]:
    """Return, for an order that does not fit, the smallest change of each kind that alone makes it fit.

    Where the fridge is too small, the places that are missing go with every change. Where nothing does alone, a longer
    working day and an earlier begin together, then the first later day. Each was computed.
    """
    if _fits(order):
        return ()
    needed = places_needed(order.tasks)
    roomy = order if order.places is None else replace(order, places=max(order.places, needed))
    if _fits(roomy):
        return (Change("places", roomy, schedule(roomy)),)
    later = _first_that_fits(_later_starts(roomy))
    found = [] if later is None else [later]
    if _fits(replace(roomy, hours=WorkingHours(dt.time(), dt.time()), days_ahead=None)):
        # Only then can more work in the time there is bring it about.
        alone = [_first_that_fits(_longer_hours(roomy)), _earlier_begin(roomy)]
        more = alone if any(alone) else [_hours_and_begin(roomy)]
        found = [*(change for change in more if change is not None), *found]
    return tuple(found)


_Kind = Literal["hours", "earlier", "places", "later", "both"]


def _first_that_fits(tries: Iterable[tuple[_Kind, Order]]) -> Change | None:
    for kind, order in tries:
        if _fits(order):
            return Change(kind, order, schedule(order))
    return None


def _longer_hours(order: Order) -> Iterator[tuple[_Kind, Order]]:
    for by in _MORE_HOURS:
        for early_share in (0.0, 1.0, 0.5):
            hours = order.hours.longer(by, early_share)
            if hours is not None:
                yield "hours", replace(order, hours=hours)


def _earlier_begin(order: Order, kind: _Kind = "earlier") -> Change | None:
    """Return the order with the fewest days more that fit; more days never hurt, so the most are tried first."""
    if order.days_ahead is None or not _fits(replace(order, days_ahead=None)):
        return None
    days = range(order.days_ahead + 1, order.days_ahead + _MOST_DAYS_EARLIER + 1)
    return _first_that_fits((kind, replace(order, days_ahead=more)) for more in days)


def _hours_and_begin(order: Order) -> Change | None:
    longer = (_earlier_begin(hours, "both") for _, hours in _longer_hours(order))
    return next((change for change in longer if change is not None), None)


def _later_starts(order: Order) -> Iterator[tuple[_Kind, Order]]:
    """Yield the order with a later display: by half hours on the same day, then at the same clock on later days."""
    local = order.display.astimezone(order.zone)
    moment = _utc(order.display) + _LATER_STEP
    while moment.astimezone(order.zone).date() == local.date():
        yield "later", replace(order, display=moment.astimezone(order.zone))
        moment += _LATER_STEP
    for days in range(1, _MOST_DAYS_LATER + 1):
        yield "later", replace(order, display=dt.datetime.combine(local.date() + days * _DAY, local.time(), order.zone))


def by_id(placed: Sequence[Placed]) -> Mapping[str, Placed]:
    """Index placed tasks by their id."""
    return {item.task.id: item for item in placed}
