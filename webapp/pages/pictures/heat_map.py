"""The map of air against hours on display: which coat comes first where, where none holds, and this event."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path
from numpy.typing import NDArray

from webapp.advice.heat_map import EDGES, NONE, STEPS, HeatMap
from webapp.advice.phrases import spoken
from webapp.pages.pictures.sheet import FAINT, INK, LINE_PT, bare, degree_step, degrees, picture, width_pt
from webapp.pages.pictures.size import MAP, PT_PER_IN, Layout, Sheet
from webapp.units import Measures, duration

Mask = NDArray[np.bool_]

_ABOVE_KEY_PT = 48.0  # the hours' ticks and the axis' name
_TINTS = ("#f3e3c3", "#d9e6d2", "#d3dfec", "#efd5d8", "#e4dcef", "#e8e4dc", "#cfe3e0", "#f2dcc8")
_HATCHES = ("", "///", "\\\\\\", "---", "|||", "++", "//", "--")  # lines alone: dots make a file ten times as large
_NONE_TINT, _NONE_HATCH = "#c9c9c9", "xxx"
_LABEL_PT = 10.0
_KEY_LETTER = 0.56  # mean width of a letter over a long line of a wide sans, in font sizes
_SWATCH_PT = (16.0, 9.0)
_INDENT_PT = 21.0  # of a line beside its swatch


@dataclass(frozen=True, slots=True)
class _Region:
    """One area of the map, how it is filled (tint and hatch), and what it is called."""

    gid: str
    mask: Mask
    name: str
    tint: str
    hatch: str


@dataclass(frozen=True, slots=True)
class _Entry:
    """A text of the key, with the filling of the region that it names where no number stands in that."""

    text: str
    region: _Region | None = None


def draw_heat_map(heat_map: HeatMap, measures: Measures, sheet: Sheet = "wide") -> bytes:
    """Draw the map as SVG."""
    layout = MAP[sheet]

    def draw(figure: Figure) -> None:
        axes = figure.add_axes((layout.left, layout.bottom, layout.right - layout.left, layout.top - layout.bottom))
        bare(axes)
        _scale(axes, heat_map, measures)
        _draw_regions(axes, heat_map, measures)
        free = np.ones((STEPS, STEPS), dtype=bool)
        if heat_map.is_event_inside:
            _draw_event(axes, heat_map, measures, free, layout)
        _draw_key(figure, _name_regions(axes, heat_map, measures, free, layout), layout)

    return picture(layout.width_in, layout.height_in, "Which coat comes first, by air and by hours on display", draw)


def _name_regions(axes: Axes, heat_map: HeatMap, measures: Measures, free: Mask, layout: Layout) -> list[_Entry]:
    """Name every region in its place; return the key for what had no room."""
    key = [_Entry(doubt_key(heat_map.best_chance))] if heat_map.is_marginal.any() else []
    number = 1
    slivers: list[_Entry] = []
    for region in _regions(heat_map):
        if _label(axes, heat_map, region, region.name, measures, free, layout):
            continue
        if _label(axes, heat_map, region, f"{number}", measures, free, layout):
            key.append(_Entry(f"{number}: {region.name}"))
            number += 1
        else:
            slivers.append(_Entry(region.name, region))
    return key + slivers


def doubt_key(best_chance: NDArray[np.float64]) -> str:
    """Explain the faded part by the lines that are drawn: the full one where some air leaves no coat."""
    until = ", to the full line" if _is_drawn(EDGES[0], best_chance) else ""
    line = "dashed line: 9 in 10 hold; " if _is_drawn(EDGES[1], best_chance) else ""
    return f"{line}faded{until}: may not hold"


def _is_drawn(share: float, chances: NDArray[np.float64]) -> bool:
    """Tell whether a line of equal chance crosses the map."""
    return bool(chances.min() < share <= chances.max())


def _scale(axes: Axes, heat_map: HeatMap, measures: Measures) -> None:
    low, high = (degrees(float(c), measures) for c in heat_map.air_c[[0, -1]])
    step = degree_step(high - low, measures)
    axes.set_xlim(low, high)
    axes.set_xticks([n * step for n in range(int(np.ceil(low / step)), int(high // step) + 1)])
    axes.set_ylim(heat_map.hours[0], heat_map.hours[-1])
    axes.set_yticks(range(1, int(heat_map.hours[-1]) + 1))
    where = "warmest air of the day" if heat_map.brief.is_outdoors else "air in the room"
    axes.set_xlabel(f"{where}, {measures.degree}")
    axes.set_ylabel("hours on display")


def _grid(heat_map: HeatMap, measures: Measures) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return np.array([degrees(float(c), measures) for c in heat_map.air_c]), heat_map.hours


def _draw_regions(axes: Axes, heat_map: HeatMap, measures: Measures) -> None:
    """Fill each coat's cells, then pale what is marginal and cover what holds no coat, along the smooth chance."""
    air, hours = _grid(heat_map, measures)
    first = _filled_up(heat_map.first)
    for coat, (tint, hatch) in _fillings(heat_map).items():
        area = PathPatch(_outline(first == coat, air, hours), fc=tint, ec=FAINT, linewidth=0)
        area.set(hatch=hatch, gid=f"coat-{heat_map.coats[coat].id}")
        axes.add_patch(area)
    best = heat_map.best_chance.T
    axes.contourf(air, hours, best, levels=list(EDGES), colors=["white"], alpha=0.6)
    none = axes.contourf(air, hours, best, levels=[-1, EDGES[0]], colors=[_NONE_TINT], hatches=[_NONE_HATCH])
    none.set(edgecolor=INK, linewidth=0, gid="none-holds")
    for share, style in zip(EDGES, ("solid", "dashed"), strict=True):
        if _is_drawn(share, best):
            axes.contour(air, hours, best, levels=[share], colors=[INK], linewidths=1.2, linestyles=style)


def _fillings(heat_map: HeatMap) -> dict[int, tuple[str, str]]:
    """Give every coat that comes first somewhere its tint and hatch."""
    shown = [coat for coat in range(len(heat_map.coats)) if (heat_map.first == coat).any()]
    return {coat: (_TINTS[look % len(_TINTS)], _HATCHES[look % len(_HATCHES)]) for look, coat in enumerate(shown)}


def _outline(mask: Mask, air: NDArray[np.float64], hours: NDArray[np.float64]) -> Path:
    """Outline a mask's cells as one path: a box for each run of airs, as high as the run stays the same."""
    x, y = ([axis[0], *(axis[:-1] + axis[1:]) / 2, axis[-1]] for axis in (air, hours))
    boxes: dict[tuple[int, int], int] = {}
    corners: list[tuple[float, float]] = []
    for row in range(mask.shape[1] + 1):
        runs = _runs(mask[:, row]) if row < mask.shape[1] else set()
        for run in [run for run in boxes if run not in runs]:
            low, (left, right) = boxes.pop(run), run
            corners += [(x[left], y[low]), (x[right], y[low]), (x[right], y[row]), (x[left], y[row]), (x[left], y[low])]
        boxes |= {run: row for run in runs if run not in boxes}
    codes = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY]
    return Path(corners, codes * (len(corners) // 5))


def _runs(cells: Mask) -> set[tuple[int, int]]:
    """Return where runs of true cells begin and end."""
    steps = np.diff(np.concatenate([[False], cells, [False]]).astype(int))
    return {(int(a), int(b)) for a, b in zip(*(np.flatnonzero(steps == way) for way in (1, -1)), strict=True)}


def _filled_up(first: NDArray[np.intp]) -> NDArray[np.intp]:
    """Carry each column's last coat on into the cells where none holds, so that the smooth edge cuts it."""
    filled = first.copy()
    for hour in range(1, filled.shape[1]):
        lacks = filled[:, hour] == NONE
        filled[lacks, hour] = filled[lacks, hour - 1]
    return filled


def _regions(heat_map: HeatMap) -> list[_Region]:
    """List the areas to be named, the largest first: they need their places most."""
    areas = [
        _Region(f"label-{heat_map.coats[coat].id}", heat_map.first == coat, spoken(heat_map.coats[coat]), *filling)
        for coat, filling in _fillings(heat_map).items()
    ]
    areas.append(_Region("label-none-holds", heat_map.first == NONE, "no coat holds", _NONE_TINT, _NONE_HATCH))
    return sorted((a for a in areas if a.mask.any()), key=lambda area: -int(area.mask.sum()))


def _draw_event(axes: Axes, heat_map: HeatMap, measures: Measures, free: Mask, layout: Layout) -> None:
    """Mark the event, name it on the side that has room, and keep other names off both."""
    x, y = degrees(heat_map.event_c, measures), heat_map.brief.hold_hours
    column = int(np.abs(heat_map.air_c - heat_map.event_c).argmin())
    row = int(np.abs(heat_map.hours - y).argmin())
    cell = _cell_pt(layout)
    text = f"this event: {measures.temperature(heat_map.event_c)}, {duration(y)}"
    if width_pt(text, _LABEL_PT) > 0.45 * layout.axes_pt[0]:
        text = "this event"
    is_left = column > STEPS / 2
    width = int(np.ceil((width_pt(text, _LABEL_PT) + 14) / cell[0]))
    up = int(np.ceil((_LABEL_PT + abs(_off_the_edge(row))) / cell[1]))
    columns = slice(max(0, column - width), column + 3) if is_left else slice(max(0, column - 2), column + width)
    free[columns, max(0, row - up) : row + up + 1] = False
    axes.plot([x], [y], "o", ms=10, color=INK, mec="white", mew=1.5, gid="event", clip_on=False, zorder=6)
    axes.annotate(
        text,
        (x, y),
        xytext=(-10 if is_left else 10, _off_the_edge(row)),
        textcoords="offset points",
        ha="right" if is_left else "left",
        va="center",
        fontsize=_LABEL_PT,
        weight="bold",
        bbox={"boxstyle": "square,pad=0.15", "fc": "white", "ec": "none"},
        zorder=5,
    )


def _cell_pt(layout: Layout) -> tuple[float, float]:
    """Give the size of one cell of the grid [pt]."""
    return layout.axes_pt[0] / (STEPS - 1), layout.axes_pt[1] / (STEPS - 1)


def _off_the_edge(row: int) -> float:
    """Move a text [pt] down from the top of the map or up from its bottom."""
    return -_LABEL_PT if row > STEPS - 3 else _LABEL_PT if row < 2 else 0.0


def _label(
    axes: Axes, heat_map: HeatMap, region: _Region, name: str, measures: Measures, free: Mask, layout: Layout
) -> bool:
    """Write a name where it fits inside a region, lying or upright, off its pale part if it can; say if it did."""
    grid = _grid(heat_map, measures)
    for text, is_upright, mask in (
        (*setting, mask) for mask in (region.mask & ~heat_map.is_marginal, region.mask) for setting in settings_of(name)
    ):
        size = (width_pt(text, _LABEL_PT) + 6, 1.25 * _LABEL_PT * (text.count("\n") + 1) + 4)
        box = size[::-1] if is_upright else size
        wide, tall = (int(np.ceil(pt / cell)) + 1 for pt, cell in zip(box, _cell_pt(layout), strict=True))
        corner = _room(mask & free, wide, tall)
        if corner is not None:
            column, row = corner
            free[column : column + wide, row : row + tall] = False
            x = (grid[0][column] + grid[0][column + wide - 1]) / 2
            y = (grid[1][row] + grid[1][row + tall - 1]) / 2
            _write(axes, text, float(x), float(y), is_upright, region.gid)
            return True
    return False


def _write(axes: Axes, text: str, x: float, y: float, is_upright: bool, gid: str) -> None:
    axes.text(
        x,
        y,
        text,
        ha="center",
        va="center",
        rotation=90 if is_upright else 0,
        fontsize=_LABEL_PT,
        bbox={"boxstyle": "square,pad=0.15", "fc": "white", "ec": "none"},
        gid=gid,
    )


def settings_of(name: str) -> Iterator[tuple[str, bool]]:
    """Set a name in few lines or many, lying or upright; the easiest to read first. A new line begins at "("."""
    seen = set()
    head, bracket, rest = name.partition(" (")
    for is_upright in (False, True):
        for letters in (40, 26, 18, 15):
            parts = [name] if len(name) <= letters else filter(None, [head, f"{bracket.strip()}{rest}"])
            text = "\n".join(line for part in parts for line in _wrapped(part, letters))
            if (text, is_upright) not in seen:
                seen.add((text, is_upright))
                yield text, is_upright


def _wrapped(text: str, letters: int) -> list[str]:
    return textwrap.wrap(text, letters, break_long_words=False, break_on_hyphens=False)


def _room(mask: Mask, wide: int, tall: int) -> tuple[int, int] | None:
    """Find where a box of cells fits wholly inside a mask, as near to the mask's middle as may be."""
    if wide > mask.shape[0] or tall > mask.shape[1]:
        return None
    sums = np.zeros((mask.shape[0] + 1, mask.shape[1] + 1), dtype=int)
    sums[1:, 1:] = mask.cumsum(axis=0).cumsum(axis=1)
    inside = sums[wide:, tall:] - sums[:-wide, tall:] - sums[wide:, :-tall] + sums[:-wide, :-tall]
    corners = np.argwhere(inside == wide * tall)
    if not len(corners):
        return None
    middle = np.argwhere(mask).mean(axis=0) - ((wide - 1) / 2, (tall - 1) / 2)
    column, row = corners[np.abs(corners - middle).sum(axis=1).argmin()]
    return int(column), int(row)


def _draw_key(figure: Figure, key: list[_Entry], layout: Layout) -> None:
    """Write below the picture what had no room in it; the last slivers may find none even there."""
    wide, tall = layout.width_in * PT_PER_IN, layout.height_in * PT_PER_IN
    begin, y_pt = 0.02 * wide, layout.bottom * tall - _ABOVE_KEY_PT
    for entry in key:
        indent = 0.0 if entry.region is None else _INDENT_PT
        lines = _wrapped(entry.text, int((0.97 * wide - begin - indent) / (_KEY_LETTER * _LABEL_PT)))
        if y_pt - (len(lines) - 1) * LINE_PT < 0:
            return
        if entry.region is not None:
            _draw_swatch(figure, entry.region, begin / wide, y_pt / tall, layout)
        for line in lines:
            figure.text((begin + indent) / wide, y_pt / tall, line, ha="left", va="bottom", fontsize=_LABEL_PT)
            y_pt -= LINE_PT


def _draw_swatch(figure: Figure, region: _Region, x: float, y: float, layout: Layout) -> None:
    """Show a region's filling at a place of the sheet, given in shares of it."""
    wide, tall = _SWATCH_PT[0] / (layout.width_in * PT_PER_IN), _SWATCH_PT[1] / (layout.height_in * PT_PER_IN)
    swatch = Rectangle((x, y), wide, tall, fc=region.tint, ec=FAINT, linewidth=0.5, transform=figure.transFigure)
    swatch.set(hatch=region.hatch, gid=region.gid.replace("label-", "key-"))
    figure.add_artist(swatch)
