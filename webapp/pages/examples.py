"""Three briefs of our own invention to try before the first of one's own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from webapp.advice.brief import Brief


@dataclass(frozen=True, slots=True)
class Example:
    """A brief with the heading and the one line that invite to it."""

    title: str
    line: str
    brief: Brief


def _brief(**fields: Any) -> Brief:
    return Brief.model_validate(fields, strict=False)


GARDEN_WEDDING = Example(
    "A hot garden wedding",
    "Three tiers with rosettes, in the shade at 31 °C.",
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
    "",
    _brief(
        setting="indoors",
        air_high_c=22,
        hold_hours=2,
        travel_minutes=15,
        tiers=({"width_cm": 20, "height_cm": 12},),
        cupcakes=24,
        cake_sweetness=3,
        sweetness=4,
        piping="rosettes",
        colour="deep",
        diet=("egg-free",),
    ),
)
VEGAN_RETIREMENT = Example(
    "A vegan retirement cake",
    "",
    _brief(
        setting="indoors",
        air_high_c=22,
        hold_hours=3,
        travel_minutes=20,
        tiers=({"shape": "square", "width_cm": 25, "height_cm": 10},),
        sweetness=2,
        finish="smooth",
        piping="borders",
        diet=("vegan",),
    ),
)
EXAMPLES = (GARDEN_WEDDING, EGG_ALLERGY, VEGAN_RETIREMENT)
