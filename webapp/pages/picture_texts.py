"""What a picture says in words and numbers, and where it is found; loads no drawing library."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice, CourseOut, TierCourseOut
from webapp.pages.brief_address import address_of
from webapp.pages.formatters import peak, softening
from webapp.pages.pictures import size
from webapp.units import Measures

COURSE, MAP = "/advice/course.svg", "/advice/map.svg"
MAP_PAGE = "/advice/map"


@dataclass(frozen=True, slots=True)
class Picture:
    """An image element with one drawing for a phone: the addresses, the size to keep [px], and the sentence."""

    address: str
    width: int
    height: int
    narrow: str
    narrow_width: int
    narrow_height: int
    alt: str

    @staticmethod
    def of(address: str, layouts: dict[size.Sheet, size.Layout], alt: str) -> Picture:
        wide, narrow = layouts["wide"].pixels, layouts["narrow"].pixels
        return Picture(address, *wide, f"{address}&sheet=narrow", *narrow, alt)


def course_picture(advice: Advice, measures: Measures) -> Picture | None:
    """Give the picture of the coat's course, or none when nothing fits."""
    if advice.course is None or advice.hold is None:
        return None
    return Picture.of(_address(advice.brief, COURSE, measures), size.COURSE, _course_alt(advice, measures))


def map_picture(brief: Brief, alt: str, measures: Measures) -> Picture:
    """Give the picture of the map."""
    return Picture.of(_address(brief, MAP, measures), size.MAP, alt)


def _address(brief: Brief, picture: str, measures: Measures) -> str:
    """Name the units in the address, so that a kept picture never shows the other ones."""
    address = address_of(brief, picture)
    return f"{address}{'&' if '?' in address else '?'}units={measures.name}"


def _course_alt(advice: Advice, measures: Measures) -> str:
    course, hold = advice.course, advice.hold
    assert course is not None and hold is not None
    end = "cut" if advice.brief.tiers else "served"
    return (
        f"Course of the coat’s temperature by local time, all tiers and the air: the {course.tier} reaches "
        f"{peak(hold, measures)} until it is {end}; the coat softens at {softening(hold, measures)}."
    )


@dataclass(frozen=True, slots=True)
class CourseRow:
    """One moment of the course [h from the arrival], with its local time; temperatures in °C, others with range."""

    hour: float
    clock: str
    coat_c: float
    low_c: float
    high_c: float
    air_c: float
    others_c: tuple[tuple[float, float, float], ...]


def other_tiers(course: CourseOut) -> list[TierCourseOut]:
    """List the tiers that do not decide, bottom first."""
    return [tier for tier in course.tiers if tier.tier != course.tier]


def course_rows(course: CourseOut, start: dt.time, measures: Measures, most: int = 13) -> list[CourseRow]:
    """Pick the moments that the table shows: the whole hours if given, else evenly, the last always."""
    others = [
        zip(tier.coat_c, tier.low_c or tier.coat_c, tier.high_c or tier.coat_c, strict=True)
        for tier in other_tiers(course)
    ]
    columns = zip(course.hours, course.coat_c, course.low_c, course.high_c, course.air_c, *others, strict=True)
    rows = [
        CourseRow(hour, clock(start, hour, measures), coat, low, high, air, tuple(rest))
        for hour, coat, low, high, air, *rest in columns
    ]
    whole = [row for row in rows if abs(row.hour - round(row.hour)) < 1e-6]
    rows_shown = whole if len(whole) >= 3 else rows
    stride = math.ceil(len(rows_shown) / most)
    picked = rows_shown[::stride]
    return picked if picked[-1] is rows_shown[-1] else [*picked, rows_shown[-1]]


def clock(start: dt.time, hours: float, measures: Measures) -> str:
    """Write the local time so many hours after the start, to the minute."""
    minutes = round(start.hour * 60 + start.minute + 60 * hours)
    return measures.clock(dt.time(minutes // 60 % 24, minutes % 60))
