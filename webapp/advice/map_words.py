"""The map of air against hours in words and as a table, in one reader's measures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from webapp.advice.heat_map import AIR_C, HOURS, HeatMap, MapRow
from webapp.advice.phrases import sentence, spoken
from webapp.decision.model import HOLDS_FROM, MARGINAL_FROM
from webapp.units import LOOK_AHEAD_H, Measures, celsius, duration, lasting

_ROWS_C = (20.0, 24.0, 28.0, 32.0, 36.0)
_ROWS_F = (70.0, 75.0, 80.0, 85.0, 90.0, 95.0, 100.0)
_KEPT = "drive, start and humidity"
_CLASSES = {"holds": "holds", "marginal": "may not hold", "fails": "no coat holds"}


@dataclass(frozen=True, slots=True)
class MapLine:
    """One line of the table: an air, what it means for the hours asked, the coat and its hours."""

    air: str
    verdict: str
    coat: str
    keeps: str


def needed_h(heat_map: HeatMap) -> float:
    """Return the hours [h] that the table asks about: the brief's, or the map's shortest for a cake cut at once."""
    return min(max(heat_map.brief.hold_hours, HOURS[0]), HOURS[1])


def map_sentences(heat_map: HeatMap, measures: Measures) -> list[str]:
    """Say what comes first at the event, how hot it may get, and what the map takes as unchanged."""
    said = [_event(heat_map, measures), _hottest(heat_map, measures)]
    kept = "drive, start, sun and humidity" if heat_map.brief.setting == "sun" else _KEPT
    hotter = "a hotter day" if heat_map.brief.is_outdoors else "a warmer room"
    said.append(
        f"Read it left to right for {hotter}, upwards for longer on the table. "
        f"The rest of your brief stays the same, {kept} included."
    )
    return said


def map_lines(heat_map: HeatMap, measures: Measures) -> list[MapLine]:
    """Write the table: round degrees of the reader's scale, and the event's own where it is on the map."""
    airs = {*(map(celsius, _ROWS_F) if measures.is_customary("temperature") else _ROWS_C)}
    if AIR_C[0] <= heat_map.event_c <= AIR_C[1]:
        same = {air for air in airs if measures.temperature(air) == measures.temperature(heat_map.event_c)}
        airs = (airs - same) | {heat_map.event_c}
    return [_line(heat_map.row(air), measures) for air in sorted(airs)]


def map_summary(heat_map: HeatMap, measures: Measures) -> str:
    """Say in one sentence what the picture shows, for those who do not see it."""
    low, high = measures.temperatures(*AIR_C).split(" to ", 1)
    axes = f"air from {low} to {high} against {duration(HOURS[0])} to {duration(HOURS[1])} on display"
    coats = [_name(row, measures) for row in _changes(heat_map, measures)]
    return f"Map of {axes}. For {duration(needed_h(heat_map))}, from cool to hot: {'; '.join(coats)}."


def _event(heat_map: HeatMap, measures: Measures) -> str:
    air = measures.temperature(heat_map.event_c)
    if not heat_map.is_event_inside:
        return f"This event, {air} and {duration(heat_map.brief.hold_hours)} on display, lies outside the map."
    row = heat_map.row(heat_map.event_c)
    if row.hold_class == "fails":
        return f"At {air} no coat holds for {duration(heat_map.brief.hold_hours)}; {_last(row)}."
    return sentence(f"At {air} {spoken(row.coat)} comes first and keeps its look for {_keeps(row)}")


def _hottest(heat_map: HeatMap, measures: Measures) -> str:
    asked = duration(needed_h(heat_map))
    sure, likely = heat_map.hottest(HOLDS_FROM), heat_map.hottest(MARGINAL_FROM)
    coolest, end = (measures.temperature(c) for c in AIR_C)
    if likely is None:
        return f"No coat holds for {asked}, not even at {coolest}."
    if sure is None:
        first = f"Nowhere from {coolest} up is a coat sure to hold for {asked}"
    elif sure >= heat_map.air_c[-1]:
        return f"Some coat holds for {asked} up to {end}, the end of the map, nine times in ten."
    else:
        first = f"Some coat holds for {asked} up to about {measures.temperature(sure)}, nine times in ten"
    if likely >= heat_map.air_c[-1]:
        return f"{first}; from there to {end}, the end of the map, it may not hold."
    return f"{first}; above about {measures.temperature(likely)} none does."


def _line(row: MapRow, measures: Measures) -> MapLine:
    coat = row.coat.name if row.high_h > 0 else "none lasts a quarter of an hour"
    keeps = _keeps(row) if row.high_h > 0 else "soft on arrival or soon after"
    return MapLine(measures.temperature(row.air_c), _CLASSES[row.hold_class], coat, keeps)


def _keeps(row: MapRow) -> str:
    """Say the likely hours with nine in ten below and one in ten above."""
    likely, low, high = (_hours(hours) for hours in (row.likely_h, row.low_h, row.high_h))
    if likely == lasting(LOOK_AHEAD_H) != low:
        return f"{likely}, perhaps {low if low.startswith('under') else f'only {low}'}"
    between = low if low == high else f"{low} to {high}"
    return likely if likely == between else f"{likely} ({between})"


def _hours(hours: float) -> str:
    """Say hours as far as the map goes: below its first step nothing is told apart."""
    return f"under {duration(HOURS[0])}" if hours < HOURS[0] else lasting(hours)


def _last(row: MapRow) -> str:
    if row.high_h <= 0:
        return "none keeps its look for a quarter of an hour"
    return f"{spoken(row.coat)} lasts longest: {_keeps(row)}"


def _changes(heat_map: HeatMap, measures: Measures) -> Iterator[MapRow]:
    """Go through the airs from cool to hot and keep those at which the answer changes."""
    before: tuple[object, str] | None = None
    for air in heat_map.air_c:
        row = heat_map.row(float(air))
        now = ("" if row.hold_class == "fails" else row.coat.id, row.hold_class)
        if now != before:
            yield row
        before = now


def _name(row: MapRow, measures: Measures) -> str:
    air = measures.temperature(row.air_c)
    if row.hold_class == "fails":
        return f"from {air} no coat holds"
    may = "" if row.hold_class == "holds" else ", which may not hold"
    return f"from {air} {row.coat.name}{may}"
