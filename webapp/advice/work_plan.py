"""The use case: a brief and its pairing in, the work plan out: what to do when, or what cannot be done and why not."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from webapp.advice import work_words as words
from webapp.advice.brief import Brief
from webapp.advice.chill_times import Chill, Serving, chills_of, serving_of, temper_hours
from webapp.advice.contract import CautionOut
from webapp.advice.food_clock import FRIDGE_C, likely_peak, rule_for_homes
from webapp.advice.heat import CUPCAKE, warm_cake
from webapp.advice.holds import coat_hold
from webapp.advice.moisture import crust_of
from webapp.advice.phrases import HARDLY_CRUSTS_MIN
from webapp.advice.plan_options import PlanOptions
from webapp.advice.service import Advisor, assured_hours
from webapp.advice.work_sheet import FridgeRow, TaskFact, Wait, WorkDay, WorkPlan, WorkRow, WorkStep
from webapp.catalogue.model import Catalogue, Formulation, TaskTime
from webapp.kitchen.cake_tasks import CakeWork, Described, Minutes, TierWork, cake_tasks, out_of_the_cold
from webapp.kitchen.geometry import depth_across
from webapp.kitchen.keeping import four_hour_rule, home_rule
from webapp.kitchen.oven import Oven
from webapp.kitchen.work_plan import Order, Placed, Schedule, WorkingHours, by_id, schedule, smallest_changes
from webapp.thermal.holding import Spread
from webapp.units import LOOK_AHEAD_H, METRIC, Measures

_NONE = Minutes(0, 0, 0)
_CAUTIONS = ("time-out", "time-control")
_WITHOUT_FOOT = ("rosettes", "fine")  # borders are those of foot and rim
_STACKED = ("stacked-supports", "not-food")


@dataclass(frozen=True, slots=True)
class WorkOptions:
    """How the kitchen works: its hours (local), tiers that fit in the fridge (none: enough), first day of work.

    ``mending_g`` is the coat that goes along in a bag [g].
    """

    work_from: dt.time = dt.time(8, 0)
    work_to: dt.time = dt.time(20, 0)
    fridge_tiers: int | None = None
    days_ahead: int | None = 3
    coat_batches: int = 1
    filling_batches: int = 1
    mending_g: float = 0.0

    @classmethod
    def of(
        cls, options: PlanOptions, coat_batches: int = 1, filling_batches: int = 1, mending_g: float = 0.0
    ) -> WorkOptions:
        """Take what the options of a kitchen plan say; what they leave out is as usual."""
        usual = cls()
        return cls(
            usual.work_from if options.work_from is None else options.work_from,
            usual.work_to if options.work_to is None else options.work_to,
            options.fridge_tiers,
            usual.days_ahead if options.days_ahead is None else options.days_ahead,
            coat_batches,
            filling_batches,
            mending_g,
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Kitchen:
    """Everything that was computed before the plan is written down; ``coat_c`` is how warm its coat gets [°C]."""

    brief: Brief
    catalogue: Catalogue
    described: tuple[Described, ...]
    chills: tuple[Chill, ...]
    coat_c: float
    serving: Serving
    order: Order
    measures: Measures


def plan_work(
    service: Advisor,
    brief: Brief,
    coat: Formulation,
    filling: Formulation,
    options: WorkOptions,
    *,
    now: dt.datetime,
    measures: Measures = METRIC,
) -> WorkPlan:
    """Plan the work for one order, from ``now`` (aware) to the start of its display.

    Raises
    ------
    ValueError
        If ``now`` has no time zone.
    """
    if now.tzinfo is None:
        raise ValueError("now has no time zone")
    kitchen = _kitchen(service, brief, coat, filling, options, now, measures)
    found = schedule(kitchen.order)
    changes = smallest_changes(kitchen.order)
    return _written(kitchen, found, tuple(words.change_text(change, kitchen.order, measures) for change in changes))


def zone_of(brief: Brief, now: dt.datetime) -> tuple[dt.tzinfo, str | None]:
    """Return the venue's time zone with its name; where the brief names no place, the zone of ``now`` without one."""
    name = brief.timezone or (brief.site.timezone if brief.site is not None else None)
    if name is not None:
        return ZoneInfo(name), name
    assert now.tzinfo is not None
    return now.tzinfo, None


def _kitchen(
    service: Advisor,
    brief: Brief,
    coat: Formulation,
    filling: Formulation,
    options: WorkOptions,
    now: dt.datetime,
    measures: Measures,
) -> _Kitchen:
    catalogue, family = service.catalogue, coat.family.id
    zone, _ = zone_of(brief, now)
    today = now.astimezone(zone).date()
    heat = warm_cake(brief, catalogue, service.seed, today, (family,))
    lasting = assured_hours(coat_hold(coat, heat, service.softness, catalogue))
    serving = serving_of(heat, family, LOOK_AHEAD_H if lasting is None else lasting, catalogue)
    chills = chills_of(brief, family, catalogue, service.seed)
    tempers = _minutes(temper_hours(brief, family, catalogue, service.seed)) if brief.start_c > FRIDGE_C else _NONE
    cake = _cake_work(brief, catalogue, coat, filling, options, chills, tempers, serving.early_h, measures)
    described = cake_tasks(cake, catalogue.tasks)
    order = Order(
        tasks=tuple(one.task for one in described),
        display=dt.datetime.combine(brief.event_date(today), brief.start_time, zone),
        now=now,
        hours=WorkingHours(options.work_from, options.work_to),
        places=options.fridge_tiers,
        days_ahead=options.days_ahead,
    )
    return _Kitchen(brief, catalogue, described, chills, likely_peak(heat, family), serving, order, measures)


def _cake_work(
    brief: Brief,
    catalogue: Catalogue,
    coat: Formulation,
    filling: Formulation,
    options: WorkOptions,
    chills: Sequence[Chill],
    tempers: Minutes,
    stands_h: float,
    measures: Measures,
) -> CakeWork:
    """Say what there is to do; ``stands_h`` is how much sooner it is brought out than asked [h]."""
    return CakeWork(
        family=coat.family.id,
        tiers=tuple(_tier(chill) for chill in chills if chill.tier != CUPCAKE),
        cupcakes=brief.cupcakes,
        cupcake_places=math.ceil(brief.cupcakes / catalogue.fact("fridge", "cupcakes").value),
        cupcakes_cold=next((_minutes(c.core_h) for c in chills if c.tier == CUPCAKE), _NONE),
        piping=brief.piping,
        is_textured=brief.finish == "textured",
        is_dowelled=len(brief.tiers) > 1 and brief.supported,
        crust=_crust(coat, brief, catalogue),
        coat=_making(coat, options.coat_batches, brief, catalogue),
        filling=None if filling.id == coat.id else _making(filling, options.filling_batches, brief, catalogue),
        travel=Minutes(brief.travel_minutes, brief.travel_minutes, brief.travel_minutes),
        tempers=tempers,
        stands=Minutes(60 * stands_h, 60 * stands_h, 60 * stands_h),
        oven_loads=_oven(catalogue).loads(_tins(brief)),
        cupcake_loads=_oven(catalogue).cupcake_loads(brief.cupcakes),
        longest=WorkingHours(options.work_from, options.work_to).length // dt.timedelta(minutes=1),
        coat_softens=words.softens(coat),
        filling_softens=words.softens(filling),
        taken_along=words.taken_along(options.mending_g, measures),
        has_foot=brief.piping in _WITHOUT_FOOT and catalogue.fact(f"edge:{brief.piping}", "foot_ml_m").value > 0,
    )


def _tins(brief: Brief) -> list[tuple[float, float]]:
    """Return the width and depth [cm] of a tin for each layer of each tier."""
    return [(t.width_cm, depth_across(t.shape, t.width_cm, t.depth_cm)) for t in brief.tiers for _ in range(t.layers)]


def _oven(catalogue: Catalogue) -> Oven:
    size = {name: catalogue.fact("oven", name).value for name in ("shelf_width", "shelf_depth", "gap")}
    shelves, cupcakes = (round(catalogue.fact("oven", name).value) for name in ("shelves", "cupcakes"))
    return Oven(size["shelf_width"], size["shelf_depth"], shelves, size["gap"], cupcakes)


def _minutes(hours: Spread) -> Minutes:
    return Minutes(60 * hours.likely, 60 * hours.low, 60 * hours.high)


def _tier(chill: Chill) -> TierWork:
    return TierWork(chill.tier, _minutes(chill.crumb_firm_h), _minutes(chill.coat_firm_h), _minutes(chill.core_h))


def _crust(coat: Formulation, brief: Brief, catalogue: Catalogue) -> Minutes | None:
    """Return how long the coat crusts in this air; none where it forms no crust and is chilled instead."""
    minutes = crust_of(coat, brief.humidity_pct, catalogue).minutes
    if minutes is None or minutes[1] > HARDLY_CRUSTS_MIN:
        return None
    return Minutes(minutes[1], minutes[0], minutes[2])


def _making(formulation: Formulation, batches: int, brief: Brief, catalogue: Catalogue) -> tuple[Minutes, dt.timedelta]:
    """Return the minutes to make so many batches of a buttercream, and how long before the display it may be made.

    By the low end of how long it keeps chilled, counted until the cake is cut: a filled cake keeps no longer.
    """
    one = catalogue.formulation_fact(formulation, "minutes")
    share = catalogue.fact("second-batch", "minutes_share")
    more = max(0, batches - 1)
    minutes = Minutes(
        one.value * (1 + more * share.value), one.low * (1 + more * share.low), one.high * (1 + more * share.high)
    )
    days = catalogue.formulation_fact(formulation, "refrigerated_days").low
    return minutes, dt.timedelta(days=days) - dt.timedelta(hours=brief.hold_hours)


def _written(kitchen: _Kitchen, found: Schedule, changes: tuple[str, ...]) -> WorkPlan:
    order, brief, measures = kitchen.order, kitchen.brief, kitchen.measures
    cut = (order.display.astimezone(dt.UTC) + dt.timedelta(hours=brief.hold_hours)).astimezone(order.zone)
    rows = tuple(_rows(kitchen, found)) if found.fits else ()
    titles = {one.task.id: words.task_title(one) for one in kitchen.described}
    return WorkPlan(
        fits=found.fits,
        headline=words.headline(found, by_id(found.placed), brief, measures),
        notes=tuple(words.notes(order, zone_of(brief, order.now)[1], measures)),
        days=_days(rows, measures),
        cannot=tuple(words.misses(found, titles, measures)),
        changes=changes,
        serving=tuple(words.serving(kitchen.serving, brief, order.display, _out(found), measures)),
        clocks=tuple(_clocks(kitchen)),
        assumed_day=words.assumed_day(order.display, brief, measures),
        serve_by=_serve_by(kitchen, found, cut) if found.fits else "",
        fridge=tuple(FridgeRow(chill.tier, *words.chill_cells(chill)) for chill in kitchen.chills),
        fridge_note=words.fridge_note(kitchen.chills, kitchen.catalogue, measures),
        cautions=tuple(_cautions(kitchen)),
        facts=tuple(_facts(kitchen.described)),
        begin=found.begin,
        display=order.display,
        cut=cut,
        zone=zone_of(brief, order.now)[1],
        hours=(order.hours.begin, order.hours.end),
    )


def _rows(kitchen: _Kitchen, found: Schedule) -> Iterator[WorkRow]:
    """Yield a row for each run of tasks without a pause on the same thing, in order of time."""
    placed = by_id(found.placed)
    waits = [one for one in kitchen.described if one.task.can_last]
    made = [
        _row(
            run,
            [one for one in waits if run[-1].task.id in one.task.after],
            placed,
            kitchen.measures,
            _made_ahead(run[0], kitchen, placed),
        )
        for run in _runs(kitchen.described)
    ]
    yield from sorted(made, key=lambda row: row.start.astimezone(dt.UTC))


def _runs(described: tuple[Described, ...]) -> Iterator[list[Described]]:
    """Split tasks into rows: what follows at once belongs together, but the steps of the delivery stand alone."""
    run: list[Described] = []
    for one in described:
        if one.task.can_last:
            continue
        if run and not (one.task.at_once and not one.task.is_away):
            yield run
            run = []
        run.append(one)
    if run:
        yield run


def _made_ahead(made: Described, kitchen: _Kitchen, placed: Mapping[str, Placed]) -> Wait | None:
    """Return the wait of a buttercream in the fridge, where it is made longer before its use than it may stand out."""
    if made.kind not in ("make-coat", "make-filling"):
        return None
    uses = [placed[one.task.id].start for one in kitchen.described if made.kind in one.task.after]
    end, use = placed[made.task.id].end, min(uses)
    allowed = home_rule(kitchen.catalogue.fact("kitchen", "air").value, kitchen.catalogue).allows_h
    if use.astimezone(dt.UTC) - end.astimezone(dt.UTC) <= dt.timedelta(hours=allowed):
        return None
    text, what = words.made_ahead_text(use, end, kitchen.measures), words.step_title(made).removeprefix("Make ")
    return Wait(text, words.MADE_AHEAD_SHORT, end, use, is_in_fridge=True, of=what)


def _row(
    run: list[Described],
    waits: list[Described],
    placed: Mapping[str, Placed],
    measures: Measures,
    ahead: Wait | None = None,
) -> WorkRow:
    first, last = placed[run[0].task.id], placed[run[-1].task.id]
    total = sum(one.task.minutes for one in run)
    steps = tuple(
        WorkStep(words.step_title(one), words.step_minutes(one), one.task.attention == "waiting", one.task.length)
        for one in run
    )
    then = tuple(
        Wait(words.wait_text(one, at, measures), words.wait_short(one), at.start, at.end, one.task.places > 0)
        for one in waits
        for at in (placed[one.task.id],)
    )
    if ahead is not None:
        then += (ahead,)
    return WorkRow(
        id=run[0].task.id,
        title=words.row_title(run),
        short=words.row_short(run),
        tier=run[0].tier,
        start=first.start,
        end=last.end,
        earliest=first.earliest,
        steps=steps,
        then=then,
        is_waiting=all(one.task.attention == "waiting" for one in run),
        minutes=words.plain_minutes(total),
        clock=f"{measures.clock(first.start)} to {measures.clock(last.end)}",
        earliest_text=words.earliest_text(first, measures),
    )


def _days(rows: tuple[WorkRow, ...], measures: Measures) -> tuple[WorkDay, ...]:
    dates = sorted({row.start.date() for row in rows})
    return tuple(
        WorkDay(date, measures.day(date), tuple(row for row in rows if row.start.date() == date)) for date in dates
    )


def _clocks(kitchen: _Kitchen) -> Iterator[str]:
    """Yield how long the cake is out of the fridge: at a stretch, for the table, and in all."""
    brief, described, catalogue = kitchen.brief, kitchen.described, kitchen.catalogue
    # What the kitchen's air allows while it is made; how hot the venue is counts from when it leaves.
    indoors_h = home_rule(catalogue.fact("kitchen", "air").value, catalogue).allows_h
    venue = rule_for_homes(brief, catalogue, kitchen.coat_c)
    stretches = [
        (sum(one.task.minutes for one in run), run[0].tier) for run in _runs(described) if run[0].tier is not None
    ]
    away = sum(one.task.minutes for one in described if one.task.is_away)
    making = max((out_of_the_cold(described, tier) for _, tier in stretches if tier is not None), default=0)
    longest = max((minutes for minutes, _ in stretches), default=0)
    tiers = {tier for minutes, tier in stretches if minutes == longest and tier is not None}
    yield from words.out_in_the_kitchen(longest, tiers, indoors_h)
    yield words.out_for_the_table(making, away, brief.hold_hours, (indoors_h, venue.allows_h))
    yield from filter(None, [words.out_in_the_advice(away, brief.hold_hours, brief.travel_minutes)])


def _serve_by(kitchen: _Kitchen, found: Schedule, cut: dt.datetime) -> str:
    """Say until when the rules of time allow the cake to stand, from the minute in which it leaves the fridge."""
    brief, catalogue = kitchen.brief, kitchen.catalogue
    business = four_hour_rule(brief.start_c, catalogue)
    home = rule_for_homes(brief, catalogue, kitchen.coat_c)
    return words.serve_by(_out(found), cut, home, business, kitchen.measures)


def _out(found: Schedule) -> dt.datetime:
    """Return the minute in which the cake leaves the fridge."""
    return next(item.start for item in found.placed if item.task.is_away)


def _cautions(kitchen: _Kitchen) -> Iterator[CautionOut]:
    names = [*_CAUTIONS, *(_STACKED if len(kitchen.brief.tiers) > 1 else ()), "planning-help"]
    for rule in (kitchen.catalogue.rules[name] for name in names):
        yield CautionOut(id=rule.id, text=rule.sentence, source=rule.source)


def _facts(described: tuple[Described, ...]) -> Iterator[TaskFact]:
    rows: dict[tuple[str, str, str], TaskTime] = {
        (row.task, row.family, row.per): row for one in described for row in one.times
    }
    for row in rows.values():
        yield TaskFact(
            f"{row.title}, {words.PER[row.per]}",
            words.exact_minutes(Minutes(row.minutes, row.low, row.high)),
            row.basis,
            row.source,
            row.locator,
        )
