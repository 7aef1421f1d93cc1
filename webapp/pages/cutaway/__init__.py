"""The client's own cake in half section, drawn to scale; the template only sets down what is laid out here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from webapp.advice.brief import Brief
from webapp.advice.contract import Advice
from webapp.pages.cutaway import piping, tiers, words
from webapp.pages.cutaway.cupcake import Cupcake, cupcake
from webapp.pages.cutaway.gauge import ROOM, Gauge, gauge_of
from webapp.pages.cutaway.labels import Badge, Text, Width, badges_of, widths_of
from webapp.pages.cutaway.layout import (
    BADGE_GAP,
    FONT,
    OVERHANG,
    PLATE,
    WIDTH,
    Frame,
    Place,
    Sizes,
    frame_of,
    gap_heights,
    places_of,
    text_width,
)
from webapp.pages.cutaway.shapes import Line, Point, Shape, at, box, polyline
from webapp.pages.cutaway.words import Entry
from webapp.pages.formatters import capital
from webapp.units import Measures

__all__ = ["SMALL_TIER", "Scene", "Sizes", "scene_of"]

Pointed = tuple[Point, Entry]
WARMTH = "Warmth"
SMALL_TIER = 3 * BADGE_GAP


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything that is drawn and said, in the order in which it is set down."""

    width: float
    height: float
    scale: float
    title: str
    text: str
    colour: str
    sponge: str
    is_open: bool
    mood: str
    has_parasol: bool
    crumb: Point | None
    shapes: tuple[Shape, ...]
    places: tuple[Place, ...]
    texts: tuple[Text, ...]
    widths: tuple[Width, ...]
    badges: tuple[Badge, ...]
    gauge: Gauge | None
    entries: tuple[Entry, ...]


def scene_of(brief: Brief, advice: Advice, measures: Measures, sizes: Sizes, *, with_crumb: bool = True) -> Scene:
    """Lay out the cake of a brief as it is advised; without a pairing its coat is only outlined.

    ``with_crumb`` sets a crumb beside it that takes the verdict to heart, for whoever makes the cake.
    """
    labels = [measures.length(tier.width_cm) for tier in brief.tiers]
    # How many numbers there are must be known before the frame; a trial frame gives it.
    count = len(_pointed(brief, advice, measures, sizes, frame_of(brief, sizes, labels, 0)))
    frame = frame_of(brief, sizes, labels, count)
    places = places_of(brief, frame)
    pointed = sorted(_pointed(brief, advice, measures, sizes, frame), key=lambda pair: pair[0][1])
    entries = [*_key([entry for _, entry in pointed], brief, advice, sizes, measures)]
    below = frame.table_y + (FONT + 20 if brief.cupcakes else 8)
    warmth = next((entry.number for entry in entries if entry.term == WARMTH), None)
    gauge = gauge_of(advice.hold, brief.start_c, below, warmth or 0, measures) if advice.hold else None
    return Scene(
        width=WIDTH,
        height=round(below + (ROOM if gauge else 2), 1),
        scale=frame.scale,
        title=words.title_words(brief),
        text=" ".join(_said(brief, advice, with_crumb)),
        colour=brief.colour,
        sponge=brief.sponge,
        is_open=advice.pairing is None,
        mood=advice.verdict,
        has_parasol=brief.setting == "sun",
        crumb=(round(frame.crumb_x, 1), round(frame.table_y, 1)) if with_crumb else None,
        shapes=tuple(_shapes(brief, advice, sizes, frame, places)),
        places=places,
        texts=tuple(_texts(brief, frame)),
        widths=tuple(widths_of(places, labels, frame)),
        badges=tuple(badges_of([target for target, _ in pointed], frame)),
        gauge=gauge,
        entries=tuple(entries),
    )


def _said(brief: Brief, advice: Advice, with_crumb: bool) -> Iterator[str]:
    yield words.description_words()
    if with_crumb:
        yield words.crumb_words(brief, advice)


def _shapes(brief: Brief, advice: Advice, sizes: Sizes, frame: Frame, places: tuple[Place, ...]) -> Iterator[Shape]:
    yield polyline("table", [(8, frame.table_y), (WIDTH - 8, frame.table_y)])
    if places:
        yield from _stand(places[0], frame)
    for place in places:
        yield from _tier(place, brief, advice, sizes, frame)
    if brief.supported:
        yield from tiers.dowels(places)
    if advice.pairing:
        yield from piping.piping(places, brief, frame)
    if brief.cupcakes:
        yield from cupcake(Cupcake.on(frame, sizes), is_filled=not brief.tiers)
    yield from _warmth(brief, advice, sizes, frame, places)


def _tier(place: Place, brief: Brief, advice: Advice, sizes: Sizes, frame: Frame) -> Iterator[Shape]:
    """Draw one tier; where no coat fits it is naked, its coat a dashed outline."""
    pairing = advice.pairing
    has_dam = pairing is not None and pairing.needs_dam
    if place.board:
        yield tiers.board(place)
    yield tiers.silhouette(place)
    if pairing:
        yield from tiers.outside(place, brief)
    yield from tiers.section(place, sizes.filling_mm, frame.scale, has_dam, is_whole=pairing is None)
    if pairing:
        yield tiers.cut_line(place)


def _stand(bottom: Place, frame: Frame) -> Iterator[Shape]:
    """Draw a footed stand; it and the crumb are the only things not to scale."""
    x, y, table, reach = bottom.centre, frame.plate_y, frame.table_y, bottom.edge + OVERHANG
    stem, foot = min(9.0, reach / 3), min(0.55 * reach, 44.0)
    yield Line(
        "stand",
        f"M{at(x - stem, y + PLATE)}Q{at(x - stem * 0.7, table - 6)} {at(x - foot, table)}"
        f"L{at(x + foot, table)}Q{at(x + stem * 0.7, table - 6)} {at(x + stem, y + PLATE)}Z",
    )
    yield box("stand", x - reach, y, x + reach, y + PLATE, PLATE / 2)


def _warmth(brief: Brief, advice: Advice, sizes: Sizes, frame: Frame, places: tuple[Place, ...]) -> Iterator[Shape]:
    """Draw two curls of warm air beside the tier that decides."""
    where = _warm_spot(brief, advice, sizes, frame, places)
    for shift in (0.0, 5.0):
        if where:
            x, y = where[0] + shift, where[1]
            yield Line("warm", f"M{at(x, y + 8)}Q{at(x + 5, y + 4)} {at(x, y)}Q{at(x - 5, y - 4)} {at(x, y - 8)}")


def _warm_spot(brief: Brief, advice: Advice, sizes: Sizes, frame: Frame, places: tuple[Place, ...]) -> Point | None:
    index = words.deciding_index(brief, advice)
    if index is None or advice.hold is None:
        return None
    if index < len(places):
        return places[index].centre + places[index].edge + 8, places[index].floor - 0.45 * places[index].height
    cup = Cupcake.on(frame, sizes)
    return cup.x + 0.7 * cup.half + 5, cup.rim - 0.75 * (cup.rim - cup.tip)


def _texts(brief: Brief, frame: Frame) -> Iterator[Text]:
    if brief.cupcakes:
        text = f"× {brief.cupcakes}"
        x = max(frame.cupcake_x, text_width(text) / 2 + 4)
        yield Text(text, round(x, 1), round(frame.table_y + FONT / 2 + 5, 1), "middle")


def _key(pointed: list[Entry], brief: Brief, advice: Advice, sizes: Sizes, measures: Measures) -> Iterator[Entry]:
    """Number what is pointed at; a warmth that no leader can reach is numbered on the thermometer alone."""
    for number, entry in enumerate(pointed, start=1):
        yield Entry(entry.term, capital(entry.text), number)
    if advice.hold and WARMTH not in {entry.term for entry in pointed}:
        yield Entry(WARMTH, capital(words.warmth_words(brief, advice, advice.hold, measures)), len(pointed) + 1)
    if brief.tiers:
        yield Entry("Tier" if len(brief.tiers) == 1 else "Tiers", capital(words.tier_words(brief, measures)))
    if brief.cupcakes:
        yield Entry("Cupcakes", capital(words.cupcake_words(brief, sizes, measures)))


def _pointed(brief: Brief, advice: Advice, measures: Measures, sizes: Sizes, frame: Frame) -> list[Pointed]:
    """List what the numbers point at, each with its words."""
    places = places_of(brief, frame)
    coat = Entry("Coat", words.coat_words(brief, advice, measures))
    filling = Entry("Filling", words.filling_words(brief, advice, sizes, measures))
    sponge = Entry("Sponge", words.sponge_words(brief))
    if not places:
        pairs = _in_cupcake(Cupcake.on(frame, sizes), coat, filling, sponge)
    else:
        pairs = _in_tiers(places, brief, sizes, frame, coat, filling, sponge)
        pairs += _supports(places, brief)
        if advice.pairing and advice.pairing.needs_dam:
            pairs += _dam(places, sizes, frame)
        if brief.piping != "none" and advice.pairing:
            detail = Entry("Piping", words.PIPING[brief.piping])
            pairs.append((piping.pointed_at(places, brief, frame), detail))
    spot = _warm_spot(brief, advice, sizes, frame, places)
    if advice.hold and spot and (spot[0] > frame.centre_x or not places):
        pairs.append((spot, Entry(WARMTH, words.warmth_words(brief, advice, advice.hold, measures))))
    return pairs


def _in_cupcake(cup: Cupcake, coat: Entry, filling: Entry, sponge: Entry) -> list[Pointed]:
    return [
        (cup.swirl(0.5, 0.4), coat),
        ((cup.x + 0.15 * cup.half, cup.rim + 0.25 * (cup.base - cup.rim)), filling),
        ((cup.x + 0.5 * cup.half, cup.rim + 0.7 * (cup.base - cup.rim)), sponge),
    ]


def _in_tiers(
    places: tuple[Place, ...], brief: Brief, sizes: Sizes, frame: Frame, coat: Entry, filling: Entry, sponge: Entry
) -> list[Pointed]:
    top = places[-1]
    cut = places[-2] if _is_small(places) else top
    thick, gaps = gap_heights(cut, sizes.filling_mm, frame.scale)
    lowest = gaps[0] + thick if gaps else cut.top
    pairs = [
        ((top.centre + top.edge - top.coat / 2, top.top + 0.1 * top.height), coat),
        ((cut.centre + 0.55 * cut.half, (lowest + cut.floor) / 2), sponge),
    ]
    filled = [place for place in places if place.tier.layers > 1]
    if filled:
        thick, gaps = gap_heights(filled[-1], sizes.filling_mm, frame.scale)
        pairs.append(((filled[-1].centre + 0.4 * filled[-1].half, gaps[-1] + thick / 2), filling))
    return pairs


def _is_small(places: tuple[Place, ...]) -> bool:
    """Whether the top tier of many is too low to point at with every number: some then go to the tiers below."""
    return len(places) > 3 and places[-1].height < SMALL_TIER


def _supports(places: tuple[Place, ...], brief: Brief) -> list[Pointed]:
    carried = (len(places) - 2) // 2 + 1 if _is_small(places) else len(places) - 1
    seen = places[carried] if brief.supported else places[0]
    board = Entry("Board", words.board_words(brief))
    pairs = [((seen.centre + seen.edge - 2, seen.floor + seen.board / 2), board)]
    if brief.supported and len(places) > 1:
        carrier, above = places[carried - 1 : carried + 1]
        target = (tiers.dowel_lines(carrier, above)[-1], carrier.floor - 0.55 * carrier.height)
        pairs.append((target, Entry("Dowels", words.dowel_words(brief))))
    return pairs


def _dam(places: tuple[Place, ...], sizes: Sizes, frame: Frame) -> list[Pointed]:
    """Point at a dam other than that of the filling pointed at, where there is one."""
    spots = []
    for place in places:
        thick, gaps = gap_heights(place, sizes.filling_mm, frame.scale)
        x = place.centre + place.half - tiers.dam_width(place, frame.scale) / 2
        spots += [(x, top + 0.75 * thick) for top in gaps]
    entry = Entry("Dam", "a ring of the coat piped around each filling, which is softer than what it carries")
    return [(spots[-2:][0], entry)] if spots else []
