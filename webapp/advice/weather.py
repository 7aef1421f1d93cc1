"""A forecast by the hour as people paste it: time, temperature, and where known humidity and wind."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from webapp.advice.brief_problems import echo
from webapp.units import MPS_PER_MPH, celsius, fahrenheit

COLUMNS = "time, air (31C or 88F), and if known humidity in % and wind (4 m/s, 9 mph or 15 km/h)"
BARE = "bare numbers are °C and m/s"  # as kept; what a form means by them it marks before
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d{2})|h)?\s*(am|pm)?", re.IGNORECASE)
_AIR = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*°?\s*([CF])?", re.IGNORECASE)
_HUMIDITY = re.compile(r"(\d+(?:\.\d+)?)\s*%?")
_WIND = re.compile(r"(\d+(?:\.\d+)?)\s*(m/s|mph|km/h)?", re.IGNORECASE)
_MPS_PER = {"m/s": 1.0, "mph": MPS_PER_MPH, "km/h": 1 / 3.6}
_BARE_AIR = re.compile(r"\s*[+\-\N{MINUS SIGN}]?\d+([.,]\d+)?\s*°?\s*")
_BARE_WIND = re.compile(r"\s*\d+([.,]\d+)?\s*")
MOST_LINES = 5
Degree = Literal["C", "F"]
Speed = Literal["m/s", "mph"]
AIR_C = (-40.0, 50.0)
HUMIDITY_PCT = (5.0, 100.0)
WIND_MPS = (0.0, 15.0)


@dataclass(frozen=True, slots=True)
class Hour:
    """The weather at one time: clock [h] since midnight of the first day, air [°C], humidity [%], wind [m/s]."""

    clock_h: float
    air_c: float
    humidity_pct: float | None
    wind_mps: float | None


class BadForecast(ValueError):
    """A forecast that cannot be read, with every bad line by its number; its text names the first few."""

    def __init__(self, problems: list[str]) -> None:
        self.problems = problems
        named = problems[:MOST_LINES]
        if len(problems) > MOST_LINES:
            named.append(_more(len(problems) - MOST_LINES))
        super().__init__("; ".join(named))


def _more(lines: int) -> str:
    return f"and {lines} more line{'' if lines == 1 else 's'}"


def read_forecast(text: str) -> tuple[Hour, ...]:
    """Read a pasted table; comma, semicolon or tab between the columns, a first line without figures is a heading.

    Where columns are parted by a semicolon or tab, a comma is a decimal comma. Times run forward; one that is
    earlier than the one before belongs to the next day.

    Raises
    ------
    BadForecast
        With the number of each bad line and what is wrong with it, or if fewer than two lines are left.
    """
    hours: list[Hour] = []
    problems: list[str] = []
    for number, cells in _lines(text):
        try:
            hours.append(_hour(cells, after=hours[-1].clock_h if hours else None))
        except ValueError as problem:
            problems.append(f"line {number}: {problem}")
    if not problems and len(hours) < 2:
        problems.append("it has fewer than two lines")
    if problems:
        raise BadForecast(problems)
    return tuple(hours)


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    for number, line in enumerate(text.replace("\N{MINUS SIGN}", "-").splitlines(), start=1):
        if not line.strip() or (number == 1 and not any(c.isdigit() for c in line)):
            continue
        if ";" in line or "\t" in line:
            cells = re.split(r"[;\t]", line.replace(",", "."))
        else:
            cells = line.split(",")
        yield number, [cell.strip() for cell in cells]


def _hour(cells: list[str], after: float | None) -> Hour:
    if not 2 <= len(cells) <= 4:
        raise ValueError(f"it has {len(cells)} columns instead of {COLUMNS}")
    clock = _clock(cells[0])
    if after is not None and clock == after % 24:
        raise ValueError(f"{echo(cells[0])} repeats the time of the line before")
    while after is not None and clock < after:
        clock += 24
    air = _air(cells[1])
    rest = [*cells[2:], "", ""]
    return Hour(clock, air, _humidity(rest[0]), _wind(rest[1]))


def _clock(text: str) -> float:
    match = _TIME.fullmatch(text)
    if match is None:
        raise ValueError(f"{echo(text)} is not a time such as 14:00 or 2 pm")
    hour, minute, half = int(match[1]), int(match[2] or 0), (match[3] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            raise ValueError(f"{echo(text)} is not a time such as 2 pm")
        hour = hour % 12 + (12 if half == "pm" else 0)
    if 60 * hour + minute > 24 * 60 or minute > 59:
        raise ValueError(f"{echo(text)} is not a time of day")
    return hour + minute / 60


def _air(text: str) -> float:
    match = _AIR.fullmatch(text)
    if match is None:
        raise ValueError(f"{echo(text)} is not a temperature such as 31 or 88F")
    value = float(match[1])
    air = celsius(value) if (match[2] or "").upper() == "F" else value
    if not AIR_C[0] <= air <= AIR_C[1]:
        in_f = " to ".join(f"{fahrenheit(end):g}" for end in AIR_C)
        raise ValueError(f"{echo(text)} is outside {AIR_C[0]:g} to {AIR_C[1]:g} °C ({in_f} °F)")
    return air


def _humidity(text: str) -> float | None:
    if not text:
        return None
    match, (low, high) = _HUMIDITY.fullmatch(text), HUMIDITY_PCT
    if match is None or not low <= float(match[1]) <= high:
        raise ValueError(f"humidity {echo(text)} is not a number from {low:g} to {high:g}")
    return float(match[1])


def _wind(text: str) -> float | None:
    if not text:
        return None
    match, (low, high) = _WIND.fullmatch(text), WIND_MPS
    mps = None if match is None else float(match[1]) * _MPS_PER[(match[2] or "m/s").lower()]
    if mps is None or not low <= mps <= high:
        # The ends of other units are rounded inwards, so that both are accepted.
        others = f"{math.floor(high / MPS_PER_MPH)} mph, {math.floor(high * 3.6)} km/h"
        raise ValueError(f"wind {echo(text)} is not a number from {low:g} to {high:g} m/s ({others})")
    return mps


def marked(text: str, degree: Degree, speed: Speed) -> str:
    """Add units to bare temperatures and winds, so that they mean the same to every reader; all else stays."""
    lines = text.splitlines()
    for index, line in enumerate(lines):
        parts = re.split(r"([;\t])" if ";" in line or "\t" in line else r"(,)", line)
        if len(parts) > 2 and _BARE_AIR.fullmatch(parts[2]):
            parts[2] = parts[2].rstrip(" °") + degree
        if len(parts) > 6 and _BARE_WIND.fullmatch(parts[6]):
            parts[6] = f"{parts[6].rstrip()} {speed}"
        lines[index] = "".join(parts)
    return "\n".join(lines)
