"""How many times over the coat lasts as long as it must."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names, fact_named
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures, lasting_with_range

# Times over, where nothing more is to be gained and a cake cut at once would divide by zero.
AMPLE = 10.0
# A need shorter than this [h] is none: a division by it could overflow.
AT_ONCE_H = 1e-6


class HoldTime(Criterion):
    """Likely hold [h] over the hours needed; a cake cut at once asks only that the coat holds at all."""

    id = "hold_time"
    role = "coat"
    unit = "-"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return how long the coat holds and how long it must."""
        return (Read("coat", "hold"), Read("coat", "needed"))

    def measure(self, grid: Grid) -> Array:
        """Return hold over need of each coat, at most ``AMPLE``."""
        hold, needed = grid.coat("hold"), grid.coat("needed")
        at_once = np.where(hold > 0, AMPLE, 0.0)
        times_over = hold / np.where(needed > AT_ONCE_H, needed, 1.0)
        return np.minimum(AMPLE, np.where(needed > AT_ONCE_H, times_over, at_once))

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say how long it keeps its look, with the range, and how long it must."""
        hold = fact_named(assessment, "hold")
        needed = fact_named(assessment, "needed").value
        hours = lasting_with_range(hold.value, hold.low, hold.high)
        lasts = f"{names.coat} keeps its look {hours}" if hold.high > 0 else f"{names.coat} is soft on arrival"
        if needed <= AT_ONCE_H:
            return f"{lasts}; the cake is cut at once."
        return f"{lasts}; it must last {measures.duration(needed)}."


HOLD_TIME = HoldTime()
