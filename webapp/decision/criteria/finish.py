"""How well the coat takes the finish asked."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names, fact_named
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures

PERFECT = 10.0
_COUNTS = Read("shared", "smoothness_share", "texture")


class Finish(Criterion):
    """Smoothness on the feel scale; under a texture only a small share of what it lacks shows."""

    id = "finish"
    role = "coat"
    unit = "feel"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the coat's smoothness, and how far it counts under a texture."""
        smoothness = Read("coat", "smoothness")
        return (smoothness,) if situation.finish == "smooth" else (smoothness, _COUNTS)

    def measure(self, grid: Grid) -> Array:
        """Return the smoothness that shows, for each coat."""
        smoothness = grid.coat("smoothness")
        if grid.situation.finish == "smooth":
            return smoothness
        return np.asarray(PERFECT - grid.number(_COUNTS) * (PERFECT - smoothness), dtype=np.float64)

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say how the sides will look, or the swirl of a cupcake."""
        if any(fact.name == "smoothness_share" for fact in assessment.facts):
            return f"Under a textured finish the small faults of {names.coat} hardly show."
        smoothness = fact_named(assessment, "smoothness").value
        if smoothness >= 8:
            looks = "smooths to even, satiny sides" if names.has_tiers else "pipes to an even, satiny surface"
        elif smoothness >= 6:
            looks = "smooths well with some patience" if names.has_tiers else "pipes fairly smooth"
        else:
            looks = "is hard to get really smooth"
        return f"{names.coat} {looks}."


FINISH = Finish()
