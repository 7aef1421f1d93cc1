"""Three briefs of our own invention to try before the first of one's own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from webapp.advice.brief import Brief
from webapp.pages.brief_address import address_of
from webapp.units import Measures


@dataclass(frozen=True, slots=True)
class Example:
    """A brief with the heading and the one line that invite to it; ``{air}`` in it is the warmest air."""

    title: str
    line: str
    brief: Brief

    def said(self, measures: Measures) -> str:
        return self.line.format(air=measures.temperature(self.brief.air_high_c))

    @property
    def address(self) -> str:
        return address_of(self.brief)


def _brief(**fields: Any) -> Brief:
    return Brief.model_validate(fields, strict=False)


GARDEN_WEDDING = Example(
    "A hot garden wedding",
    "Three tiers with rosettes, in the shade at {air}.",
    _brief(
        setting="shade",
        air_high_c=31,
        hold_hours=3,
        travel_minutes=45,
        tiers=(
            {"width_cm": 30, "height_cm": 12},
            {"width_cm": 22, "height_cm": 12},
            {"width_cm": 15, "height_cm": 12},
        ),
        supported=True,
        sweetness=2,
        piping="rosettes",
    ),
)
EGG_ALLERGY = Example(
    "A child’s party, no egg",
    "One tier and 24 cupcakes in a deep colour, indoors.",
    _brief(
        setting="indoors",
        air_high_c=21,
        hold_hours=2,
        travel_minutes=15,
        tiers=({"width_cm": 20, "height_cm": 12},),
        cupcakes=24,
        sweetness=4,
        piping="rosettes",
        colour="deep",
        diet=("egg-free",),
    ),
)
VEGAN_RETIREMENT = Example(
    "A vegan retirement cake",
    "One square tier, smooth and plain, in a normal room.",
    _brief(
        setting="indoors",
        air_high_c=22,
        hold_hours=2,
        travel_minutes=20,
        tiers=({"shape": "square", "width_cm": 25, "height_cm": 10},),
        sweetness=2,
        piping="none",
        finish="smooth",
        diet=("vegan",),
    ),
)
EXAMPLES = (GARDEN_WEDDING, EGG_ALLERGY, VEGAN_RETIREMENT)
