"""The criteria, one module each; a new one is a module, its rows in the data, and a line here."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from webapp.decision.criteria.base import Criterion, Evaluation, Names, value_between
from webapp.decision.criteria.colour import COLOUR
from webapp.decision.criteria.effort import EFFORT
from webapp.decision.criteria.finish import FINISH
from webapp.decision.criteria.heat import HEAT
from webapp.decision.criteria.hold_time import HOLD_TIME
from webapp.decision.criteria.humidity import HUMIDITY
from webapp.decision.criteria.mouthfeel import MOUTHFEEL
from webapp.decision.criteria.piping import PIPING
from webapp.decision.criteria.richness import RICHNESS
from webapp.decision.criteria.stacking import STACKING, needs_dam
from webapp.decision.criteria.sweetness import SWEETNESS

CRITERIA: Mapping[str, Criterion] = MappingProxyType(
    {
        criterion.id: criterion
        for criterion in (
            HEAT,
            HOLD_TIME,
            SWEETNESS,
            PIPING,
            FINISH,
            STACKING,
            HUMIDITY,
            COLOUR,
            RICHNESS,
            MOUTHFEEL,
            EFFORT,
        )
    }
)

__all__ = ["CRITERIA", "Criterion", "Evaluation", "Names", "needs_dam", "value_between"]
