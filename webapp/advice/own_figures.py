"""What is computed of one formulation on its own, before any event: composition, softening, water, cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from webapp.advice.service import Advisor
from webapp.catalogue.composition import Composition, batch_mass, compose
from webapp.catalogue.model import Fact, Formulation
from webapp.kitchen.water_activity import WaterEstimate, estimate_water
from webapp.thermal.holding import Spread


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures of a formulation.

    Attributes
    ----------
    batch_g
        Mass of the batch as the lines give it [g].
    batch_ml
        Volume of the batch when beaten [mL], from the family's density.
    cost
        Cost of the batch by the table's pack prices, which name no currency.
    softens, slumps
        Low, likely and high temperature [°C] of the draws that the advice works with.
    density
        Density when beaten [g/mL], of the family.
    water
        Water activity and what goes with it.
    """

    composition: Composition
    batch_g: float
    batch_ml: Spread
    cost: float
    softens: Spread
    slumps: Spread
    density: Fact
    water: WaterEstimate


def figures_of(formulation: Formulation, advisor: Advisor) -> Figures:
    """Compute the figures of a formulation that the advisor need not know."""
    knowing = advisor.knowing((formulation,))
    draws = knowing.softness.of(formulation)
    density = knowing.catalogue.formulation_fact(formulation, "density")
    mass = batch_mass(formulation)
    return Figures(
        composition=compose(formulation),
        batch_g=mass,
        batch_ml=Spread(low=mass / density.high, likely=mass / density.value, high=mass / density.low),
        cost=sum(line.grams * line.ingredient.pack_price / line.ingredient.pack_g for line in formulation.lines),
        softens=Spread.of(np.asarray(draws.softens)),
        slumps=Spread.of(np.asarray(draws.slumps)),
        density=density,
        water=estimate_water(formulation, knowing.catalogue),
    )
