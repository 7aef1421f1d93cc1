"""How much work the buttercream is."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures, lasting_between

_SECOND = Read("shared", "minutes_share", "second-batch")
_EGGS = Read("shared", "saves_minutes", "shared-eggs")


class Effort(Criterion):
    """Minutes of work for a pairing: one batch when coat and filling are the same, otherwise two.

    The second of two batches is the quicker one and costs a share of its minutes, since scaling, set-up and
    washing-up are shared; using both parts of the same eggs saves a little more.
    """

    id = "effort"
    role = "pair"
    unit = "min"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the minutes of coat and filling and what doing both saves."""
        return (Read("coat", "minutes"), Read("filling", "minutes"), _SECOND, _EGGS)

    def measure(self, grid: Grid) -> Array:
        """Return the minutes of each pairing."""
        coat, filling = grid.coat("minutes"), grid.filling("minutes")
        both = np.maximum(coat, filling) + grid.number(_SECOND) * np.minimum(coat, filling)
        both = both - np.where(grid.shares_eggs, grid.number(_EGGS), 0.0)
        # One number in two readings: their mean is it, and moves as it does when both are moved.
        return np.where(grid.is_same, (coat + filling) / 2, both)

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say how many batches, and how long they take."""
        time = lasting_between(assessment.low / 60, assessment.high / 60)
        if names.coat == names.filling:
            return f"{names.coat} does for both: {time} to make a batch, piping not counted."
        return f"{names.coat} and {names.filling} are two recipes: {time} to make a batch of each."


EFFORT = Effort()
