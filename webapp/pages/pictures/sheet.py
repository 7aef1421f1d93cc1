"""The sheet that every picture is drawn on: its inks, its text, and how it becomes an SVG."""

from __future__ import annotations

import io
import threading
from collections.abc import Callable, Sequence
from typing import Any

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from webapp.units import Measures, fahrenheit

INK, FAINT, COAT, AIR, BAND = "#1c1c1c", "#8c8c8c", "#7a1f3d", "#1f4f6b", "#b0986a"
FONT_PT = 11.0
LINE_PT = 1.25 * FONT_PT
_LETTER = 0.62  # mean width of a letter in a wide sans, in font sizes
_SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",  # text stays text: it can be read out, searched and scaled
    "svg.hashsalt": "coat-and-filling",  # names inside the file must not change from run to run
    "font.family": ["sans-serif"],
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "Helvetica"],
    "font.size": FONT_PT,
    "hatch.linewidth": 0.5,
}
# Figures share fonts and settings, which are not safe to use from several threads.
_drawing = threading.Lock()


def picture(width_in: float, height_in: float, title: str, draw: Callable[[Figure], None]) -> bytes:
    """Draw on a new white sheet and write it as SVG; the same drawing gives the same bytes."""
    with _drawing:
        matplotlib.rcParams.update(_SETTINGS)
        figure = Figure(figsize=(width_in, height_in), facecolor="white")
        FigureCanvasSVG(figure)
        draw(figure)
        file = io.BytesIO()
        figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None, "Title": title})
    return file.getvalue()


def degrees(celsius: float, measures: Measures) -> float:
    """Take °C to the reader's degrees."""
    return fahrenheit(celsius) if measures.is_customary("temperature") else celsius


def degree_step(span: float, measures: Measures) -> int:
    """Choose a round step for an axis over so many of the reader's degrees."""
    steps = (10, 20, 40) if measures.is_customary("temperature") else (5, 10, 20)
    return next((step for step in steps if span / step <= 7), steps[-1])


def bare(axes: Axes) -> None:
    """Leave only the two axes that are read."""
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.tick_params(colors=INK, length=3)


def width_pt(text: str, font_pt: float = FONT_PT) -> float:
    """Estimate how wide the longest line of a text is [pt], rather too wide than too narrow."""
    return max(len(line) for line in text.split("\n")) * _LETTER * font_pt


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move places along a line apart by ``gap``, as little as may be, within ``low`` and ``high``; order is kept.

    Neighbours that would touch form a block around the mean of what they want.
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    blocks: list[list[int]] = []
    for i in order:
        blocks.append([i])
        while len(blocks) > 1 and _start(blocks[-1], wanted, gap, low, high) < (
            _start(blocks[-2], wanted, gap, low, high) + gap * len(blocks[-2]) - 1e-9
        ):
            last = blocks.pop()
            blocks[-1] += last
    places = [0.0] * len(wanted)
    for block in blocks:
        start = _start(block, wanted, gap, low, high)
        for place, i in enumerate(block):
            places[i] = start + place * gap
    return places


def _start(block: Sequence[int], wanted: Sequence[float], gap: float, low: float, high: float) -> float:
    length = gap * (len(block) - 1)
    middle = sum(wanted[i] for i in block) / len(block)
    return max(low, min(middle - length / 2, high - length))
