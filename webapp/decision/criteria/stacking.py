"""Whether the filling is firm enough for what stands on it."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names, fact_named
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Candidate, Situation
from webapp.units import Measures

_UNLOADED = Read("shared", "needs_firmness", "load:0-kpa")
_LOADED = Read("shared", "needs_firmness", "load:1-kpa")
_MARGIN = Read("filling", "filling_margin")
_PER_K = Read("shared", "firmness_per_k", "warm-filling")


class Stacking(Criterion):
    """Firmness of the filling less what its load needs, on the feel scale.

    The need is given for no load and for 1 kPa and is linear in the load, also beyond it. A filling that gets
    warmer between the layers than it can bear loses firmness for each degree.
    """

    id = "stacking"
    role = "filling"
    unit = "feel"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the filling's firmness and warmth, and what the load needs."""
        always = (Read("filling", "firmness"), _MARGIN, _PER_K, _UNLOADED)
        return (*always, _LOADED) if situation.carried_kpa else always

    def measure(self, grid: Grid) -> Array:
        """Return how much firmer than needed each filling is."""
        need = grid.number(_UNLOADED)
        if grid.situation.carried_kpa:
            need = need + (grid.number(_LOADED) - need) * grid.situation.carried_kpa
        lost = np.minimum(grid.number(_MARGIN), 0.0) * grid.number(_PER_K)
        return np.asarray(grid.filling("firmness") + lost - need, dtype=np.float64)

    def is_gain(self, assessment: Assessment) -> bool:
        """Whether the layers stay put without a dam and without the cold."""
        return assessment.measured >= 0 and fact_named(assessment, "filling_margin").value >= 0

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say whether the layers will stay put, and the dam that keeps them when it is too soft."""
        is_loaded = any(fact.subject == _LOADED.subject for fact in assessment.facts)
        layers = "the layers of this cake" if names.has_tiers else "the middle of a cupcake"
        what = "the tiers standing on it" if is_loaded else layers
        if names.coat == names.filling and assessment.measured < 0:
            return f"{names.filling} is soft for {what}: keep the layers thin and chill the cake before coating it."
        if fact_named(assessment, "filling_margin").value < 0:
            return f"{names.filling} gets warm enough between the layers to creep: keep the cake cold until late."
        if assessment.measured < 0:
            return f"{names.filling} is soft for {what}: it needs a dam, a firmer ring around each layer."
        return f"{names.filling} is firm enough for {what}."


def needs_dam(candidate: Candidate, situation: Situation) -> bool:
    """Whether a filling is softer than its load needs, so that a stiffer ring has to hold it in."""
    return float(STACKING.measure(Grid((candidate,), (candidate,), situation))[0, 0]) < 0


STACKING = Stacking()
