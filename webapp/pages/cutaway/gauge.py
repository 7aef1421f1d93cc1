"""The thermometer under the cake: how warm the coat gets, and the band in which it loses its look."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.advice.contract import HoldOut
from webapp.advice.event_wording import MELTED_C
from webapp.pages.cutaway.labels import Text
from webapp.pages.cutaway.layout import BADGE_R, BADGE_X, FONT, WIDTH, text_width
from webapp.pages.formatters import melted_range
from webapp.units import Measures

# The number stands among the others: before the bulb it would be read as degrees.
LEFT, RIGHT = 20.0, BADGE_X - BADGE_R - 10
ROOM = 66.0
THICK = 12.0
MARGIN_K = 4.0


@dataclass(frozen=True, slots=True)
class Gauge:
    """All heights and lengths in drawing units."""

    y: float
    left: float
    right: float
    start_x: float
    peak_x: float
    peak_low_x: float
    peak_high_x: float
    softens_x: float
    softens_low_x: float
    softens_high_x: float
    peak: Text
    softens: Text
    badge_x: float
    number: int


def gauge_of(hold: HoldOut, start_c: float, top: float, number: int, measures: Measures) -> Gauge:
    """Lay the thermometer below the table."""
    low = min(start_c, hold.peak_low_c, hold.softens_low_c) - MARGIN_K
    high = max(start_c, hold.peak_high_c, hold.softens_high_c) + MARGIN_K
    y = top + FONT + 12

    def x(celsius: float) -> float:
        return round(LEFT + (celsius - low) * (RIGHT - LEFT) / (high - low), 1)

    return Gauge(
        y=y,
        left=LEFT,
        right=RIGHT,
        start_x=x(start_c),
        peak_x=x(hold.peak_coat_c),
        peak_low_x=x(hold.peak_low_c),
        peak_high_x=x(hold.peak_high_c),
        softens_x=x(hold.softens_c),
        softens_low_x=x(hold.softens_low_c),
        softens_high_x=x(hold.softens_high_c),
        peak=_beside(_peak_text(hold, measures), x(hold.peak_coat_c), top + FONT / 2),
        softens=_beside(_softens_text(hold, measures), x(hold.softens_c), y + THICK + FONT),
        badge_x=BADGE_X,
        number=number,
    )


def _peak_text(hold: HoldOut, measures: Measures) -> str:
    if hold.peak_high_c >= MELTED_C:
        return f"coat {melted_range(hold.peak_low_c, measures)}"
    return f"coat {measures.temperatures(hold.peak_low_c, hold.peak_high_c)}"


def _softens_text(hold: HoldOut, measures: Measures) -> str:
    return f"hatched: softens at {measures.temperatures(hold.softens_low_c, hold.softens_high_c)}"


def _beside(text: str, x: float, y: float) -> Text:
    """Centre a text on its mark, inside the frame."""
    half = text_width(text) / 2 + 2
    return Text(text, round(min(max(x, LEFT + half), WIDTH - half), 1), round(y, 1), "middle")
