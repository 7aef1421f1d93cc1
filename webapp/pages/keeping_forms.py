"""The small form that names a consultation, and what is told when it cannot be kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode

from wtforms import Form, StringField  # type: ignore[import-untyped]

from webapp.errors import FieldProblem
from webapp.pages.brief_address import Pair
from webapp.pages.problem_texts import Shown
from webapp.records.errors import RecordRefused
from webapp.records.model import Consultation
from webapp.records.texts import LONGEST_NAME, clean_name

_NOUNS = {"client": "the client’s name", "event": "the event", "event_date": "the day of the event"}


class NamesForm(Form):  # type: ignore[misc]
    """Whose event it is, and when."""

    client = StringField("Client")
    event = StringField("Event")
    event_date = StringField("Day of the event")


@dataclass(frozen=True, slots=True)
class Names:
    """The same, read."""

    client: str
    event: str
    event_date: dt.date | None


class NamesRefused(Exception):
    """What is wrong with the names, for the page."""

    def __init__(self, problems: list[Shown]) -> None:
        self.problems = problems
        super().__init__("; ".join(problem.text for problem in problems))


def filled_names(typed: Mapping[str, str]) -> Form:
    return NamesForm(data={name: typed.get(name, "") for name in _NOUNS})


def names_typed(record: Consultation) -> dict[str, str]:
    day = record.event_date
    return {"client": record.client, "event": record.event, "event_date": day.isoformat() if day else ""}


def read_names(typed: Mapping[str, str]) -> Names:
    """Read the names, or tell everything that is wrong with them at once."""
    problems: list[Shown] = []
    texts = {}
    for field in ("client", "event"):
        try:
            texts[field] = clean_name(field, typed.get(field, ""))
        except RecordRefused as refused:
            problems.append(shown_refusal(refused.problem))
    day = _day(typed.get("event_date", "").strip(), problems)
    if problems:
        raise NamesRefused(problems)
    return Names(texts["client"], texts["event"], day)


def _day(text: str, problems: list[Shown]) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError:
        shown = "Enter the day of the event as a date as year-month-day, such as 2027-06-26."
        problems.append(Shown("event_date", "event_date", shown))
        return None


def shown_refusal(problem: FieldProblem) -> Shown:
    noun = _NOUNS.get(problem.field, problem.field)
    text = f"{noun[:1].upper()}{noun[1:]} {problem.problem}. Use {problem.allowed}."
    if problem.problem == "is empty":
        text = f"Enter {noun} (up to {LONGEST_NAME} characters)."
    return Shown(problem.field, problem.field if problem.field in _NOUNS else "main", text)


def query_of(pairs: Iterable[Pair]) -> str:
    """Write pairs as one text that a hidden field can hold."""
    return urlencode(list(pairs))


def pairs_in(query: str) -> list[Pair]:
    """Read them back; whatever is not a pair is dropped."""
    try:
        return parse_qsl(query, keep_blank_values=True, max_num_fields=2000)
    except ValueError:
        return []
