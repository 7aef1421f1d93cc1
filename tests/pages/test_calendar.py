"""The calendar file: what RFC 5545 asks for, and what a second library reads in it."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from zoneinfo import ZoneInfo

import icalendar
import pytest
from ical.calendar_stream import IcsCalendarStream

from tests.pages.work import ADDRESS, EARLY, STAMP, wedding
from webapp.pages.calendar import calendar_of


def written(work=None) -> bytes:
    return calendar_of(work or wedding(), ADDRESS, STAMP)


def parsed(content: bytes):
    """What another library than the one that wrote it reads."""
    return IcsCalendarStream.calendar_from_ics(content.decode("utf-8"))


def event(content: bytes, summary: str):
    return next(event for event in parsed(content).events if event.summary == summary)


def test_a_second_parser_reads_every_row_and_wait_and_the_display():
    work = wedding()
    waits = sum(len(row.then) for row in work.rows)
    assert len(parsed(written()).events) == len(work.rows) + waits + 1


def test_it_reads_the_times_of_the_plan():
    work = wedding()
    by_title = {e.summary: e for e in parsed(written()).events}
    for row in work.rows:
        title = row.title if row.tier is None else f"{row.title}: {row.tier}"
        assert (by_title[title].dtstart, by_title[title].dtend) == (row.start, row.end)
    assert by_title["Cake on display"].dtend == work.cut


def test_moments_are_in_utc_through_the_change_of_clocks():
    # In Rome 15:00 is 13:00 UTC in June and 14:00 UTC the week after the clocks go back.
    for date, hour in (("2026-06-20", 13), ("2026-10-31", 14)):
        start = event(written(wedding(date=date)), "Cake on display").dtstart
        assert start == dt.datetime(int(date[:4]), int(date[5:7]), int(date[8:]), hour, tzinfo=dt.UTC)
        assert start == dt.datetime.fromisoformat(f"{date}T15:00").replace(tzinfo=ZoneInfo("Europe/Rome"))


def test_without_a_known_place_times_float():
    content = written(wedding(place=None))
    assert event(content, "Cake on display").dtstart == dt.datetime(2026, 6, 20, 15)
    assert re.search(rb"DTSTART:20260620T150000\r\n", content)


def test_hands_on_rows_have_a_reminder_before_them_and_waits_keep_nobody_busy():
    for component in icalendar.Calendar.from_ical(written()).walk("VEVENT"):
        alarms = component.walk("VALARM")
        if component.get("TRANSP") == "TRANSPARENT" or component["SUMMARY"] == "Cake on display":
            assert not alarms
            continue
        (alarm,) = alarms
        # RFC 5545, 3.6.6: a DISPLAY alarm has action, description and trigger, each once.
        assert alarm["ACTION"] == "DISPLAY" and alarm["DESCRIPTION"]
        assert alarm["TRIGGER"].dt < dt.timedelta()


def test_each_event_has_what_the_standard_requires_once():
    calendar = icalendar.Calendar.from_ical(written())
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"]
    uids = []
    for component in calendar.walk("VEVENT"):
        for name in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"):
            assert not isinstance(component[name], list)
        assert component["DTSTAMP"].dt == STAMP
        assert component["DTEND"].dt > component["DTSTART"].dt
        uids.append(str(component["UID"]))
    assert len(set(uids)) == len(uids)


def test_lines_are_folded_at_75_octets_and_end_in_crlf():
    content = written()
    assert content.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(len(line) for line in content.split(b"\r\n")) <= 75


def test_the_same_plan_asked_for_again_has_the_same_events():
    later = calendar_of(wedding(), ADDRESS, STAMP + dt.timedelta(days=1))
    assert [e.uid for e in parsed(later).events] == [e.uid for e in parsed(written()).events]
    other = calendar_of(wedding(), ADDRESS + "&tiers=", STAMP)
    assert {e.uid for e in parsed(other).events}.isdisjoint(e.uid for e in parsed(written()).events)


def test_the_clock_is_stamped_to_the_second_in_utc():
    from webapp.pages.calendar import stamp_now

    stamp = stamp_now()
    assert stamp.tzinfo is dt.UTC and stamp.microsecond == 0


@pytest.mark.parametrize("date", ["2026-03-29", "2026-10-25"])
def test_the_night_of_a_change_of_clocks_reads_back_as_planned(date):
    work = wedding(date=date, now=dt.datetime(2026, 3, 1, 9, tzinfo=EARLY.tzinfo))
    lasting = {e.uid: e.dtend - e.dtstart for e in parsed(written(work)).events}
    assert sum(lasting.values(), dt.timedelta()) == sum(
        (end.astimezone(dt.UTC) - start.astimezone(dt.UTC) for start, end in spans(work)), dt.timedelta()
    )


def spans(work):
    yield work.display, work.cut
    for row in work.rows:
        yield row.start, row.end
        yield from ((wait.start, wait.end) for wait in row.then)


def test_a_display_without_hours_is_a_moment_without_an_end():
    # RFC 5545, 3.8.2.2: an end is later than its start; without one an event is a moment.
    work = replace(wedding(), cut=wedding().display)
    for component in icalendar.Calendar.from_ical(written(work)).walk("VEVENT"):
        assert "DTEND" not in component or component.decoded("DTEND") > component.decoded("DTSTART")
    assert sum("DTEND" not in c for c in icalendar.Calendar.from_ical(written(work)).walk("VEVENT")) == 1
