"""Whether the coat takes piping as fine as asked."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures

# The whole feel scale: without piping nothing is asked, so every coat has all of it to spare.
NOTHING_ASKED = 10.0
KINDS = {"borders": "piped borders", "rosettes": "rosettes", "fine": "fine piped work"}
KINDS_ON_CUPCAKES = KINDS | {"borders": "a piped swirl"}


class Piping(Criterion):
    """Piping detail that the coat takes less what the piping asks, on the feel scale."""

    id = "piping"
    role = "coat"
    unit = "feel"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the coat's piping detail and the piping's need; nothing without piping."""
        if situation.piping == "none":
            return ()
        return (Read("coat", "piping_detail"), _need(situation))

    def measure(self, grid: Grid) -> Array:
        """Return how much finer than asked each coat can be piped."""
        if grid.situation.piping == "none":
            return np.full((len(grid.coats), 1), NOTHING_ASKED)
        return grid.coat("piping_detail") - grid.number(_need(grid.situation))

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say how the coat takes the piping asked."""
        asked = [fact.subject for fact in assessment.facts if fact.name == "needs_detail"]
        if not asked:
            return "No piping is asked, so any coat will do."
        kinds = KINDS if names.has_tiers else KINDS_ON_CUPCAKES
        kind = kinds[asked[0].removeprefix("piping:")]
        if assessment.measured >= 1:
            return f"{names.coat} takes {kind} with ease."
        if assessment.measured >= 0:
            return f"{names.coat} is just stiff enough for {kind}."
        return f"{names.coat} is soft for {kind}: edges will not come out sharp."


def _need(situation: Situation) -> Read:
    return Read("shared", "needs_detail", f"piping:{situation.piping}")


PIPING = Piping()
