"""Whether the buttercream melts away in the mouth or leaves a film."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures


class Mouthfeel(Criterion):
    """Fat that is still solid at mouth temperature, of coat and filling together by mass [g/100 g].

    What makes a fat stand in the sun keeps it from melting on the tongue: this is the price of shortening.
    """

    id = "mouthfeel"
    role = "pair"
    unit = "g/100g"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the waxy fat and density of coat and filling."""
        return (
            Read("coat", "waxy_fat"),
            Read("coat", "density"),
            Read("filling", "waxy_fat"),
            Read("filling", "density"),
        )

    def measure(self, grid: Grid) -> Array:
        """Return the waxy fat of each pairing's buttercream, without the sponge [g/100 g]."""
        coat_g = grid.situation.coat_ml * grid.coat("density")
        filling_g = grid.situation.filling_ml * grid.filling("density")
        waxy = coat_g * grid.coat("waxy_fat") + filling_g * grid.filling("waxy_fat")
        return np.asarray(waxy / (coat_g + filling_g), dtype=np.float64)

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say how it melts."""
        are_two = names.coat != names.filling
        # The fat is that of the mix: neither half need be the one that melts slowly.
        pair = f"eaten together, {names.coat} and {names.filling}" if are_two else names.coat
        if assessment.measured < 0.8:
            return f"{pair} {'melt' if are_two else 'melts'} cleanly on the tongue."
        if assessment.measured < 2:
            return f"{pair} {'melt' if are_two else 'melts'} a little slowly on the tongue."
        return f"{pair} {'leave' if are_two else 'leaves'} a film of fat in the mouth."


MOUTHFEEL = Mouthfeel()
