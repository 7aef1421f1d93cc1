"""How sweet a forkful is against what the client wants."""

from __future__ import annotations

import numpy as np

from webapp.decision.criteria.base import Criterion, Names
from webapp.decision.grid import Array, Grid, Read
from webapp.decision.model import Assessment, Situation
from webapp.units import Measures

# The five levels of a brief lie 4 g per 100 g or more apart; half a step is hardly tasted.
NEAR = 2.0


class Sweetness(Criterion):
    """Sweetness of sponge, coat and filling together, by mass, less the sweetness wanted.

    In g of sucrose equivalent per 100 g; positive is too sweet.
    """

    id = "sweetness"
    role = "pair"
    unit = "g/100g"

    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return the sweetness and density of coat and filling, of the sponge, and what is wanted."""
        return (
            Read("coat", "sweetness"),
            Read("coat", "density"),
            Read("filling", "sweetness"),
            Read("filling", "density"),
            Read("shared", "sponge_sweetness"),
            Read("shared", "wanted_sweetness"),
        )

    def measure(self, grid: Grid) -> Array:
        """Return how much sweeter than wanted the forkful of each pairing is [g/100 g]."""
        return forkful_sweetness(grid) - grid.shared("wanted_sweetness")

    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Say whether the forkful meets the wish, and by how much it misses it."""
        pair = names.coat if names.coat == names.filling else f"{names.coat} and {names.filling}"
        excess = assessment.measured
        least, most = (assessment.low, assessment.high) if excess > 0 else (-assessment.high, -assessment.low)
        figures = f"{max(0.0, least):.0f} to {most:.0f} g of sugar in 100 g"
        if abs(excess) <= NEAR:
            return f"A forkful of cake with {pair} is about as sweet as asked."
        if excess < 0:
            return f"A forkful of cake with {pair} is less sweet than asked, by {figures}."
        return f"A forkful of cake with {pair} is sweeter than asked, by {figures}."


def forkful_sweetness(grid: Grid) -> Array:
    """Return the sweetness of sponge, coat and filling mixed by mass, for each pairing [g/100 g]."""
    cake = grid.situation
    coat_g = cake.coat_ml * grid.coat("density")
    filling_g = cake.filling_ml * grid.filling("density")
    sweet = (
        cake.sponge_g * grid.shared("sponge_sweetness")
        + coat_g * grid.coat("sweetness")
        + filling_g * grid.filling("sweetness")
    )
    return np.asarray(sweet / (cake.sponge_g + coat_g + filling_g), dtype=np.float64)


SWEETNESS = Sweetness()
