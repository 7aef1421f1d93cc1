"""How rich the buttercream eats."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures

_SHARE = Read("shared", "filling_share", "mouthful")


class Richness(Criterion):
    """Richness on the feel scale, weighted to the filling, which is tasted in every forkful."""

    id = "richness"
    role = "pair"
    unit = "feel"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the richness of coat and filling and the filling's share."""
        return (Read("coat", "richness"), Read("filling", "richness"), _SHARE)

    def measure(self, grid: Grid) -> Array:
        """Return the richness of each pairing."""
        share = grid.number(_SHARE)
        mix = share * grid.filling("richness") + (1 - share) * grid.coat("richness")
        return np.asarray(mix, dtype=np.float64)

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say how it eats."""
        pair = names.coat if names.coat == names.filling else f"{names.filling} under {names.coat}"
        if assessment.measured >= 7:
            return f"{pair} eats rich and silky."
        if assessment.measured >= 4.5:
            return f"{pair} is moderately rich."
        return f"{pair} is plain rather than rich."


RICHNESS = Richness()
