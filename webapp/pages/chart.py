"""Geometry of the coat's temperature over the event; the template draws it, and a table says the same."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.advice.contract import CourseOut, HoldOut
from webapp.units import Measures, fahrenheit

WIDTH, HEIGHT = 600, 340
LEFT, RIGHT, TOP, BOTTOM = 58, 470, 34, 292
LABEL_GAP = 25.0


@dataclass(frozen=True, slots=True)
class Label:
    """A text at a height."""

    y: float
    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on an axis."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything that is drawn, in the units of the picture."""

    coat: str
    envelope: str
    air: str
    softens_y: float
    softens_top: float
    softens_height: float
    needed_x: float
    needed_width: float
    hours: list[Tick]
    degrees: list[Tick]
    labels: list[Label]


class _Scale:
    def __init__(self, low: float, high: float, start: int, end: int) -> None:
        self.low, self.start = low, start
        self.per_unit = (end - start) / ((high - low) or 1)

    def __call__(self, value: float) -> float:
        return round(self.start + (value - self.low) * self.per_unit, 1)


def draw(course: CourseOut, hold: HoldOut, measures: Measures) -> Chart:
    """Lay out the course of the deciding tier against the temperature that counts."""
    bounds = [*course.low_c, *course.high_c, *course.air_c, hold.softens_low_c, hold.softens_high_c]
    low, high, degrees = _degrees(min(bounds), max(bounds), measures)
    x = _Scale(course.hours[0], course.hours[-1], LEFT, RIGHT)
    y = _Scale(low, high, BOTTOM, TOP)
    needed_x, needed_end = x(max(0.0, course.hours[0])), x(min(hold.needed_h, course.hours[-1]))
    softens_top = y(hold.softens_high_c)
    return Chart(
        coat=_line(course.hours, course.coat_c, x, y),
        envelope=_area(course, x, y),
        air=_line(course.hours, course.air_c, x, y),
        softens_y=y(hold.softens_c),
        softens_top=softens_top,
        softens_height=round(y(hold.softens_low_c) - softens_top, 1),
        needed_x=needed_x,
        needed_width=round(max(0.0, needed_end - needed_x), 1),
        hours=_hours(course.hours, x),
        degrees=[Tick(y(celsius), text) for celsius, text in degrees],
        labels=_labels(course, hold, y),
    )


def _degrees(low_c: float, high_c: float, measures: Measures) -> tuple[float, float, list[tuple[float, str]]]:
    step_c = 5.0 if measures.is_metric else 10 / 1.8
    zero_c = 0.0 if measures.is_metric else -32 / 1.8
    first = math.floor((low_c - zero_c) / step_c)
    last = math.ceil((high_c - zero_c) / step_c)
    stride = 2 if last - first > 6 else 1
    marks = [zero_c + step_c * number for number in range(first, last + 1, stride)]
    return zero_c + step_c * first, zero_c + step_c * last, [(c, _degree(c, measures)) for c in marks]


def _degree(celsius: float, measures: Measures) -> str:
    number = celsius if measures.is_metric else fahrenheit(celsius)
    return f"{round(number)}°".replace("-", "−")


def _hours(hours: Sequence[float], x: _Scale) -> list[Tick]:
    first, last = math.ceil(hours[0]), math.floor(hours[-1])
    step = 1 if last - first <= 6 else 2
    shown = [hour for hour in range(first, last + 1) if hour % step == 0]
    return [Tick(x(hour), f"{hour} h".replace("-", "−")) for hour in shown]


def _line(hours: Sequence[float], celsius: Sequence[float], x: _Scale, y: _Scale) -> str:
    points = (f"{x(hour)} {y(degree)}" for hour, degree in zip(hours, celsius, strict=True))
    return "M" + " L".join(points)


def _area(course: CourseOut, x: _Scale, y: _Scale) -> str:
    there = _line(course.hours, course.high_c, x, y)
    back = _line(course.hours[::-1], course.low_c[::-1], x, y)
    return f"{there} L{back[1:]} Z"


def _labels(course: CourseOut, hold: HoldOut, y: _Scale) -> list[Label]:
    wanted = [
        Label(y(course.coat_c[-1]), "coat", "coat"),
        Label(y(course.air_c[-1]), "air", "air"),
        Label(y(hold.softens_c), "softens", "softens"),
    ]
    return _spread(sorted(wanted, key=lambda label: label.y))


def _spread(labels: Sequence[Label]) -> list[Label]:
    """Move labels down until none covers another, then the whole set up if it left the picture."""
    spread: list[Label] = []
    for label in labels:
        floor = spread[-1].y + LABEL_GAP if spread else label.y
        spread.append(Label(max(label.y, floor), label.text, label.kind))
    excess = max(0.0, spread[-1].y - BOTTOM)
    return [Label(round(label.y - excess, 1), label.text, label.kind) for label in spread]


def course_rows(course: CourseOut, most: int = 13) -> list[tuple[float, float, float, float, float]]:
    """Pick the moments that the table shows: the whole hours if given, else evenly, the last always."""
    rows = list(zip(course.hours, course.coat_c, course.low_c, course.high_c, course.air_c, strict=True))
    whole = [row for row in rows if abs(row[0] - round(row[0])) < 1e-6]
    rows_shown = whole if len(whole) >= 3 else rows
    stride = math.ceil(len(rows_shown) / most)
    picked = rows_shown[::stride]
    return picked if picked[-1] is rows_shown[-1] else [*picked, rows_shown[-1]]
