"""The work plan as iCalendar (RFC 5545): an event for each row and wait, with reminders. Imported when asked for."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterator

from icalendar import Alarm, Calendar, Event

from webapp.advice.work_sheet import Wait, WorkPlan, WorkRow

_PRODUCT = "-//coat-and-filling//kitchen work plan//EN"
_BEFORE_HANDS = dt.timedelta(minutes=-10)
_BEFORE_LEAVING = dt.timedelta(minutes=-30)
_LEAVING = frozenset({"dowel", "box", "travel"})


def stamp_now() -> dt.datetime:
    """Read the clock, to the second: a stamp has no smaller part."""
    return dt.datetime.now(dt.UTC).replace(microsecond=0)


def calendar_of(work: WorkPlan, address: str, stamp: dt.datetime) -> bytes:
    """Write a plan that fits; ``address`` names it, so that the same plan asked for again replaces its events.

    Moments are in UTC where the venue's zone is known, so that no zone has to be described, and floating local time
    where it is not.
    """
    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    for event in _events(work, address, stamp):
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _events(work: WorkPlan, address: str, stamp: dt.datetime) -> Iterator[Event]:
    for row in work.rows:
        yield _row_event(row, work, address, stamp)
        for number, wait in enumerate(wait for wait in row.then if wait.end > wait.start):
            yield _wait_event(row, wait, number, work, address, stamp)
    display = _event("display", "Cake on display", work.display, work.cut, work, address, stamp)
    display.add("description", "\n".join([*work.serving, *work.clocks]))
    yield display


def _row_event(row: WorkRow, work: WorkPlan, address: str, stamp: dt.datetime) -> Event:
    event = _event(row.id, _title(row), row.start, row.end, work, address, stamp)
    steps = [f"{step.title}: {step.minutes}" for step in row.steps]
    sooner = [f"Can start {row.earliest_text}."] if row.earliest_text else []
    event.add("description", "\n".join([*steps, *sooner]))
    event.add_component(_alarm(_title(row), _BEFORE_LEAVING if row.id in _LEAVING else _BEFORE_HANDS))
    return event


def _wait_event(
    row: WorkRow, wait: Wait, number: int, work: WorkPlan, address: str, stamp: dt.datetime
) -> Event:
    where = "In the fridge" if wait.is_in_fridge else "Cooling"
    what = wait.of or row.tier or ("the sponge" if not wait.is_in_fridge else "cupcakes")
    event = _event(f"{row.id}-then-{number}", f"{where}: {what}", wait.start, wait.end, work, address, stamp)
    event.add("description", f"{wait.text}.")
    event.add("transp", "TRANSPARENT")  # nobody is busy while something cools
    return event


def _title(row: WorkRow) -> str:
    return row.title if row.tier is None else f"{row.title}: {row.tier}"


def _event(
    id_: str, title: str, start: dt.datetime, end: dt.datetime, work: WorkPlan, address: str, stamp: dt.datetime
) -> Event:
    event = Event()
    event.add("uid", str(uuid.uuid5(uuid.NAMESPACE_URL, f"{address}#{id_}")))
    event.add("dtstamp", stamp)
    event.add("dtstart", _moment(start, work))
    if end > start:  # an end must be later than its start; without one an event is a moment
        event.add("dtend", _moment(end, work))
    event.add("summary", title)
    return event


def _moment(moment: dt.datetime, work: WorkPlan) -> dt.datetime:
    whole = moment.replace(microsecond=0)
    return whole.replace(tzinfo=None) if work.zone is None else whole.astimezone(dt.UTC)


def _alarm(title: str, before: dt.timedelta) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", title)
    alarm.add("trigger", before)
    return alarm
