"""The hot steps of a batch: the syrup at the kitchen's altitude, or the bowl over water."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from webapp.kitchen.batches import SYRUP, Batch, Preparation, is_syrup_sugar, is_syrup_water
from webapp.kitchen.egg_heat import COOKED_C
from webapp.kitchen.syrup import boiling_point, water_boils_at

DISSOLVED_C = 50.0  # at which sugar no longer feels gritty between the fingers; common practice, no source
MOST_BUTTER_C = 25.0  # foam temperature at which butter goes in; common practice: below its melting, about 35 °C


@dataclass(frozen=True, slots=True)
class HeatStep:
    """One hot step of a batch: what to reach [°C] and, for a syrup, what is left in the pan [g].

    ``sugar_share`` is sugar over sugar and water at that point; ``water_boils_c`` lets a thermometer be checked
    in plain boiling water.
    """

    kind: Literal["syrup", "water-bath", "dissolve", "cool"]
    target_c: float
    sugar_g: float = 0.0
    water_in_g: float = 0.0
    water_left_g: float = 0.0
    sugar_share: float = 0.0
    water_boils_c: float = 0.0

    @property
    def boiled_off_g(self) -> float:
        """Water that leaves the pan [g]."""
        return self.water_in_g - self.water_left_g

    @property
    def pan_g(self) -> float:
        """What the pan should hold at the end [g]."""
        return self.sugar_g + self.water_left_g


def heat_steps(preparation: Preparation, batch: Batch, altitude_m: float) -> tuple[HeatStep, ...]:
    """Return the hot steps of one batch at an altitude [m]; none for a family that heats nothing."""
    stages = {line.stage for line in batch.lines}
    cool = HeatStep("cool", MOST_BUTTER_C)
    if SYRUP in stages:
        return syrup_step(batch, altitude_m), cool
    if "meringue" not in stages:
        return ()
    treatment = preparation.formulation.egg_treatment
    kind: Literal["water-bath", "dissolve"] = "water-bath" if treatment == "heated-71c" else "dissolve"
    target = COOKED_C if kind == "water-bath" else DISSOLVED_C
    return HeatStep(kind, target, water_boils_c=water_boils_at(altitude_m)), cool


def syrup_step(batch: Batch, altitude_m: float) -> HeatStep:
    """Return how far the syrup of a batch is boiled at an altitude [m].

    The temperature is that at which sugar and the water that is to stay boil there.
    """
    sugar = math.fsum(line.grams for line in batch.lines if is_syrup_sugar(line))
    water_in = math.fsum(line.grams for line in batch.lines if is_syrup_water(line))
    left = math.fsum(line.stays_g for line in batch.lines if is_syrup_water(line))
    share = sugar / (sugar + left)
    return HeatStep("syrup", boiling_point(share, altitude_m), sugar, water_in, left, share, water_boils_at(altitude_m))
