"""Water activity of sugar solutions and of whole formulas: Norrish for each solute, Ross for their mixture.

Only what is dissolved in water counts; fat has no part in it. A formula with more sucrose than its water takes up
has a saturated water phase, and the rest of its sugar stays as crystals.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from webapp.catalogue.model import Catalogue, Fact, Formulation, Ingredient

WATER_G_MOL = 18.01528
SUCROSE, SALT = "sucrose", "salt"
SUCROSE_G_MOL = 342.2965
_GAS_CONSTANT = 8.314462618
# Starzak & Peacock (1997), Zuckerindustrie 122:380: ln gamma = Q/(R T) x^2 (1 + a x + b x^2), x of sucrose.
_SP_Q, _SP_A, _SP_B = -17638.0, -1.0038, -0.24653
ROOM_C = 25.0


@dataclass(frozen=True, slots=True)
class Range:
    """A number with what it may be instead; ``low`` and ``high`` are ends, not bounds of an error."""

    likely: float
    low: float
    high: float

    @classmethod
    def of(cls, fact: Fact) -> Range:
        """Return the range of a fact."""
        return cls(fact.value, fact.low, fact.high)


@dataclass(frozen=True, slots=True)
class Solute:
    """What lowers the activity of water: molar mass [g/mol], Norrish's K, particles that one formula unit gives."""

    name: str
    molar_mass: float
    norrish_k: float
    particles: float = 1.0


@dataclass(frozen=True, slots=True)
class WaterPhase:
    """What is in the water of a formula [g]: the water, and what is dissolved or could be, by solute."""

    water_g: float
    solutes_g: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class WaterEstimate:
    """The water of one formula.

    Attributes
    ----------
    activity
        Water activity [0..1].
    dissolved_share
        Sugar over sugar and water in the water phase [0..1]: what a refractometer would show as Brix / 100.
    sugar_share
        All sugar, dissolved or not, over the whole mass [0..1].
    crystals_share
        Of the sucrose the part that the water cannot take up [0..1].
    """

    activity: Range
    dissolved_share: Range
    sugar_share: float
    crystals_share: float

    @property
    def is_saturated(self) -> bool:
        """Whether some sugar stays as crystals."""
        return self.crystals_share > 0


def norrish(solute_g: float, water_g: float, solute: Solute) -> float:
    """Return the water activity of one solute in water, both in g.

    Equation: aw = Xw exp(-K Xs^2) with mole fractions X. Good to 0.01 for sugars down to about aw 0.8; for more
    concentrated sucrose it falls below what is measured (0.013 at 80 %).

    References
    ----------
    Norrish (1966), J. Food Technol. 1:25-39; K as collected by Chirife and co-workers.
    """
    if solute_g <= 0:
        return 1.0
    water = water_g / WATER_G_MOL
    dissolved = solute_g / solute.molar_mass * solute.particles
    share = dissolved / (water + dissolved)
    return (1 - share) * math.exp(-solute.norrish_k * share**2)


def ross(activities: Iterable[float]) -> float:
    """Return the water activity of a mixture from that of each solute in all the water.

    References
    ----------
    Ross (1975), Food Technol. 29(3):26-34; errors grow where solutes are many and aw is below 0.8.
    """
    return math.prod(activities)


def starzak_peacock(sucrose_share: float, temperature_c: float = ROOM_C) -> float:
    """Return the water activity of a sucrose solution [0..1] at a mass share (0..0.98) and temperature [°C].

    References
    ----------
    Starzak & Peacock (1997), Zuckerindustrie 122:380-387; 0 to 150 °C.
    """
    water, sucrose = (1 - sucrose_share) / WATER_G_MOL, sucrose_share / SUCROSE_G_MOL
    x = sucrose / (water + sucrose)
    exponent = _SP_Q / (_GAS_CONSTANT * (temperature_c + 273.15)) * x**2 * (1 + _SP_A * x + _SP_B * x**2)
    return (1 - x) * math.exp(exponent)


def water_phase(
    formulation: Formulation, catalogue: Catalogue, *, fat_water: bool = True, kept: float = 1.0
) -> WaterPhase:
    """Return the water of a formula and what it holds.

    ``fat_water`` is false to leave out the droplets inside butter or plant block; ``kept`` is the share of the other
    water that is still there after whipping and heating.
    """
    water, solutes = 0.0, dict[str, float]()
    for line in formulation.lines:
        if _is_fat(line.ingredient) and not fat_water:
            continue
        water += line.grams * line.ingredient.water / 100 * (1.0 if _is_fat(line.ingredient) else kept)
        for name, per_100_g in _solutes_of(line.ingredient, catalogue).items():
            solutes[name] = solutes.get(name, 0.0) + line.grams * per_100_g / 100
    return WaterPhase(water, solutes)


def _is_fat(ingredient: Ingredient) -> bool:
    return ingredient.fat_kind is not None and ingredient.fat > 50  # butter and blocks, not milk or cream


def _solutes_of(ingredient: Ingredient, catalogue: Catalogue) -> dict[str, float]:
    """Return what dissolves [g/100 g]: as the data name it; sugar that they do not name is sucrose."""
    named = {name: row.grams for (owner, name), row in catalogue.solutes.items() if owner == ingredient.id}
    if named.keys() - {SALT} or ingredient.sugar <= 0:
        return named
    return {**named, SUCROSE: ingredient.sugar}


def solutes_of(catalogue: Catalogue) -> dict[str, Solute]:
    """Return the constants of every solute that the data know."""
    names = [subject.partition(":")[2] for subject, name in catalogue.facts if name == "norrish_k"]
    return {name: _solute(name, catalogue) for name in names}


def _solute(name: str, catalogue: Catalogue) -> Solute:
    def value(of: str) -> float:
        return catalogue.fact(f"solute:{name}", of).value

    return Solute(name, value("molar_mass"), value("norrish_k"), value("particles"))


def activity_of(phase: WaterPhase, solutes: Mapping[str, Solute], most_sucrose: float) -> float:
    """Return the water activity of a water phase; sucrose beyond its solubility (share 0..1) stays crystals."""
    if phase.water_g <= 0:
        return activity_of(WaterPhase(1.0, {SUCROSE: 1e9}), solutes, most_sucrose)
    dissolved = {**phase.solutes_g}
    dissolved[SUCROSE] = min(dissolved.get(SUCROSE, 0.0), phase.water_g * most_sucrose / (1 - most_sucrose))
    return ross(norrish(grams, phase.water_g, solutes[name]) for name, grams in dissolved.items())


def estimate_water(formulation: Formulation, catalogue: Catalogue) -> WaterEstimate:
    """Return the water activity of a formula with its range, and the sugar shares that rules ask for.

    Likely: Norrish and Ross over all the water, sucrose up to its solubility at 25 °C. High: what is measured of
    saturated sucrose, or the higher of Norrish and Starzak-Peacock for the sucrose alone. Low: the water inside
    butter or block stays in its droplets and takes no part, and the most water is lost in the making; that is what may
    set a laboratory's 0.85 for a Swiss buttercream apart from the 0.93 of its mass balance.
    """
    solutes, most = solutes_of(catalogue), catalogue.fact("solute:sucrose-solution", "solubility").value / 100
    whole = water_phase(formulation, catalogue)
    dry = water_phase(formulation, catalogue, fat_water=False, kept=1 - catalogue.fact("making", "water_lost").high)
    likely = activity_of(whole, solutes, most)
    saturated = catalogue.fact("solute:sucrose-solution", "saturated_activity")
    low = min(likely, max(activity_of(dry, solutes, most), 0.0))
    if _is_over(dry, most):
        low = min(low, likely - saturated.value + saturated.low if _is_over(whole, most) else saturated.low)
    return WaterEstimate(
        activity=Range(likely, low, max(likely, _upper_activity(whole, solutes, most, saturated.high))),
        dissolved_share=_dissolved(whole, dry, most),
        sugar_share=_sugar_share(formulation),
        crystals_share=_crystals(whole, most),
    )


def _is_over(phase: WaterPhase, most: float) -> bool:
    return phase.solutes_g.get(SUCROSE, 0.0) * (1 - most) > phase.water_g * most


def _upper_activity(phase: WaterPhase, solutes: Mapping[str, Solute], most: float, saturated: float) -> float:
    """Return the activity that sucrose alone gives, by the higher of two models; the other solutes only lower it."""
    if _is_over(phase, most):
        return saturated
    sucrose = phase.solutes_g.get(SUCROSE, 0.0)
    share = sucrose / (sucrose + phase.water_g) if phase.water_g > 0 else most
    return max(norrish(sucrose, phase.water_g, solutes[SUCROSE]), starzak_peacock(share))


def _dissolved(whole: WaterPhase, dry: WaterPhase, most: float) -> Range:
    ends = [_dissolved_share(phase, most) for phase in (whole, dry)]
    return Range(ends[0], min(ends), max(ends))


def _dissolved_share(phase: WaterPhase, most: float) -> float:
    sucrose = min(phase.solutes_g.get(SUCROSE, 0.0), phase.water_g * most / (1 - most))
    sugar = sucrose + sum(grams for name, grams in phase.solutes_g.items() if name not in (SUCROSE, SALT))
    total = sugar + phase.water_g
    return sugar / total if total > 0 else most


def _crystals(phase: WaterPhase, most: float) -> float:
    sucrose = phase.solutes_g.get(SUCROSE, 0.0)
    dissolved = phase.water_g * most / (1 - most)
    return max(0.0, 1 - dissolved / sucrose) if sucrose > 0 else 0.0


def _sugar_share(formulation: Formulation) -> float:
    total = sum(line.grams for line in formulation.lines)
    return sum(line.grams * line.ingredient.sugar for line in formulation.lines) / 100 / total
