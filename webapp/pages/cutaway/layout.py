"""Where everything stands: one scale for width and height, and the place of each tier."""

from __future__ import annotations

import math
from dataclasses import dataclass

from webapp.advice.brief import Brief, Tier
from webapp.catalogue.model import Catalogue

WIDTH = 360.0
FONT = 16.0
# Widths of a character in ems; no usual system font is wider, taken over such short texts.
EM = 0.64
EM_OF = {" ": 0.35, "i": 0.28, "c": 0.56, "m": 0.98, "¼": 1.0, "½": 1.0, "¾": 1.0}
BADGE_R = 11.0
BADGE_X = WIDTH - BADGE_R - 3
BADGE_GAP = 2 * BADGE_R + 4
LABEL_GAP = FONT + 4
ICON = 14.0

MOST_SCALE = 18.0  # units per cm: a cupcake alone does not fill the frame
MOST_HEIGHT = 350.0
TOP = 28.0
STAND = 36.0
PLATE = 5.0
OVERHANG = 10.0
CUPCAKE_GAP = 14.0
CRUMB_ROOM = 34.0
LEAST_COAT = 2.0
LEAST_BOARD = 1.6
BOARD_CM = 0.4  # stiff card or foam; common practice, no source


@dataclass(frozen=True, slots=True)
class Sizes:
    """What the brief does not say and the catalogue does: as drawn, and the ends that are told in words."""

    filling_mm: float
    cupcake_width_cm: float
    cupcake_height_cm: float
    swirl_cm: float
    filling_ends_mm: tuple[float, float]
    cupcake_width_ends_cm: tuple[float, float]
    swirl_ends_cm: tuple[float, float]

    @property
    def cupcake_total_cm(self) -> float:
        return self.cupcake_height_cm + self.swirl_cm

    @staticmethod
    def of(catalogue: Catalogue) -> Sizes:
        filling = catalogue.fact("cake", "filling_mm")
        width, height, swirl = (catalogue.fact("cupcake", name) for name in ("width_mm", "height_mm", "swirl_mm"))
        return Sizes(
            filling_mm=filling.value,
            cupcake_width_cm=width.value / 10,
            cupcake_height_cm=height.value / 10,
            swirl_cm=swirl.value / 10,
            filling_ends_mm=(filling.low, filling.high),
            cupcake_width_ends_cm=(width.low / 10, width.high / 10),
            swirl_ends_cm=(swirl.low / 10, swirl.high / 10),
        )


@dataclass(frozen=True, slots=True)
class Frame:
    """The picture's size, its scale and its fixed heights; ``scale`` in units per cm."""

    scale: float
    centre_x: float
    plate_y: float
    table_y: float
    cupcake_x: float
    crumb_x: float
    label_end: float


@dataclass(frozen=True, slots=True)
class Place:
    """One tier on the drawing: its centre line, where its sponge ends, how thick its coat is drawn."""

    index: int
    tier: Tier
    centre: float
    floor: float
    half: float
    height: float
    coat: float
    board: float

    @property
    def edge(self) -> float:
        """From the centre line to the outside of the coat."""
        return self.half + self.coat

    @property
    def top(self) -> float:
        """Where the sponge ends and the coat begins."""
        return self.floor - self.height

    @property
    def crown(self) -> float:
        """The top of the coat."""
        return self.top - self.coat

    @property
    def upper(self) -> float:
        """A height well up the side, at which labels point."""
        return self.floor - 0.7 * self.height


def text_width(text: str) -> float:
    return FONT * sum(EM_OF.get(character, EM) for character in text)


def frame_of(brief: Brief, sizes: Sizes, labels: list[str], badges: int) -> Frame:
    """Fit cake and cupcake between the widths on the left and the numbers on the right."""
    label_end = max(map(text_width, labels)) + ICON + 6 if labels else 4.0
    left, right = label_end + 11, BADGE_X - BADGE_R - 14
    scale = _scale(brief, sizes, right - left)
    stand = _stand(brief, sizes, scale)
    cupcake = sizes.cupcake_width_cm * scale if brief.cupcakes else 0.0
    beside = cupcake + (CUPCAKE_GAP if brief.cupcakes and brief.tiers else 0)
    edge = _edge(brief, scale)
    start = (left + right - beside - 2 * edge) / 2 + beside
    table = max(_cake_top(brief, sizes, scale) + stand, BADGE_GAP * badges + 8, LABEL_GAP * len(labels) + 12 + stand)
    return Frame(
        scale=scale,
        centre_x=start + edge,
        plate_y=table - stand,
        table_y=table,
        cupcake_x=start - (CUPCAKE_GAP if brief.tiers else 0) - cupcake / 2,
        crumb_x=max(start - beside - CRUMB_ROOM, CRUMB_ROOM / 2) if not brief.tiers else CRUMB_ROOM,
        label_end=label_end,
    )


def _scale(brief: Brief, sizes: Sizes, width: float) -> float:
    cups = bool(brief.cupcakes)
    spare = width - (2 * (OVERHANG + LEAST_COAT) if brief.tiers else 0) - CUPCAKE_GAP * cups
    across = (sizes.cupcake_width_cm if cups else 0) + _across_cm(brief)
    up = max(_up_cm(brief), sizes.cupcake_total_cm if cups else 0)
    room = MOST_HEIGHT - (LEAST_COAT + LEAST_BOARD) * len(brief.tiers)
    return min(MOST_SCALE, spare / across, room / up)


def _across_cm(brief: Brief) -> float:
    return max((t.width_cm for t in brief.tiers), default=-brief.coat_mm / 5) + brief.coat_mm / 5


def _up_cm(brief: Brief) -> float:
    return sum(t.height_cm + brief.coat_mm / 10 + BOARD_CM for t in brief.tiers)


def _edge(brief: Brief, scale: float) -> float:
    if not brief.tiers:
        return 0.0
    return brief.tiers[0].width_cm * scale / 2 + _coat(brief, scale) + OVERHANG


def _coat(brief: Brief, scale: float) -> float:
    return max(LEAST_COAT, brief.coat_mm / 10 * scale)


def _board(scale: float) -> float:
    return max(LEAST_BOARD, BOARD_CM * scale)


def _stand(brief: Brief, sizes: Sizes, scale: float) -> float:
    """Raise the cake until the label of its bottom tier passes over the cupcake."""
    if not brief.tiers or not brief.cupcakes:
        return STAND
    return max(STAND, (sizes.cupcake_total_cm - 0.7 * brief.tiers[0].height_cm) * scale + 8)


def _cake_top(brief: Brief, sizes: Sizes, scale: float) -> float:
    boards = sum(_has_board(brief, index) for index in range(len(brief.tiers)))
    tiers = sum(t.height_cm * scale + _coat(brief, scale) for t in brief.tiers) + boards * _board(scale)
    stand = _stand(brief, sizes, scale)
    return TOP + max(tiers, sizes.cupcake_total_cm * scale - stand if brief.cupcakes else 0)


def _has_board(brief: Brief, index: int) -> bool:
    return index == 0 or brief.supported


def places_of(brief: Brief, frame: Frame) -> tuple[Place, ...]:
    """Stack the tiers, bottom first, each on its board where it has one."""
    places: list[Place] = []
    ground, coat = frame.plate_y, _coat(brief, frame.scale)
    for index, tier in enumerate(brief.tiers):
        board = _board(frame.scale) if _has_board(brief, index) else 0.0
        half, height = tier.width_cm * frame.scale / 2, tier.height_cm * frame.scale
        places.append(Place(index, tier, frame.centre_x, ground - board, half, height, coat, board))
        ground = places[-1].crown
    return tuple(places)


def motif(frame: Frame, cm: float, least: float, most: float) -> float:
    """Size of a piped motif: to scale, but neither a speck nor wider than the plate's rim."""
    return min(max(cm * frame.scale, least), most)


def gap_heights(place: Place, filling_mm: float, scale: float) -> tuple[float, list[float]]:
    """Return the thickness of a filling and the top of each, lowest first."""
    count = place.tier.layers
    thick = min(max(filling_mm / 10 * scale, 1.2), 0.5 * place.height / count)
    sponge = (place.height - (count - 1) * thick) / count
    return thick, [place.floor - n * (sponge + thick) for n in range(1, count)]


def dowel_count(width_cm: float) -> int:
    """Dowels in a tier that carries another: one for each 5 cm across, at least four; common practice, no source."""
    return max(4, math.floor(width_cm / 5))
