"""A tier in half section: the coated outside on the left, on the right the cut through layers and filling."""

from __future__ import annotations

from collections.abc import Iterator

from webapp.advice.brief import Brief
from webapp.pages.cutaway.layout import Place, dowel_count, gap_heights
from webapp.pages.cutaway.shapes import Line, Shape, at, box, polyline, wave

DAM_CM = 0.9  # 6 to 12 mm is common practice, no source


def silhouette(place: Place) -> Line:
    """Outline the coat: rounded at the top for a round tier, sharp for a box."""
    left, right, crown = place.centre - place.edge, place.centre + place.edge, place.crown
    corner = min(place.coat + 1, place.edge / 3, 7) if place.tier.shape == "round" else 0.01
    return Line(
        "coat",
        f"M{at(left, place.floor)}L{at(left, crown + corner)}Q{at(left, crown)} {at(left + corner, crown)}"
        f"L{at(right - corner, crown)}Q{at(right, crown)} {at(right, crown + corner)}L{at(right, place.floor)}Z",
    )


def outside(place: Place, brief: Brief) -> Iterator[Shape]:
    """Draw the coated half with its finish; a round tier turns away from the light at its side."""
    left, crown = place.centre - place.edge, place.crown
    if place.tier.shape == "round":
        for share in (0.1, 0.24):
            yield box("shade", left + 1, crown + 6, left + 1 + place.edge * share, place.floor - 0.5)
    if brief.finish == "textured":
        yield from _strokes(place)
    elif place.edge > 24 and place.height > 24:
        x = left + 0.4 * place.edge
        yield polyline("sheen", [(x, crown + 0.25 * place.height), (x, place.floor - 0.3 * place.height)])


def _strokes(place: Place) -> Iterator[Shape]:
    """Draw the strokes of a palette knife around the side."""
    gap = max(7.0, place.height / 9)
    left = place.centre - place.edge
    y = place.crown + gap
    while y < place.floor - 3:
        yield wave("stroke", (left + 2, y), max(place.edge - 4, 1), 16, 3.2)
        y += gap


def section(place: Place, filling_mm: float, scale: float, has_dam: bool, is_whole: bool) -> Iterator[Shape]:
    """Draw the cut half, or both halves cut where there is no coat to show."""
    end = place.centre + place.half
    start = place.centre - place.half if is_whole else place.centre
    thick, tops = gap_heights(place, filling_mm, scale)
    yield box("sponge", start, place.top, end, place.floor)
    yield box("crumb-texture", start, place.top, end, place.floor)
    for top in tops:
        yield box("filling", start, top, end, top + thick)
        if has_dam:
            yield box("dam", end - dam_width(place, scale), top, end, top + thick)


def dam_width(place: Place, scale: float) -> float:
    return min(max(DAM_CM * scale, 3.0), place.half / 2)


def cut_line(place: Place) -> Shape:
    return polyline("cut-line", [(place.centre, place.crown), (place.centre, place.floor)])


def board(place: Place) -> Shape:
    left, right = place.centre - place.edge, place.centre + place.edge
    return box("board", left, place.floor, right, place.floor + place.board)


def dowels(places: tuple[Place, ...]) -> Iterator[Shape]:
    """Draw the dowels that the cut half shows, and the centre dowel of more than two tiers."""
    for place, above in zip(places, places[1:], strict=False):
        width = dowel_width(above)
        for x in dowel_lines(place, above):
            yield box("dowel", x - width / 2, place.crown, x + width / 2, place.floor)
    if len(places) > 2:
        width = dowel_width(places[-1]) * 1.3
        tip, foot, x = places[-1].floor - 0.6 * places[-1].height, places[0].floor, places[0].centre
        yield box("dowel", x - width / 2, tip, x + width / 2, foot, width / 2)


def dowel_width(above: Place) -> float:
    return min(3.2, above.half / 5)


def dowel_lines(place: Place, above: Place) -> list[float]:
    """Place half of the dowels under the cut half of the tier that they carry, as many as can be told apart."""
    reach = 0.82 * above.half
    wanted = (dowel_count(place.tier.width_cm) + 1) // 2
    shown = max(1, min(wanted, int(reach / 9)))
    return [place.centre + reach * (n + 1) / shown for n in range(shown)]
