"""The work plan as it is shown: days, rows, waits and where the minutes come from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from webapp.advice.contract import CautionOut


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One part of a row: what is done, and for how long; ``length`` is what the plan counts."""

    title: str
    minutes: str
    is_waiting: bool
    length: dt.timedelta


@dataclass(frozen=True, slots=True)
class Wait:
    """What a row leads to: a wait that goes on until the next row takes the thing up; ``short`` is for paper.

    ``of`` names what waits where it is no tier.
    """

    text: str
    short: str
    start: dt.datetime
    end: dt.datetime
    is_in_fridge: bool
    of: str = ""


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One line of the plan: steps without a pause between them, for one tier or the whole order.

    ``clock`` says from when to when, in the reader's way, ``earliest_text`` how early it can start instead, empty where
    that is no sooner. ``short`` is the title where there is little room.
    """

    id: str
    title: str
    short: str
    tier: str | None
    start: dt.datetime
    end: dt.datetime
    earliest: dt.datetime
    steps: tuple[WorkStep, ...]
    then: tuple[Wait, ...]
    is_waiting: bool
    minutes: str
    clock: str
    earliest_text: str

    @property
    def slack(self) -> dt.timedelta:
        """How much sooner it may begin."""
        return self.start.astimezone(dt.UTC) - self.earliest.astimezone(dt.UTC)


@dataclass(frozen=True, slots=True)
class WorkDay:
    """The rows that begin on one day."""

    date: dt.date
    title: str
    rows: tuple[WorkRow, ...]


@dataclass(frozen=True, slots=True)
class FridgeRow:
    """What the fridge takes for one tier, in words."""

    tier: str
    crumb_firm: str
    coat_firm: str
    core: str


@dataclass(frozen=True, slots=True)
class TaskFact:
    """Minutes behind a task, with where they come from."""

    title: str
    minutes: str
    basis: str
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class WorkPlan:
    """The work plan as it is shown.

    Without ``fits`` there are no days; ``cannot`` says why and ``changes`` what would make it fit.

    ``zone`` is the IANA name of the local times, none where the venue's is not known and ``now``'s clock was taken.
    """

    fits: bool
    headline: str
    notes: tuple[str, ...]
    days: tuple[WorkDay, ...]
    cannot: tuple[str, ...]
    changes: tuple[str, ...]
    serving: tuple[str, ...]
    clocks: tuple[str, ...]
    assumed_day: str
    serve_by: str
    fridge: tuple[FridgeRow, ...]
    fridge_note: str
    cautions: tuple[CautionOut, ...]
    facts: tuple[TaskFact, ...]
    begin: dt.datetime
    display: dt.datetime
    cut: dt.datetime
    zone: str | None
    hours: tuple[dt.time, dt.time]

    @property
    def rows(self) -> tuple[WorkRow, ...]:
        """All rows, in order."""
        return tuple(row for day in self.days for row in day.rows)
