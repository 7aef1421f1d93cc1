"""The coat's temperature over the event, against the band in which it softens."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from webapp.advice.contract import Advice, CourseOut, HoldOut
from webapp.pages.picture_texts import clock, other_tiers
from webapp.pages.pictures.sheet import (
    AIR,
    BAND,
    COAT,
    FAINT,
    FONT_PT,
    INK,
    LINE_PT,
    bare,
    degree_step,
    degrees,
    picture,
    spread,
    width_pt,
)
from webapp.pages.pictures.size import COURSE, PT_PER_IN, Layout, Sheet
from webapp.units import Measures

_DEGREE_PT = 24.0  # the degree ends here, left of the first moment's text
_DEGREE_RISE_PT = 6.0
_TICK_PT = 39.0  # a time of day and the gap to the next
# Of the other tiers: never plain dashes, which are the softening's.
_DASHES: tuple[Any, ...] = (
    "solid",
    (0, (7, 2, 1.5, 2)),
    (0, (4, 2, 1.5, 2)),
    (0, (7, 2, 1.5, 2, 1.5, 2)),
    (0, (4, 2, 1.5, 2, 1.5, 2)),
    (0, (10, 2, 1.5, 2)),
)
_MARK_PT = 5.0  # from the axes up to the first row of the moments' texts


@dataclass(frozen=True, slots=True)
class _Mark:
    """A moment of the event, with its hour from the arrival."""

    name: str
    hour: float
    text: str


def draw_course(advice: Advice, measures: Measures, sheet: Sheet = "wide") -> bytes:
    """Draw the course of an advice that has one, as SVG."""
    layout = COURSE[sheet]
    course, hold = advice.course, advice.hold
    if course is None or hold is None:
        raise ValueError("nothing fits, so no coat has a course")

    def draw(figure: Figure) -> None:
        axes = figure.add_axes((layout.left, layout.bottom, layout.right - layout.left, layout.top - layout.bottom))
        bare(axes)
        _scale(axes, course, hold, measures)
        # Above the topmost number, which may have three digits.
        axes.yaxis.set_label_coords(-_DEGREE_PT / layout.axes_pt[0], 1.0 + _DEGREE_RISE_PT / layout.axes_pt[1])
        _scale_hours(axes, course, advice.brief.start_time, int(layout.axes_pt[0] / _TICK_PT), measures)
        _draw_band(axes, hold, measures)
        _draw_marks(axes, _marks(advice, course, measures), layout)
        ends = _draw_lines(axes, course, measures, says_why=sheet == "wide")
        ends.append((degrees(hold.softens_c, measures), "softens", "softens", INK))
        _draw_ends(axes, course.hours[-1], ends, layout)

    return picture(layout.width_in, layout.height_in, "The coat's temperature over the event", draw)


def _scale(axes: Axes, course: CourseOut, hold: HoldOut, measures: Measures) -> None:
    known = [*course.low_c, *course.high_c, *course.air_c, hold.softens_low_c, hold.softens_high_c]
    known += [c for tier in course.tiers for c in tier.coat_c]
    low, high = degrees(min(known), measures), degrees(max(known), measures)
    step = degree_step(high - low, measures)
    first, last = math.floor(low / step), math.ceil(high / step)
    axes.set_ylim(first * step, last * step)
    axes.set_yticks([n * step for n in range(first, last + 1)])
    axes.set_ylabel(measures.degree, rotation=0, ha="right", va="bottom", y=1.0)
    axes.grid(axis="y", color=FAINT, linewidth=0.3)


def _scale_hours(axes: Axes, course: CourseOut, start: dt.time, most: int, measures: Measures) -> None:
    """Mark at most so many times of day."""
    axes.set_xlim(course.hours[0], max(course.hours[-1], course.hours[0] + 0.1))
    arrival = start.hour + start.minute / 60
    begin, end = arrival + course.hours[0], arrival + course.hours[-1]
    stride = next(s for s in (1, 2, 3, 6) if (end - begin) / s <= most or s == 6)
    ticks = [hour for hour in range(math.ceil(begin), math.floor(end) + 1) if hour % stride == 0]
    axes.set_xticks([hour - arrival for hour in ticks], [measures.full_hour(hour) for hour in ticks])
    axes.set_xlabel("local time")


def _draw_band(axes: Axes, hold: HoldOut, measures: Measures) -> None:
    low, high = (degrees(c, measures) for c in (hold.softens_low_c, hold.softens_high_c))
    axes.axhspan(low, high, fc=(BAND, 0.28), ec=(INK, 0.3), linewidth=0, hatch="//", gid="softens-band")
    axes.axhline(degrees(hold.softens_c, measures), color=INK, linewidth=1.2, linestyle="--", gid="softens")


def _marks(advice: Advice, course: CourseOut, measures: Measures) -> list[_Mark]:
    start = advice.brief.start_time
    needed, is_cut = advice.brief.hold_hours, bool(advice.brief.tiers)
    travel_h = advice.brief.travel_minutes / 60
    marks = [_Mark("leaves", -travel_h, f"leaves {clock(start, -travel_h, measures)}")] if travel_h else []
    marks.append(_Mark("arrives", 0.0, f"on the table {clock(start, 0, measures)}"))
    if needed:
        marks.append(_Mark("cut", needed, f"{'cut' if is_cut else 'served'} {clock(start, needed, measures)}"))
    # Of a coat that does not hold, no time is promised.
    if advice.cut_by is not None and advice.verdict != "no-coat-holds":
        cut_by = dt.time.fromisoformat(advice.cut_by)
        after = (cut_by.hour + cut_by.minute / 60 - start.hour - start.minute / 60) % 24
        if 0 < after <= course.hours[-1] and abs(after - needed) > 1 / 24:
            marks.append(_Mark("cut-by", after, f"{'cut' if is_cut else 'serve'} by {measures.clock(cut_by)}"))
    return sorted((mark for mark in marks if mark.hour <= course.hours[-1]), key=lambda mark: mark.hour)


def _draw_marks(axes: Axes, marks: list[_Mark], layout: Layout) -> None:
    """Draw upright lines, each up to the begin of its text, in as many rows as keep the texts apart.

    From the last to the first: an earlier line goes up past the later texts on their left and crosses none.
    """
    axes_pt, high_pt = layout.axes_pt
    left, right = axes.get_xlim()
    per_hour = axes_pt / (right - left)
    room = axes_pt + (1 - layout.right) * layout.width_in * PT_PER_IN
    begins: list[float] = []
    for mark in reversed(marks):
        at, width = (mark.hour - left) * per_hour, width_pt(mark.text)
        begin = min(at, room - width)
        row = next((r for r, later in enumerate(begins) if begin + width + FONT_PT / 2 < later), len(begins))
        begins[: row + 1] = [begin] * (row + 1)  # its line stands in the rows below
        up = _MARK_PT + row * LINE_PT
        style = ":" if mark.name == "cut-by" else "-"
        top = 1 + (up + 0.7 * LINE_PT) / high_pt
        (line,) = axes.plot([mark.hour, mark.hour], [0, top], transform=axes.get_xaxis_transform(), clip_on=False)
        line.set(color=INK, linewidth=1.0, linestyle=style, gid=f"mark-{mark.name}")
        axes.annotate(
            mark.text,
            (mark.hour, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(begin - at + 3, up),
            textcoords="offset points",
            ha="left",
            va="bottom",
        )
    if marks[0].name == "leaves":
        axes.axvspan(marks[0].hour, 0.0, facecolor=FAINT, alpha=0.18, linewidth=0, gid="travel")


def _draw_lines(axes: Axes, course: CourseOut, measures: Measures, says_why: bool) -> list[tuple[float, str, str, str]]:
    """Draw envelope, air and every tier; return each line's end, name, text and ink."""
    hours = course.hours

    def shown(celsius: list[float]) -> list[float]:
        return [degrees(c, measures) for c in celsius]

    axes.fill_between(hours, shown(course.low_c), shown(course.high_c), color=COAT, alpha=0.2, lw=0, gid="envelope")
    axes.plot(hours, shown(course.air_c), color=AIR, linewidth=1.6, linestyle=":", gid="air")
    ends = [(degrees(course.air_c[-1], measures), "air", "air", AIR)]
    others = other_tiers(course)
    for number, tier in enumerate(others):
        dashes = _DASHES[number % len(_DASHES)]
        axes.plot(hours, shown(tier.coat_c), color=COAT, lw=1.1, linestyle=dashes, gid=f"tier-{number}")
        ends.append((degrees(tier.coat_c[-1], measures), "tier", tier.tier, COAT))
    axes.plot(hours, shown(course.coat_c), color=COAT, linewidth=2.6, gid="coat")
    text = (f"{course.tier} (decides)" if says_why else course.tier) if others else "coat"
    ends.append((degrees(course.coat_c[-1], measures), "coat", text, COAT))
    return ends


def _draw_ends(axes: Axes, hour: float, ends: list[tuple[float, str, str, str]], layout: Layout) -> None:
    """Name each line at its end; a thin line leads to a name that had to move."""
    low, high = axes.get_ylim()
    axes_pt = layout.axes_pt[1]
    wanted = [(value - low) / (high - low) * axes_pt for value, *_ in ends]
    gap = min(LINE_PT, axes_pt / max(1, len(ends)))
    for (value, name, text, ink), own, place in zip(
        ends, wanted, spread(wanted, gap, FONT_PT / 2, axes_pt - LINE_PT / 2), strict=True
    ):
        axes.annotate(
            text,
            (hour, value),
            xytext=(16, place - own),
            textcoords="offset points",
            va="center",
            color=ink,
            weight="bold" if name == "coat" else "normal",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": FAINT, "lw": 0.6, "shrinkA": 1, "shrinkB": 1, "relpos": (0, 0.5)},
        )
