"""What a cell of a data file may hold: each kind of cell says what is wrong with a text, what is allowed."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from webapp.catalogue.model import Band

_NUMBER = re.compile(r"-?\d+(\.\d+)?", re.ASCII)  # not the digits of every script
_NAME = re.compile(r"[a-z0-9]+([-_:][a-z0-9]+)*")
_BAND = re.compile(r"[<>]=?\d+(\.\d+)?|>?\d+(\.\d+)?-\d+(\.\d+)?", re.ASCII)
_SHOWN = 40


def listed(options: tuple[str, ...]) -> str:
    """Join what may be entered, shortened where the list is very long."""
    rest = len(options) - _SHOWN
    return ", ".join(options[:_SHOWN]) + (f" and {rest} more" if rest > 0 else "")


def is_number(text: str) -> bool:
    """Whether a text is a plain decimal number: no exponent, no thousands mark, no ``nan``."""
    return _NUMBER.fullmatch(text) is not None


class Cell(Protocol):
    """A kind of cell."""

    @property
    def allowed(self) -> str:
        """What may be entered, in words."""

    def problem(self, text: str) -> str | None:
        """Say what is wrong with a text that is not empty, or nothing."""


@dataclass(frozen=True, slots=True)
class Text:
    """Any text."""

    allowed: str = "text"

    def problem(self, text: str) -> str | None:
        """Nothing is wrong with a text."""
        return None


@dataclass(frozen=True, slots=True)
class Name:
    """A name by which other rows refer to this one."""

    allowed: str = "small letters and digits, parts joined by - _ or :"

    def problem(self, text: str) -> str | None:
        """Refuse what could not stand in an address."""
        return None if _NAME.fullmatch(text) else f"{text!r} is not a name"


@dataclass(frozen=True, slots=True)
class Number:
    """A plain number between two bounds, both allowed."""

    low: float
    high: float

    @property
    def allowed(self) -> str:
        """The bounds."""
        return f"a number from {self.low:g} to {self.high:g}"

    def problem(self, text: str) -> str | None:
        """Refuse what is no number, then what is out of bounds."""
        if not is_number(text):
            return f"{text!r} is not a number"
        if not self.low <= float(text) <= self.high:
            return f"{text} is not plausible"
        return None


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words, or several of them separated by single spaces."""

    options: tuple[str, ...]
    is_several: bool = False

    @property
    def allowed(self) -> str:
        """The words."""
        return ("any of " if self.is_several else "one of ") + listed(self.options)

    def problem(self, text: str) -> str | None:
        """Refuse words that are not in the list, and a word given twice."""
        words = text.split(" ") if self.is_several else [text]
        unknown = [word for word in words if word not in self.options]
        if unknown:
            return f"{unknown[0]!r} is not known"
        return f"{text!r} repeats a word" if len(set(words)) < len(words) else None


@dataclass(frozen=True, slots=True)
class Day:
    """A day as year, month, day."""

    allowed: str = "a date such as 2026-05-31"

    def problem(self, text: str) -> str | None:
        """Refuse any other way to write a date, and days that no calendar has."""
        if re.fullmatch(r"20\d\d-\d\d-\d\d", text, re.ASCII) is None:
            return f"{text!r} is not a date"
        try:
            date.fromisoformat(text)
        except ValueError:
            return f"{text!r} is not in the calendar"
        return None


@dataclass(frozen=True, slots=True)
class Points:
    """A value function: ``x:y`` pairs with x rising and y from 0 to 1."""

    allowed: str = "two or more pairs x:y separated by spaces, x rising, y from 0 to 1"

    def problem(self, text: str) -> str | None:
        """Refuse pairs that do not make a function."""
        pairs = [tuple(pair.split(":")) for pair in text.split(" ")]
        if any(len(pair) != 2 or not all(is_number(part) for part in pair) for pair in pairs):
            return f"{text!r} is not made of pairs of numbers"
        points = read_points(text)
        if len(points) < 2:
            return "there is only one pair"
        if any(right[0] <= left[0] for left, right in zip(points, points[1:], strict=False)):
            return "x does not rise"
        return None if all(0 <= y <= 1 for _, y in points) else "a y is outside 0 to 1"


@dataclass(frozen=True, slots=True)
class Between:
    """A band of numbers as tables print it: ``<=0.92``, ``>0.92-0.95``, ``0.88-0.90``, ``>0.95``."""

    allowed: str = "a band such as <4.2, <=4.6, 4.2-4.6, >4.6-5.0 or >5.0"

    def problem(self, text: str) -> str | None:
        """Refuse what is no band, and one that runs backwards."""
        if _BAND.fullmatch(text) is None:
            return f"{text!r} is not a band"
        band = read_band(text)
        return None if band.low < band.high else f"{text!r} runs backwards"


def read_band(text: str) -> Band:
    """Read a band of numbers.

    >>> read_band(">0.92-0.95")
    Band(low=0.92, high=0.95, includes_low=False, includes_high=True)
    """
    mark = text.rstrip("0123456789.-")
    ends = [float(end) for end in text[len(mark) :].split("-")]
    if len(ends) == 2:
        return Band(ends[0], ends[1], includes_low=mark != ">", includes_high=True)
    if mark.startswith("<"):
        return Band(-math.inf, ends[0], includes_low=False, includes_high=mark == "<=")
    return Band(ends[0], math.inf, includes_low=mark == ">=", includes_high=False)


def read_points(text: str) -> tuple[tuple[float, float], ...]:
    """Read ``x:y`` pairs, e.g. ``0:0 10:1``.

    >>> read_points("0:0 10:1")
    ((0.0, 0.0), (10.0, 1.0))
    """
    return tuple((float(x), float(y)) for x, y in (pair.split(":") for pair in text.split(" ")))
