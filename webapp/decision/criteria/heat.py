"""How far the coat stays below the temperature at which its look goes."""

from __future__ import annotations

from webapp.decision.criteria.base import Criterion, Names, fact_named
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures

# Past this the coat has run off and the temperature of one that stayed means nothing.
FAR_K = 8.0
# Ranges nearer than this touch as they are read, in whole degrees.
ROOM_K = 1.0


class Heat(Criterion):
    """Margin [K] between the temperature that counts for the look asked for and the coat's warmest."""

    id = "heat"
    role = "coat"
    unit = "K"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the coat's threshold and its peak."""
        return (Read("coat", "threshold"), Read("coat", "peak"))

    def measure(self, grid: Grid) -> Array:
        """Return the margin of each coat [K]; below 0 it gets too warm."""
        return grid.coat("threshold") - grid.coat("peak")

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say both temperatures with their ranges, and how they lie to each other."""
        limit, warmest = fact_named(assessment, "threshold"), fact_named(assessment, "peak")
        threshold = measures.temperatures(limit.low, limit.high)
        peak = measures.temperatures(warmest.low, warmest.high)
        if assessment.measured < -FAR_K:
            return f"{names.coat} gets far warmer than the {threshold} at which it loses its look."
        if assessment.measured < 0:
            how = "too warm" if warmest.low > limit.high else "likely too warm"
            return f"{names.coat} reaches {peak} and loses its look at {threshold}: {how}."
        room = limit.low - warmest.high
        how = "room to spare" if room >= ROOM_K else "just enough" if room >= 0 else "close, the two overlap"
        only = " only" if room >= 0 else ""
        return f"{names.coat} reaches {peak} and loses its look{only} at {threshold}: {how}."


HEAT = Heat()
