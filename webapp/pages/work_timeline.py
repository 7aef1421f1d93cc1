"""The work plan as a picture: a panel for each day, for each row its text over a bar to the scale of the clock."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from webapp.advice.work_sheet import WorkDay, WorkPlan, WorkRow
from webapp.units import Measures

WIDTH = 320
_LEFT, _RIGHT = 6.0, 314.0
_TITLE_H, _AXIS_H, _ROW_H, _BAR_H, _GAP = 24, 18, 34, 9, 14
_HOURS_APART = (1, 2, 3, 4, 6)
_MOST_TICKS, _MOST_LONG_TICKS = 7, 5  # by "09" and by "12 pm"
_LEAST_BAR = 2.0
_LONGEST_TITLE = 33  # characters of the text that fit beside a clock in the larger type of a phone
BarKind = Literal["hands", "waiting", "fridge", "display"]


@dataclass(frozen=True, slots=True)
class Bar:
    """One stretch of time on a row; ``goes_on`` where it runs past the end of the panel."""

    kind: BarKind
    x: float
    y: float
    width: float
    goes_on: bool


@dataclass(frozen=True, slots=True)
class Line:
    """One row's text and bars."""

    clock: str
    title: str
    y: float
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Tick:
    """One hour of the axis."""

    x: float
    text: str


@dataclass(frozen=True, slots=True)
class Panel:
    """One day."""

    title: str
    y: float
    axis_y: float
    bottom: float
    ticks: tuple[Tick, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Timeline:
    """The whole picture, in units of a screen 320 wide."""

    width: int
    height: int
    title: str
    text: str
    panels: tuple[Panel, ...]


def timeline_of(work: WorkPlan, measures: Measures) -> Timeline | None:
    """Lay out the picture of a plan that fits; none where there is nothing to show."""
    if not work.fits or not work.days:
        return None
    panels: list[Panel] = []
    top = 0.0
    for day in work.days:
        panel = _panel(day, work, top, measures)
        panels.append(panel)
        top = panel.bottom + _GAP
    text = "; ".join(f"{day.title}: {len(day.rows)} rows from {measures.clock(day.rows[0].start)}" for day in work.days)
    title = "The work plan as a timeline"
    return Timeline(WIDTH, round(top), title, f"{text}. The table says the same in words.", tuple(panels))


@dataclass(frozen=True, slots=True)
class _Scale:
    """Turns moments into places; hours are counted as they pass, through a change of clocks too."""

    begin: dt.datetime
    end: dt.datetime

    def x(self, moment: dt.datetime) -> float:
        whole = _hours(self.begin, self.end)
        share = min(1.0, max(0.0, _hours(self.begin, moment) / whole))
        return round(_LEFT + share * (_RIGHT - _LEFT), 1)


def _hours(start: dt.datetime, end: dt.datetime) -> float:
    return (end.astimezone(dt.UTC) - start.astimezone(dt.UTC)) / dt.timedelta(hours=1)


def _scale(day: WorkDay, work: WorkPlan) -> _Scale:
    """Span the day's rows in full hours; a wait into the next day only shows that it goes on."""
    ends = [row.end for row in day.rows]
    waits = [(row, wait) for row in day.rows for wait in row.then]
    ends += [wait.end for _, wait in waits if wait.end.date() == day.date]
    # Room after the work for the sign that it waits until another day.
    ends += [row.end + dt.timedelta(minutes=15) for row, wait in waits if wait.end.date() > day.date]
    if work.display.date() == day.date:
        ends.append(work.cut)
    begin = min(row.start for row in day.rows).replace(minute=0, second=0, microsecond=0)
    last = max(ends, key=lambda moment: moment.astimezone(dt.UTC)).astimezone(dt.UTC)
    whole = dt.timedelta(hours=max(1, -(-(last - begin.astimezone(dt.UTC)) // dt.timedelta(hours=1))))
    return _Scale(begin, (begin.astimezone(dt.UTC) + whole).astimezone(begin.tzinfo))


def _panel(day: WorkDay, work: WorkPlan, top: float, measures: Measures) -> Panel:
    scale = _scale(day, work)
    axis_y = top + _TITLE_H + _AXIS_H
    lines: list[Line] = []
    for row in day.rows:
        lines.append(_line(row, scale, axis_y + _ROW_H * len(lines), measures))
    if work.display.date() == day.date:
        y = axis_y + _ROW_H * len(lines)
        bar = _bar("display", work.display, work.cut, scale, y)
        until = f"On display until {measures.clock(work.cut)}"
        lines.append(Line(measures.clock(work.display), until, y + 14, (bar,)))
    ticks = tuple(_ticks(scale, measures))
    return Panel(day.title, top + 17, axis_y, axis_y + _ROW_H * len(lines), ticks, tuple(lines))


def _line(row: WorkRow, scale: _Scale, y: float, measures: Measures) -> Line:
    title = row.short if row.tier is None else f"{row.tier}: {row.short}"
    bars = [_bar(kind, start, end, scale, y) for kind, start, end in _stretches(row)]
    bars += [_bar("fridge" if w.is_in_fridge else "waiting", w.start, w.end, scale, y) for w in row.then]
    clock = measures.clock(row.start)
    longest = _LONGEST_TITLE + len("16:15") - len(clock)
    return Line(clock, _short(title[0].upper() + title[1:], longest), y + 14, tuple(bars))


def _stretches(row: WorkRow) -> Iterator[tuple[BarKind, dt.datetime, dt.datetime]]:
    """Yield when a row takes hands and when it waits; steps of one kind that follow each other are one stretch."""
    at = row.start
    for is_waiting, steps in groupby(row.steps, key=lambda step: step.is_waiting):
        length = sum((step.length for step in steps), dt.timedelta())
        end = (at.astimezone(dt.UTC) + length).astimezone(at.tzinfo)
        yield "waiting" if is_waiting else "hands", at, end
        at = end


def _short(title: str, longest: int) -> str:
    """Cut a title between words where it would run off the sheet; the table has it whole."""
    if len(title) <= longest:
        return title
    return title[: longest - 1].rsplit(" ", 1)[0].rstrip(",") + " …"


def _bar(kind: BarKind, start: dt.datetime, end: dt.datetime, scale: _Scale, y: float) -> Bar:
    left, right = scale.x(start), scale.x(end)
    left = min(left, _RIGHT - _LEAST_BAR)
    goes_on = _hours(scale.end, end) > 1e-9
    return Bar(kind, left, y + 19, max(_LEAST_BAR, round(right - left, 1)), goes_on)


def _ticks(scale: _Scale, measures: Measures) -> Iterator[Tick]:
    whole = round(_hours(scale.begin, scale.end))
    most = _MOST_LONG_TICKS if measures.is_customary("clock") else _MOST_TICKS
    apart = next((hours for hours in _HOURS_APART if whole / hours <= most), _HOURS_APART[-1])
    for hour in range(0, whole + 1, apart):
        moment = (scale.begin.astimezone(dt.UTC) + dt.timedelta(hours=hour)).astimezone(scale.begin.tzinfo)
        yield Tick(scale.x(moment), measures.full_hour(moment.hour).removesuffix(":00"))
