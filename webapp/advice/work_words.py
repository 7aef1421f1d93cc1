"""The sentences of the work plan. Decides nothing."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from webapp.advice.brief import Brief
from webapp.advice.chill_times import LONGEST_CHILL_H, Chill, Serving
from webapp.catalogue.model import Catalogue, Formulation, Ingredient
from webapp.kitchen.cake_tasks import GRAIN_MIN, Described, Minutes
from webapp.kitchen.keeping import TimeRule
from webapp.kitchen.work_plan import Change, Miss, Order, Placed, Schedule, Task, WorkingHours
from webapp.thermal.holding import Spread
from webapp.units import Measures, duration

PER = {
    "order": "the order",
    "tier": "each tier",
    "dozen": "each dozen cupcakes",
    "load": "each oven load of tins",
    "cupcake-load": "each oven load of cupcakes",
}
LEAST_FAT, LEAST_WATER = 20.0, 40.0  # [g/100 g]: butter and blocks, not milk; egg, not its powder
BAG_GRAIN_G = 10
_TITLES = {
    "make-coat": "Make the coat",
    "make-filling": "Make the filling",
    "crust": "Wait for the crust",
    "chill-crumb": "Chill the crumb coat",
    "chill-coat": "Chill the coat",
    "chill-through": "Chill through",
    "temper": "Let it warm in the kitchen",
    "travel": "Drive",
    "stand": "Out of the cold, on the table",
}
_SHORT = {
    "mix": "mix",
    "bake": "bake",
    "soften": "warm up",
    "fill": "fill",
    "crumb": "crumb coat",
    "coat": "coat",
    "smooth": "smooth",
    "texture": "texture",
    "pipe-borders": "borders",
    "pipe-rosettes": "rosettes",
    "pipe-fine": "fine work",
    "temper": "warm in the kitchen",
    "stack": "stack, mend the foot",
}
_UNTIL = {
    "chill-crumb": "until the crumb coat is firm",
    "chill-coat": "until the coat is firm",
    "chill-through": "until the core is cold",
}


def plain_minutes(minutes: float) -> str:
    """Write minutes, from an hour on with hours."""
    return duration(minutes / 60)


def minutes_text(minutes: Minutes) -> str:
    """Write minutes as a plan counts them, rounded up to five, with their range; left out where it is the same."""
    low, high = _grain(minutes.low, math.floor), _grain(minutes.high, math.ceil)
    return _ranged(plain_minutes(minutes.planned), *(plain_minutes(end) if end else "0 min" for end in (low, high)))


def exact_minutes(minutes: Minutes) -> str:
    """Write minutes with their range as the data have them: to the minute."""
    return _ranged(*(f"{value:.0f} min" for value in (minutes.likely, minutes.low, minutes.high)))


def _ranged(likely: str, low: str, high: str) -> str:
    if likely == low == high:
        return likely
    if " h" not in low + high:
        low = low.removesuffix(" min")
    return f"{likely} ({low} to {high})"


def _grain(minutes: float, to_whole: Callable[[float], int]) -> int:
    return GRAIN_MIN * to_whole(round(minutes / GRAIN_MIN, 6))


def _on_day(moment: dt.datetime, measures: Measures) -> str:
    """Write a clock with its day: ``16:15 on Friday 25 June``."""
    return f"{measures.clock(moment)} on {measures.day(moment.date())}"


def step_title(one: Described) -> str:
    """Name a task without its tier, with what it is done with; of a buttercream made in parts, which."""
    title = ", ".join(filter(None, [one.times[0].title if one.times else _TITLES[one.kind], one.with_what]))
    number, parts = one.part
    return title if parts == 1 else f"{title} ({number} of {parts})"


def step_minutes(one: Described) -> str:
    """Write the minutes of a task; of baking with the oven loads that they count."""
    said = minutes_text(one.minutes)
    if not one.loads:
        return said
    return f"{said}, counted as {'1 oven load' if one.loads == 1 else f'{one.loads} oven loads'}"


def softens(formulation: Formulation) -> str:
    """Name what comes out of the fridge before a buttercream is made: its fats and its fresh egg."""
    held = [line.ingredient for line in formulation.lines]
    fats = [each for each in held if each.fat_kind is not None and each.fat > LEAST_FAT]
    named = [f"{each.name.lower()}{', if it is kept cold' if 'shortening' in each.id else ''}" for each in fats]
    named += ["eggs" if "shell" in each.name else each.name.lower() for each in held if _is_fresh_egg(each)]
    return ", ".join(dict.fromkeys(named))


def _is_fresh_egg(ingredient: Ingredient) -> bool:
    return ingredient.egg_part != "none" and ingredient.water > LEAST_WATER


def taken_along(mending_g: float, measures: Measures) -> str:
    """Say how much coat goes along to mend the feet of stacked tiers, rounded up to ten grams."""
    if not mending_g:
        return ""
    bag_g = BAG_GRAIN_G * math.ceil(mending_g / BAG_GRAIN_G - 1e-9)
    beside = f" ({measures.mass(bag_g)})" if measures.is_customary("mass") else ""
    return f"with about {bag_g:.0f} g{beside} of coat in a piping bag"


def task_title(one: Described) -> str:
    """Name a task with its tier."""
    return step_title(one) if one.tier is None else f"{step_title(one)}, {one.tier}"


def row_title(run: Sequence[Described]) -> str:
    """Name what is done without a pause: its steps, joined."""
    first, *others = [step_title(one) for one in run]
    return ", ".join([first, *(title[0].lower() + title[1:] for title in others)])


def row_short(run: Sequence[Described]) -> str:
    """Name a row in few words: the first and the last of its steps, leaving out the crust and the foot."""
    names = [_step_short(one) for one in run if one.kind not in ("crust", "pipe-foot")]
    return names[0] if len(names) < 2 else f"{names[0]}, {names[-1]}"


def _step_short(one: Described) -> str:
    whole = step_title(replace(one, with_what=""))
    short = _SHORT.get(one.kind, f"{whole[0].lower()}{whole[1:]}")
    return f"{short} {one.with_what.partition(':')[0]}" if one.kind == "soften" else short


def wait_text(one: Described, placed: Placed, measures: Measures) -> str:
    """Say how long a thing has to wait at least, until what, and when it is taken up again."""
    where = "into the fridge for" if placed.task.places else "cool for"
    until = f" {_UNTIL[one.kind]}" if one.kind in _UNTIL else ""
    spare = one.task.minutes - one.minutes.planned
    more = f", with {plain_minutes(spare)} to spare" if spare else ""
    again = _clock_on(placed.end, placed.start, measures)
    return f"{where} {minutes_text(one.minutes)} or longer{until}{more}; next at {again}"


def wait_short(one: Described) -> str:
    """Say where a thing waits and for how long at least."""
    return f"{'fridge' if one.task.places else 'cool'} {plain_minutes(one.minutes.planned)} or longer"


def made_ahead_text(use: dt.datetime, made: dt.datetime, measures: Measures) -> str:
    """Say where a buttercream waits that was made well before it is used."""
    when = _clock_on(use, made, measures)
    return f"cover it, into the fridge; used from {when}: let it soften in the kitchen first and beat it smooth again"


MADE_AHEAD_SHORT = "cover, fridge; beat smooth again"


def earliest_text(placed: Placed, measures: Measures) -> str:
    """Say how early a task can start instead; nothing where that is no sooner."""
    if placed.slack < dt.timedelta(minutes=5):
        return ""
    if placed.earliest.date() < placed.start.date():
        return f"from {measures.moment(placed.earliest)}"
    return f"from {measures.clock(placed.earliest)}"


def headline(found: Schedule, placed: Mapping[str, Placed], brief: Brief, measures: Measures) -> str:
    """Say when to begin and when to leave, or that it cannot be done."""
    if not found.fits:
        return f"This cannot be done for {_on_day(found.order.display, measures)}."
    leave = placed["travel" if brief.travel_minutes else "set-up"].start
    out = next(item for item in found.placed if item.task.is_away).start
    verb = "drive off" if brief.travel_minutes else "set up"
    begin = f"Begin at {_on_day(found.begin, measures)} at the latest"
    # A bare clock would read as that of the day on which one begins.
    out_at = measures.clock(out) if out.date() == found.begin.date() else _on_day(out, measures)
    return f"{begin}; out of the fridge at {out_at}, {verb} at {_clock_on(leave, out, measures)}."


def _clock_on(moment: dt.datetime, named: dt.datetime, measures: Measures) -> str:
    """Write a clock, with its weekday where that is another than the one just named."""
    return measures.clock(moment) if moment.date() == named.date() else measures.moment(moment)


def _hours_text(hours: WorkingHours, measures: Measures) -> str:
    return f"{measures.clock(hours.begin)} to {measures.clock(hours.end)}"


def notes(order: Order, zone: str | None, measures: Measures) -> Iterator[str]:
    """Say what the plan rests on."""
    hours = _hours_text(order.hours, measures)
    yield (
        f"Every task stands as late as it may, for one pair of hands working {hours}; "
        "waiting may run overnight. Minutes are the likely ones, rounded up to five; the last chill has spare time in."
    )
    if zone is None:
        yield "No place is known, so the times are those of this computer’s clock."
    else:
        yield f"Times are local, {zone.replace('_', ' ')}."
    yield (
        "Baking counts a tin for each layer on the shelves of one household oven, two at once where they fit; "
        "fewer tins than that, or an oven with more room, change it."
    )
    if order.places is None:
        yield "The fridge was taken to hold all tiers at once."


def assumed_day(display: dt.datetime, brief: Brief, measures: Measures) -> str:
    """Say that the day was assumed, where the brief names none."""
    if brief.date is not None:
        return ""
    return (
        f"The day was assumed: no date was given, so {measures.day(display.date())}, a midsummer Saturday, was taken. "
        "Give the day of the event before you work by this plan."
    )


def misses(found: Schedule, titles: Mapping[str, str], measures: Measures) -> Iterator[str]:
    """Say what does not fit, the worst of each kind first."""
    order, placed = found.order, {item.task.id: item for item in found.placed}
    past = sorted((m for m in found.misses if m.trouble == "past"), key=lambda m: m.short, reverse=True)
    if past:
        yield from _too_late(past, placed, titles, order, measures)
    for miss in found.misses:
        if miss.trouble == "stretch":
            much = plain_minutes(miss.short.total_seconds() / 60)
            yield f"{titles[miss.task or '']}: with what follows at once it takes {much} longer than your working day."
        elif miss.trouble == "cold-places":
            yield f"The fridge would have to hold {_tiers(miss.needed)} at once; it holds {order.places}."
    yield from _too_early([m for m in found.misses if m.trouble == "keeps"], placed, titles, order, measures)


def _too_late(
    past: Sequence[Miss], placed: Mapping[str, Placed], titles: Mapping[str, str], order: Order, measures: Measures
) -> Iterator[str]:
    worst = past[0]
    begun = placed[worst.task or ""].start
    ago = _long(worst.short)
    yield f"It would have had to begin by {_on_day(begun, measures)}, {ago} ago."
    names = list(dict.fromkeys(titles[miss.task or ""] for miss in past))
    yield f"Too late for: {_joined(names)}."
    left = [titles[t.id] for t in order.tasks if not t.can_last and t.id not in {m.task for m in past}]
    if left:
        yield f"Only this is still ahead: {_joined(left)}."


def _too_early(
    keeps: Sequence[Miss], placed: Mapping[str, Placed], titles: Mapping[str, str], order: Order, measures: Measures
) -> Iterator[str]:
    for miss in sorted(keeps, key=lambda m: m.short, reverse=True)[:3]:
        item = placed[miss.task or ""]
        limit = _limit(item.task, order, measures)
        yield f"{titles[item.task.id]} would have to be done at {measures.moment(item.start)}; {limit}."


def _limit(task: Task, order: Order, measures: Measures) -> str:
    """Say which of the limits on how early a task begins is the one that binds."""
    if task.keeps is not None and order.floor(task) == order.display.astimezone(dt.UTC) - task.keeps:
        return f"cold it keeps from {measures.moment(order.floor(task).astimezone(order.zone))} until the cake is cut"
    own = task.days_ahead
    if own is not None and (order.days_ahead is None or own <= order.days_ahead):
        return f"it keeps for {_days(own)}"
    return f"you begin {_days(order.days_ahead or 0)} ahead at most"


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _tiers(count: int) -> str:
    return "1 tier" if count == 1 else f"{count} tiers"


def _long(span: dt.timedelta) -> str:
    days, rest = divmod(span, dt.timedelta(days=1))
    hours = duration(rest.total_seconds() / 3600)
    return hours if not days else f"{_days(days)} {hours}"


def _joined(names: Sequence[str]) -> str:
    """Join names of tasks; tiers of one task are named together."""
    kinds: dict[str, list[str]] = {}
    for name in names:
        kind, _, tier = name.partition(", ")
        kinds.setdefault(kind, []).append(tier)
    return "; ".join(_with_tiers(kind, tiers) for kind, tiers in kinds.items())


def _with_tiers(title: str, tiers: Sequence[str]) -> str:
    if not all(tiers):
        return title
    return f"{title} ({', '.join(tiers) if len(tiers) < 4 else f'{len(tiers)} tiers'})"


def change_text(change: Change, asked: Order, measures: Measures) -> str:
    """Say a change that makes an order fit, and when work then begins."""
    order = change.order
    parts = []
    if order.hours != asked.hours:
        now, then = (_hours_text(hours, measures) for hours in (asked.hours, order.hours))
        parts.append(f"work {then} instead of {now}")
    if order.days_ahead != asked.days_ahead:
        parts.append(f"begin up to {_days(order.days_ahead or 0)} ahead instead of {asked.days_ahead}")
    if order.display != asked.display:
        same = order.display.date() == asked.display.date()
        old, new = asked.display, order.display
        parts.append(
            f"start the display at {measures.clock(new)} instead of {measures.clock(old)}"
            if same
            else f"take the order for {measures.day(new.date())} instead of {measures.day(old.date())}"
        )
    if order.places != asked.places:
        parts.append(f"make room in the fridge for {_tiers(order.places or 0)} instead of {asked.places}")
    said = " and ".join(parts)
    return f"{said[0].upper()}{said[1:]}; then begin by {_on_day(change.schedule.begin, measures)}."


def chill_cells(chill: Chill) -> tuple[str, str, str]:
    """Write the three times of one tier in the fridge."""
    crumb, coat, core = (_chilling(spread) for spread in (chill.crumb_firm_h, chill.coat_firm_h, chill.core_h))
    return crumb, coat, core


def _chilling(hours: Spread) -> str:
    never = f"more than {LONGEST_CHILL_H:g} h"
    if hours.high < LONGEST_CHILL_H - 1e-6:
        return minutes_text(Minutes(60 * hours.likely, 60 * hours.low, 60 * hours.high))
    likely, low, high = (
        never if h >= LONGEST_CHILL_H - 1e-6 else duration(h) for h in (hours.likely, hours.low, hours.high)
    )
    return f"{likely} ({low} to {high})"


def fridge_note(chills: Sequence[Chill], catalogue: Catalogue, measures: Measures) -> str:
    """Say what the times in the fridge are counted from and to."""
    air = catalogue.fact("fridge", "air")
    chill = chills[0]
    return (
        f"Computed by conduction for these tiers, from {measures.temperature(chill.from_c)} in a fridge at "
        f"{measures.temperature(air.value)} ({measures.temperatures(air.low, air.high)}), with moved air to still air: "
        f"a coat counts as firm at {measures.temperature(chill.firm_c)}, a core as cold at "
        f"{measures.temperature(chill.core_c)}. Uncovered; in a shut box it takes longer. No cake was measured."
    )


def serving(found: Serving, brief: Brief, display: dt.datetime, out: dt.datetime, measures: Measures) -> Iterator[str]:
    """Say when the cake is pleasant to eat, and what that costs of its shape; ``out`` is when it leaves the fridge."""
    wanted = measures.temperature(found.coat.value)
    wanted_range = measures.temperatures(found.coat.low, found.coat.high)
    coat, core = (
        f"{measures.temperature(at.likely)} ({measures.temperatures(at.low, at.high)})"
        for at in (found.coat_c, found.core_c)
    )
    cut = measures.clock(_after(display, brief.hold_hours))
    # The model of the heat begins with the drive; what is done before it in the cool kitchen is not in it.
    counted = _after(display, -brief.travel_minutes / 60)
    parts = "the drive and the display" if brief.travel_minutes else "the display alone"
    warming = plain_minutes(brief.travel_minutes + round(60 * brief.hold_hours))
    since = f"; of its warming only {warming} are counted, {parts}" if counted != out else ""
    begun = "Not brought out sooner" if found.early_h > 0.05 else f"Out of the fridge at {measures.clock(out)}"
    yield f"{begun} and cut at {cut}, the coldest tier has a coat of {coat} and a core of {core}{since}."
    yield _coat_sentence(found, brief, display, measures)
    yield _core_sentence(found, brief, display, measures)
    yield f"Pleasant from {wanted} is common practice without a source ({wanted_range}); taste a slice of your own."


def _coat_sentence(found: Serving, brief: Brief, display: dt.datetime, measures: Measures) -> str:
    wanted = measures.temperature(found.coat.value)
    early = plain_minutes(60 * found.early_h)
    if found.coat_h is None:
        return f"Its coat does not get to {wanted} there: it eats cold and firm. Bring it to a warmer room first."
    ready = measures.clock(_after(display, found.coat_h.likely))
    if found.coat_h.likely <= brief.hold_hours:
        return f"The coat is pleasant to eat ({wanted} and warmer) from {ready}."
    if found.is_in_time(brief.hold_hours):
        return f"For a coat that is pleasant then ({wanted} and warmer) it leaves the cold {early} sooner, as planned."
    if found.early_h > 0.05:
        return f"It leaves the cold {early} sooner; more would cost its shape, so it still eats firmer than it should."
    return f"The coat would be pleasant from {ready}, but to bring it out sooner would cost its shape."


def _core_sentence(found: Serving, brief: Brief, display: dt.datetime, measures: Measures) -> str:
    wanted = measures.temperature(found.core.value)
    if found.core_h is None or found.core_h.likely > brief.hold_hours + found.early_h:
        return f"The middle is still cooler than {wanted}: cut from the outside, or let the slices stand a little."
    ready = measures.clock(_after(display, found.core_h.likely - found.early_h))
    return f"The middle is at {wanted} and warmer from {ready}."


def _after(moment: dt.datetime, hours: float) -> dt.datetime:
    assert moment.tzinfo is not None
    return (moment.astimezone(dt.UTC) + dt.timedelta(minutes=5 * round(12 * hours))).astimezone(moment.tzinfo)


def out_in_the_kitchen(minutes: int, tiers: Collection[str], limit_h: float) -> Iterator[str]:
    """Say how long tiers are out of the fridge at a stretch while they are made, against the rule for homes."""
    if not tiers:
        return
    whose = f" ({''.join(tiers)})" if len(tiers) == 1 else ""
    told = "more than" if minutes > 60 * limit_h else "within"
    yield (
        f"Each tier goes back into the fridge after every stage: at most {plain_minutes(minutes)} at a stretch"
        f"{whose}, {told} the {duration(limit_h)} of the rule for homes in a kitchen. "
        "So does the buttercream that is not in use, covered."
    )


def out_for_the_table(making: int, away: int, hold_h: float, limits_h: tuple[float, float]) -> str:
    """Say how long the cake is out until it is cut, against the rule in the venue, and with the making in all.

    Counted from the fridge door: ``away`` [min] holds all that is done for the delivery, not the drive alone.
    ``limits_h`` are the hours of the rule in the kitchen and in the warmest air after it.
    """
    usual_h, venue_h = limits_h
    out = away / 60 + hold_h
    total = out + making / 60
    told, in_all = ("more than" if h > limit else "within" for h, limit in ((out, venue_h), (total, usual_h)))
    hot = " in such heat" if venue_h < usual_h else ""
    return (
        f"From the fridge door until it is cut: {duration(out)}, {told} the {duration(venue_h)} of that rule{hot}. "
        f"With the making, {duration(total)} in all, {in_all} its {duration(usual_h)}; "
        "your local food code comes first."
    )


def out_in_the_advice(away: int, hold_h: float, drive_min: float) -> str:
    """Say how much of the time out of the fridge the advice counts, so that nobody takes its hours for all."""
    counted, from_door = drive_min / 60 + hold_h, away / 60 + hold_h
    if from_door - counted < 1 / 60:
        return ""
    parts = "drive and display" if drive_min else "the display"
    more = duration(from_door - counted)
    return (
        f"The advice counts {duration(counted)} of it, {parts} alone; the rest of the delivery takes {more} more, "
        f"so by this plan the rule’s time is over {more} sooner than by the advice."
    )


def serve_by(out: dt.datetime, cut: dt.datetime, home: TimeRule, business: TimeRule, measures: Measures) -> str:
    """Say when the time of the rules is over, counted from the minute in which the cake leaves the fridge."""
    hot = "" if home.hot_above_c is None else f" above {measures.temperature(home.hot_above_c)}"
    ends = _exactly_after(out, home.allows_h)
    said = (
        f"Out of the fridge at {measures.clock(out)}. The {duration(home.allows_h)} rule for homes{hot} is over at "
        f"{_clock_on(ends, out, measures)}, {_against(ends, cut, 'the cake is cut')}."
    )
    if business.why_not:
        return f"{said} It leaves too warm for the 4 h that the law may allow a business."
    until = _exactly_after(out, business.allows_h)
    return (
        f"{said} Where your food authority allows a business {duration(business.allows_h)}, it is over at "
        f"{_clock_on(until, out, measures)}, {_against(until, cut, 'it is cut')}."
    )


def _against(ends: dt.datetime, cut: dt.datetime, named: str) -> str:
    """Say by how much a time is over before the cake is cut, or that it is not."""
    early_h = (cut.astimezone(dt.UTC) - ends.astimezone(dt.UTC)) / dt.timedelta(hours=1)
    if early_h > 0:
        return f"{duration(early_h)} before {named}"
    return f"{'when' if early_h == 0 else 'after'} {named}"


def _exactly_after(moment: dt.datetime, hours: float) -> dt.datetime:
    return (moment.astimezone(dt.UTC) + dt.timedelta(hours=hours)).astimezone(moment.tzinfo)
