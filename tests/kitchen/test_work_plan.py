"""The schedule: worked examples first, then what holds for any order.

Seen to fail: without the links of the one pair of hands, with waits not counted, with a window that ignores what
comes after it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.kitchen.work_plan import (
    Order,
    Placed,
    Task,
    WorkingHours,
    by_id,
    check_tasks,
    places_needed,
    schedule,
    smallest_changes,
)

ROME = ZoneInfo("Europe/Rome")
ZONES = [ROME, ZoneInfo("America/Chicago"), ZoneInfo("Asia/Kolkata"), ZoneInfo("Australia/Lord_Howe"), dt.UTC]
DELIVERY = Task("deliver", 30, is_away=True)


def at(day: int, hour: int, minute: int = 0, month: int = 6) -> dt.datetime:
    return dt.datetime(2026, month, day, hour, minute, tzinfo=ROME)


def order_of(*tasks: Task, **given: object) -> Order:
    fields = {"display": at(20, 15), "now": at(1, 9)} | given
    return Order(tasks, **fields)  # type: ignore[arg-type]


def cake() -> tuple[Task, ...]:
    return (
        Task("mix", 40),
        Task("bake", 50, "waiting", ("mix",), at_once=True),
        Task("cool", 120, "waiting", ("bake",), can_last=True),
        Task("fill", 30, after=("cool",), days_ahead=2),
        Task("firm", 45, "waiting", ("fill",), can_last=True, places=1),
        Task("coat", 60, after=("firm",), days_ahead=2),
        Task("cold", 240, "waiting", ("coat",), can_last=True, places=1),
        Task("deliver", 60, after=("cold",), is_away=True),
    )


def test_work_is_put_as_late_as_it_may():
    placed = by_id(schedule(order_of(*cake())).placed)
    assert placed["deliver"].end == at(20, 15)
    assert placed["coat"].end == at(20, 10)
    assert placed["coat"].start == at(20, 9)
    # Filling would end at 8:15 on the day itself, before work begins: it goes to the evening before.
    assert placed["fill"].end == at(19, 20)
    assert placed["bake"].end == at(19, 17, 30)


def test_a_wait_lasts_until_what_waited_is_taken_up_overnight_too():
    placed = by_id(schedule(order_of(*cake())).placed)
    assert (placed["firm"].start, placed["firm"].end) == (at(19, 20), at(20, 9))


def test_what_is_done_at_once_follows_in_the_same_minute():
    placed = by_id(schedule(order_of(*cake())).placed)
    assert placed["bake"].start == placed["mix"].end


def test_an_order_due_in_two_hours_misses_what_lies_in_the_past():
    found = schedule(order_of(*cake(), now=at(20, 13)))
    assert {miss.task for miss in found.misses if miss.trouble == "past"} == {"mix", "bake", "fill", "coat"}


def test_slack_is_how_much_sooner_a_task_could_begin():
    placed = by_id(schedule(order_of(*cake())).placed)
    # Two days ahead is Thursday the 18th, from the begin of work.
    assert placed["fill"].earliest == at(18, 8)
    assert placed["fill"].slack == at(19, 19, 30) - at(18, 8)
    assert placed["deliver"].slack == dt.timedelta()


def test_what_would_be_done_too_many_days_before_is_a_miss():
    long_chill = tuple(replace(task, minutes=3 * 24 * 60) if task.id == "cold" else task for task in cake())
    found = schedule(order_of(*long_chill))
    assert {miss.task for miss in found.misses if miss.trouble == "keeps"} == {"fill", "coat"}


def test_days_ahead_of_the_order_bind_every_task():
    found = schedule(order_of(*cake(), days_ahead=0))
    assert {(miss.trouble, miss.task) for miss in found.misses} == {("keeps", t) for t in ("mix", "bake", "fill")}


def test_a_stretch_longer_than_the_working_day_is_a_miss():
    short = WorkingHours(dt.time(9), dt.time(10))
    found = schedule(order_of(*cake(), hours=short))
    assert [(miss.task, miss.short) for miss in found.misses if miss.trouble == "stretch"] == [
        ("mix", dt.timedelta(minutes=30))
    ]


def test_one_hour_that_is_missing_is_found_as_a_longer_day():
    tasks = (Task("make", 180), DELIVERY)
    asked = order_of(*tasks, hours=WorkingHours(dt.time(9), dt.time(11)), now=at(20, 9))
    changes = smallest_changes(asked)
    assert [change.kind for change in changes] == ["hours"]
    assert changes[0].order.hours == WorkingHours(dt.time(9), dt.time(12))


def test_one_day_more_is_found_when_work_may_not_begin_early_enough():
    changes = smallest_changes(order_of(*cake(), days_ahead=0, hours=WorkingHours(dt.time(8), dt.time(16))))
    assert {change.kind: change.order.days_ahead for change in changes}["earlier"] == 1


def test_one_place_more_in_the_fridge_is_found():
    two = (
        *(Task(f"coat-{n}", 20) for n in (0, 1)),
        *(Task(f"cold-{n}", 60, "waiting", (f"coat-{n}",), can_last=True, places=1) for n in (0, 1)),
        Task("deliver", 30, after=("cold-0", "cold-1"), is_away=True),
    )
    asked = order_of(*two, places=1)
    assert [miss.needed for miss in schedule(asked).misses] == [2]
    (change,) = smallest_changes(asked)
    assert (change.kind, change.order.places) == ("places", 2)


def test_a_later_start_on_the_same_day_is_found_by_half_hours():
    asked = order_of(Task("make", 120), DELIVERY, now=at(20, 13), days_ahead=0)
    changes = {change.kind: change.order.display for change in smallest_changes(asked)}
    # Two and a half hours of work from one o'clock.
    assert changes["later"] == at(20, 15, 30)


def test_every_change_fits_and_one_step_less_does_not():
    asked = order_of(*cake(), now=at(20, 8))
    (later,) = smallest_changes(asked)
    assert later.schedule.fits
    # From eight o'clock all of it takes 10 h 45 min: to 18:45.
    assert later.order.display == at(20, 19)
    assert not schedule(replace(asked, display=at(20, 18, 30))).fits


def test_an_order_that_fits_needs_no_change():
    assert smallest_changes(order_of(*cake())) == ()


def test_the_night_of_the_change_of_clocks_has_its_true_length():
    wait = (
        Task("coat", 60),
        Task("cold", 13 * 60, "waiting", ("coat",), can_last=True),
        Task("deliver", 60, after=("cold",), is_away=True),
    )
    # On 29 March 2026 the clock goes from 2 to 3 in Rome: from 19:00 on Saturday to 9:00 on Sunday are 13 hours.
    spring = by_id(schedule(order_of(*wait, display=at(29, 10, month=3), now=at(1, 9, month=3))).placed)
    assert spring["coat"].end == at(28, 19, month=3)
    # On 25 October it goes from 3 to 2: an hour more.
    autumn = by_id(schedule(order_of(*wait, display=at(25, 10, month=10), now=at(1, 9, month=10))).placed)
    assert autumn["coat"].end == at(24, 20, month=10)  # 21:00 by its length, but work ends at 20:00


def test_a_working_night_may_pass_midnight():
    night = WorkingHours(dt.time(22), dt.time(6))
    placed = by_id(schedule(order_of(Task("make", 120), DELIVERY, hours=night)).placed)
    assert (placed["make"].start, placed["make"].end) == (at(20, 4), at(20, 6))


@pytest.mark.parametrize(
    "tasks",
    [
        (Task("a", 10), Task("a", 10), DELIVERY),
        (Task("a", 10, after=("b",)), Task("b", 10), DELIVERY),
        (Task("a", 10, can_last=True), DELIVERY),
        (DELIVERY, Task("a", 10)),
        (Task("a", 10),),
    ],
)
def test_tasks_that_make_no_order_are_refused(tasks):
    with pytest.raises(ValueError):
        check_tasks(tasks)


# -- for any order -----------------------------------------------------------------------------------------------------


@st.composite
def kitchens(draw: st.DrawFn) -> tuple[Task, ...]:
    """Tasks of any cake: tiers with stages and waits between them, some steps at once, and a delivery."""
    tasks: list[Task] = [Task("mix", draw(st.integers(1, 90)), days_ahead=draw(st.none() | st.integers(0, 4)))]
    tasks.append(Task("bake", draw(st.integers(1, 90)), "waiting", ("mix",), at_once=True))
    tasks.append(Task("cool", draw(st.integers(0, 300)), "waiting", ("bake",), can_last=True))
    tiers, stages = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    ready = {tier: "cool" for tier in range(tiers)}
    for stage in range(stages):
        for tier in range(tiers):
            name = f"{stage}-{tier}"
            days = draw(st.none() | st.integers(0, 3))
            tasks.append(Task(f"do-{name}", draw(st.integers(1, 60)), after=(ready[tier],), days_ahead=days))
            last = f"do-{name}"
            if draw(st.booleans()):
                tasks.append(Task(f"dry-{name}", draw(st.integers(1, 30)), "waiting", (last,), at_once=True))
                tasks.append(Task(f"on-{name}", draw(st.integers(1, 30)), after=(f"dry-{name}",), at_once=True))
                last = f"on-{name}"
            minutes, places = draw(st.integers(0, 600)), draw(st.integers(0, 2))
            wait = Task(f"cold-{name}", minutes, "waiting", (last,), can_last=True, places=places)
            tasks.append(wait)
            ready[tier] = wait.id
    tasks.append(Task("box", draw(st.integers(1, 60)), after=tuple(ready.values()), is_away=True))
    tasks.append(Task("drive", draw(st.integers(1, 120)), after=("box",), at_once=True, is_away=True))
    return tuple(tasks)


@st.composite
def orders(draw: st.DrawFn) -> Order:
    zone = draw(st.sampled_from(ZONES))
    display = dt.datetime(2026, 1, 1) + dt.timedelta(minutes=15 * draw(st.integers(0, 365 * 96)))
    begin = draw(st.integers(0, 22))
    length = draw(st.integers(min(4, 23 - begin), 23 - begin))
    aware = display.replace(tzinfo=zone)
    # Half of them with time enough, so that about as many fit as do not.
    before = dt.timedelta(minutes=draw(st.integers(-60, 3 * 24 * 60) | st.integers(5 * 24 * 60, 20 * 24 * 60)))
    return Order(
        draw(kitchens()),
        aware,
        (aware.astimezone(dt.UTC) - before).astimezone(draw(st.sampled_from(ZONES))),
        WorkingHours(dt.time(begin), dt.time(begin + length)),
        draw(st.none() | st.integers(0, 8)),
        draw(st.none() | st.integers(0, 5)),
    )


def utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC)


@given(orders())
def test_hands_are_never_in_two_places(order):
    busy = sorted((utc(p.start), utc(p.end)) for p in schedule(order).placed if p.task.attention == "hands")
    assert all(before[1] <= after[0] for before, after in zip(busy, busy[1:], strict=False))


@given(orders())
def test_nothing_begins_before_what_it_waits_for_has_ended(order):
    placed = by_id(schedule(order).placed)
    for item in placed.values():
        for name in item.task.after:
            assert utc(placed[name].end) <= utc(item.start)
            if item.task.at_once:
                assert utc(placed[name].end) == utc(item.start)


@given(orders())
def test_every_task_has_its_minutes_and_a_wait_at_least_its_own(order):
    for item in schedule(order).placed:
        lasts = utc(item.end) - utc(item.start)
        assert lasts >= item.task.length if item.task.can_last else lasts == item.task.length


@given(orders())
def test_in_a_plan_that_fits_nothing_begins_in_the_past_or_too_early(order):
    found = schedule(order)
    if found.fits:
        for item in found.placed:
            if not item.task.can_last:
                assert utc(item.start) >= order.floor(item.task)
                assert utc(order.now) <= utc(item.earliest) <= utc(item.start)


@given(orders())
def test_in_a_plan_that_fits_hands_keep_to_the_working_hours(order):
    found = schedule(order)
    if found.fits:
        for item in found.placed:
            if not item.task.can_last and not item.task.is_away:
                begin, end = order.hours.on(item.start.date(), order.zone)
                assert begin <= utc(item.start) and utc(item.end) <= end


def occupied(placed: tuple[Placed, ...]) -> int:
    """Return the most places of the fridge that are taken at one time, moment by moment."""
    stays = [(utc(p.start), utc(p.end), p.task.places) for p in placed if p.task.places and p.end > p.start]
    return max((sum(n for begin, end, n in stays if begin <= now < end) for now, _, _ in stays), default=0)


@given(orders())
def test_the_fridge_never_holds_more_than_it_has_places_for(order):
    found = schedule(order)
    assert occupied(found.placed) <= places_needed(order.tasks)
    if found.fits and order.places is not None:
        assert occupied(found.placed) <= order.places


@given(orders(), st.integers(1, 20))
def test_a_later_start_on_the_day_never_spoils_a_plan(order, halves):
    later = (utc(order.display) + dt.timedelta(minutes=30 * halves)).astimezone(order.zone)
    if schedule(order).fits and later.date() == order.display.date():
        assert schedule(replace(order, display=later)).fits


@given(orders(), st.integers(0, 6), st.integers(0, 6))
def test_more_working_hours_never_hurt(order, earlier, later):
    begin = max(0, order.hours.begin.hour - earlier)
    end = min(23, order.hours.end.hour + later)
    longer = replace(order, hours=WorkingHours(dt.time(begin), dt.time(end)))
    if schedule(order).fits:
        assert schedule(longer).fits
    assert utc(schedule(longer).begin) >= utc(schedule(order).begin) or any(
        miss.trouble == "stretch" for miss in schedule(order).misses
    )


@given(orders())
def test_more_room_and_an_earlier_begin_never_hurt(order):
    if schedule(order).fits:
        assert schedule(replace(order, places=None, days_ahead=None)).fits


def forwards(order: Order) -> bool:
    """Try the order the other way round, as early as may be: whether the delivery is ready in time."""
    ended: dict[str, dt.datetime] = {}
    free = dt.datetime.min.replace(tzinfo=dt.UTC)
    tasks = list(order.tasks)
    while tasks:
        if tasks[0].can_last:
            wait = tasks.pop(0)
            ended[wait.id] = max(ended[name] for name in wait.after) + wait.length
            continue
        run = [tasks.pop(0)]
        while tasks and tasks[0].at_once:
            run.append(tasks.pop(0))
        whole = sum((task.length for task in run), dt.timedelta())
        start = max([free, *(ended[name] for name in run[0].after)])
        offset = dt.timedelta()
        for task in run:
            start = max(start, order.floor(task) - offset)
            offset += task.length
        if run[0].is_away:
            return start <= utc(order.display) - whole
        days = (start.astimezone(order.zone).date() + dt.timedelta(days=n) for n in range(-1, 4))
        windows = [order.hours.on(day, order.zone) for day in days]
        start = next(max(start, begin) for begin, end in windows if max(start, begin) + whole <= end)
        for task in run:
            ended[task.id] = start = start + task.length
            if task.attention == "hands":
                free = start
    raise AssertionError("an order without a delivery")


@given(orders())
def test_the_latest_plan_fits_exactly_when_one_made_forwards_does(order):
    found = schedule(order)
    if not any(miss.trouble in ("stretch", "cold-places") for miss in found.misses):
        assert found.fits == forwards(order)


@given(orders())
def test_a_change_is_found_only_for_what_does_not_fit_and_each_fits(order):
    changes = smallest_changes(order)
    assert not (changes and schedule(order).fits)
    assert all(change.schedule == schedule(change.order) and change.schedule.fits for change in changes)


@pytest.mark.parametrize(
    ("early_share", "hours"),
    [
        (1.0, WorkingHours(dt.time(2), dt.time(18))),
        (0.5, WorkingHours(dt.time(6), dt.time(22))),
        (0.0, None),  # to 2:00 of the next day
    ],
)
def test_longer_hours_begin_earlier_by_their_share_and_end_later_by_the_rest(early_share, hours):
    # Eight hours more. Seen to fail: the share of steps of 31 minutes.
    assert WorkingHours(dt.time(10), dt.time(18)).longer(dt.timedelta(hours=8), early_share) == hours


def test_after_midnight_the_working_night_that_began_before_it_still_lasts():
    # From 22:00 to 6:00, asked at 2:00: now, and not from 22:00 on. Seen to fail: the night of the same date alone.
    night = WorkingHours(dt.time(22), dt.time(6))
    placed = by_id(schedule(order_of(Task("make", 120), DELIVERY, hours=night, now=at(15, 2))).placed)
    assert placed["make"].earliest == at(15, 2)
