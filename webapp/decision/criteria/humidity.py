"""What humid air leaves of a crust."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures

_CRUSTS = Read("coat", "crusts")
_NONE_ABOVE = Read("shared", "none_above", "crusting")
_KEEPS_OFF = 0.6  # share of a full crust from which it keeps dust and fingers off, judgement
_FULL_BELOW = Read("shared", "full_below", "crusting")


class Humidity(Criterion):
    """Share of a full crust that the coat forms in this air (0..1).

    A crust keeps dust, insects and fingers off. It forms by drying, and above the humidity at which sugar crystals
    take up water from the air it does not form at all.
    """

    id = "humidity"
    role = "coat"
    unit = "share"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return how well the coat crusts and the two humidities between which that fades."""
        return (_CRUSTS, _FULL_BELOW, _NONE_ABOVE)

    def measure(self, grid: Grid) -> Array:
        """Return the crust of each coat."""
        full, none = grid.number(_FULL_BELOW), grid.number(_NONE_ABOVE)
        dryness = np.clip((none - grid.situation.humidity_pct) / (none - full), 0.0, 1.0)
        return np.asarray(grid.number(_CRUSTS) * dryness, dtype=np.float64)

    def is_gain(self, assessment: Assessment) -> bool:
        """Whether a crust forms that needs no watching."""
        return assessment.measured >= _KEEPS_OFF

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say whether it crusts."""
        crusts = assessment.facts[0].value
        if crusts < 0.2:
            return f"{names.coat} forms no crust: keep dust, insects and fingers away from it."
        if assessment.measured < 0.2:
            return f"{names.coat} would crust, but hardly in air this humid."
        if not self.is_gain(assessment):
            return f"{names.coat} crusts slowly in air this humid."
        return f"{names.coat} forms a crust that keeps dust and fingers off."


HUMIDITY = Humidity()
