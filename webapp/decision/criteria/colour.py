"""How close the coat comes to the colour asked."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures

_WHITENESS = Read("coat", "whiteness")
_TAKES = Read("coat", "takes_colour")
_SHARE = Read("shared", "whiteness_share", "pastel")


class Colour(Criterion):
    """Whiteness for white, how well it takes colour for deep and dark, a share of each for pastel."""

    id = "colour"
    role = "coat"
    unit = "feel"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return what counts for the colour asked."""
        match situation.colour:
            case "white":
                return (_WHITENESS,)
            case "pastel":
                return (_WHITENESS, _TAKES, _SHARE)
            case _:
                return (_TAKES,)

    def measure(self, grid: Grid) -> Array:
        """Return how well each coat comes to the colour, on the feel scale."""
        match grid.situation.colour:
            case "white":
                return grid.number(_WHITENESS)
            case "pastel":
                share = grid.number(_SHARE)
                mix = share * grid.number(_WHITENESS) + (1 - share) * grid.number(_TAKES)
                return np.asarray(mix, dtype=np.float64)
            case _:
                return grid.number(_TAKES)

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say how near the colour comes, and what stands in the way."""
        read = {fact.name for fact in assessment.facts}
        is_good = assessment.measured >= 7
        if "takes_colour" not in read:
            return f"{names.coat} is {'close to white' if is_good else 'ivory to yellow by itself'}."
        if "whiteness" not in read:
            return (
                f"{names.coat} {'takes' if is_good else 'needs a lot of colour and time for'} a strong shade."
            )
        return f"{names.coat} {'gives clean pastels' if is_good else 'pulls pastels towards yellow'}."


COLOUR = Colour()
