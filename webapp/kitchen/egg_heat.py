"""How hot egg gets under hot syrup, and what holding a temperature does to Salmonella.

Estimates for planning. Neither shows that a batch was pasteurised: only a thermometer in it, or egg that was
pasteurised before it was sold, does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product

from webapp.catalogue.model import Catalogue, Fact, Formulation, HeatResistance
from webapp.kitchen.syrup import boiling_point, specific_heat, sugar_share_of
from webapp.kitchen.water_activity import Range

COOKED_C = 71.1  # 160 °F, at which USDA FSIS counts egg as cooked; see egg-cooking in rules.csv
STEAM_J_G = 2257.0  # latent heat of water at 100 °C, IAPWS-95


@dataclass(frozen=True, slots=True)
class Pour:
    """Hot syrup going into egg: masses [g], temperatures [°C], heat capacities and losses.

    Attributes
    ----------
    syrup_g, sugar_share
        Mass of the syrup in the pan and its sucrose share [0..1].
    syrup_c
        Temperature off the heat.
    egg_g, egg_c, egg_heat
        Mass, temperature and specific heat [J/(g K)] of the egg.
    left_share
        Of the syrup, what stays in the pan or sets on the bowl's side [0..1].
    stream_k
        What the stream cools on its way [K].
    bowl_j_k, bowl_c
        Heat capacity of the bowl and whisk that warm with the mix [J/K], and their temperature before.
    steam_share
        Water that leaves as steam, over the mass of the syrup [0..1]; stands for all that the air takes.
    """

    syrup_g: float
    sugar_share: float
    syrup_c: float
    egg_g: float
    egg_c: float
    egg_heat: float
    left_share: float
    stream_k: float
    bowl_j_k: float
    bowl_c: float
    steam_share: float


def mix_temperature(pour: Pour) -> float:
    """Return the temperature [°C] at which syrup, egg and bowl come together.

    Heat balance: what the syrup gives up warms the egg and the bowl and drives off steam.
    """
    arrived_g, arrived_c = pour.syrup_g * (1 - pour.left_share), pour.syrup_c - pour.stream_k
    # At the mean of its own temperature and that of a warm foam.
    syrup = arrived_g * specific_heat(pour.sugar_share, (arrived_c + 65) / 2)
    egg = pour.egg_g * pour.egg_heat
    heat = syrup * arrived_c + egg * pour.egg_c + pour.bowl_j_k * pour.bowl_c
    lost = STEAM_J_G * pour.steam_share * pour.syrup_g
    return (heat - lost) / (syrup + egg + pour.bowl_j_k)


def reached_temperature(formulation: Formulation, catalogue: Catalogue, altitude_m: float = 0.0) -> Range | None:
    """Return the temperature [°C] that egg reaches under hot syrup, or none where no syrup meets egg.

    The syrup is as hot as its sugar share boils at that altitude. Low and high let each uncertain number go to its
    ends one at a time and add the changes as independent ones (root of the sum of squares).
    """
    likely, swings = _pour_of(formulation, catalogue, altitude_m)
    if likely is None:
        return None
    middle = mix_temperature(likely)
    down, up = [], []
    for field, ends in swings.items():
        moved = [mix_temperature(replace(likely, **{field: end})) - middle for end in ends]
        down.append(min(0.0, *moved))
        up.append(max(0.0, *moved))
    return Range(middle, middle - math.hypot(*down), middle + math.hypot(*up))


def _pour_of(
    formulation: Formulation, catalogue: Catalogue, altitude_m: float
) -> tuple[Pour | None, dict[str, tuple[float, float]]]:
    syrup = [line for line in formulation.lines if line.stage == "syrup"]
    egg = [line for line in formulation.lines if line.ingredient.egg_part != "none"]
    if not syrup or not egg:
        return None, {}
    facts = _facts_of(egg[0].ingredient.egg_part, catalogue)
    share = sugar_share_of(formulation)
    pour = Pour(
        syrup_g=sum(line.grams for line in syrup),
        sugar_share=share,
        syrup_c=boiling_point(share, altitude_m),
        egg_g=sum(line.grams for line in egg),
        **{field: fact.value for field, fact in facts.items()},
    )
    return pour, {field: (fact.low, fact.high) for field, fact in facts.items()}


def _facts_of(egg_part: str, catalogue: Catalogue) -> dict[str, Fact]:
    return {
        "egg_heat": catalogue.fact(f"egg:{egg_part}", "specific_heat"),
        "egg_c": catalogue.fact("pour", "egg_c"),
        "left_share": catalogue.fact("pour", "left_share"),
        "stream_k": catalogue.fact("pour", "stream_k"),
        "bowl_j_k": catalogue.fact("pour", "bowl_capacity"),
        "bowl_c": catalogue.fact("pour", "bowl_c"),
        "steam_share": catalogue.fact("pour", "steam_share"),
    }


def decimal_time(resistance: HeatResistance, temperature_c: float) -> Range:
    """Return the time [min] that kills nine in ten at a temperature [°C], with the ends of D and z.

    Equation: D(T) = D_ref 10^((T_ref - T) / z). Measured near ``resistance.temperature_c``; beyond a few degrees it
    is an extrapolation.
    """
    gap = resistance.temperature_c - temperature_c

    def at(d_min: float, z_k: float) -> float:
        return float(d_min * 10 ** (gap / z_k))

    ends = [at(d, z) for d, z in product((resistance.low, resistance.high), (resistance.z_low, resistance.z_high))]
    return Range(at(resistance.d_min, resistance.z_k), min(ends), max(ends))


def is_extrapolated(resistance: HeatResistance, temperature_c: float) -> bool:
    """Whether a temperature [°C] lies further than 3 K from where D was measured."""
    return abs(temperature_c - resistance.temperature_c) > 3.0


@dataclass(frozen=True, slots=True)
class SlowestKill:
    """The longest time [min] that any study gives for killing nine in ten at a temperature, sugar counted."""

    decimal_min: Range
    study: HeatResistance
    sugar_factor: float

    def log_reduction(self, held_min: float) -> Range:
        """Return by how many powers of ten the bacteria fall while it is held for so long [min]."""
        d = self.decimal_min
        return Range(held_min / d.likely, held_min / d.high, held_min / d.low)


def slowest_kill(formulation: Formulation, known: Iterable[HeatResistance], temperature_c: float) -> SlowestKill | None:
    """Return the slowest kill of Salmonella in the egg part of a formula that any study gives; none without egg.

    Studies disagree several times over, with pH and strain; the slowest at each temperature is told. Figures without
    sugar are made longer by what 10 % sucrose did in the study that measured both, as the mix has far more.
    """
    parts = {line.ingredient.egg_part for line in formulation.lines} - {"none"}
    fitting = [row for row in known if row.egg_part in parts and row.organism == "salmonella"]
    factor = _sugar_factor(fitting)
    kills = [_kill(row, temperature_c, 1.0 if row.sugar_pct else factor) for row in fitting]
    return max(kills, key=lambda kill: kill.decimal_min.likely, default=None)


def _kill(row: HeatResistance, temperature_c: float, factor: float) -> SlowestKill:
    d = decimal_time(row, temperature_c)
    return SlowestKill(Range(factor * d.likely, factor * d.low, factor * d.high), row, factor)


def _sugar_factor(rows: Sequence[HeatResistance]) -> float:
    """How many times as long the bacteria last with sugar, in the studies that measured both at one temperature."""
    ratios = [
        sweet.d_min / plain.d_min
        for sweet, plain in product(rows, rows)
        if sweet.sugar_pct and not plain.sugar_pct and _is_same_trial(sweet, plain)
    ]
    return max(ratios, default=1.0)


def _is_same_trial(one: HeatResistance, other: HeatResistance) -> bool:
    return (one.source, one.temperature_c) == (other.source, other.temperature_c)
