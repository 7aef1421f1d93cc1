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
        are_two = names.coat != names.filling
        # The richness is that of the mix: neither half need be the plain one.
        pair = f"eaten together, {names.coat} and {names.filling}" if are_two else names.coat
        if assessment.measured >= 7:
            return f"{pair} {'eat' if are_two else 'eats'} rich and silky."
        verb = "are" if are_two else "is"
        if assessment.measured >= 4.5:
            return f"{pair} {verb} moderately rich."
        return f"{pair} {verb} plain rather than rich."


RICHNESS = Richness()
