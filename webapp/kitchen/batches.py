"""Formulas scaled to whole eggs and amounts that can be weighed, and split by what the mixer's bowl takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from webapp.catalogue.model import FormulaLine, Formulation, Ingredient

EggPart = Literal["white", "yolk"]
WATER, SYRUP = "water", "syrup"
MAIN_STEP_G = 50.0  # without egg, the heaviest ingredient is weighed in steps of this


@dataclass(frozen=True, slots=True)
class WeighedLine:
    """One ingredient of a batch [g]: what is weighed in, and what of it stays once the syrup is boiled."""

    ingredient: Ingredient
    stage: str
    grams: float
    stays_g: float

    @property
    def boiled_off_g(self) -> float:
        """What leaves as steam [g]."""
        return self.grams - self.stays_g

    def times(self, factor: int) -> WeighedLine:
        """The same line of so many units."""
        return WeighedLine(self.ingredient, self.stage, factor * self.grams, factor * self.stays_g)


@dataclass(frozen=True, slots=True)
class Unit:
    """The smallest step in which a formula is made: with one egg's white or yolk, or 50 g of its main ingredient."""

    lines: tuple[WeighedLine, ...]
    egg_part: EggPart | None

    @property
    def makes_g(self) -> float:
        """What a unit gives [g]."""
        return math.fsum(line.stays_g for line in self.lines)


@dataclass(frozen=True, slots=True)
class Batch:
    """What goes into the bowl at once, so many ``times`` alike."""

    units: int
    times: int
    lines: tuple[WeighedLine, ...]

    @property
    def makes_g(self) -> float:
        """What one of them gives [g]."""
        return math.fsum(line.stays_g for line in self.lines)

    @property
    def weighed_g(self) -> float:
        """What is weighed in for one of them [g]."""
        return math.fsum(line.grams for line in self.lines)


@dataclass(frozen=True, slots=True)
class Preparation:
    """All batches of one formulation."""

    formulation: Formulation
    unit: Unit
    batches: tuple[Batch, ...]

    @property
    def units(self) -> int:
        """Units of all batches: whole eggs where it is made with shell eggs."""
        return sum(batch.units * batch.times for batch in self.batches)

    @property
    def makes_g(self) -> float:
        """What all batches give [g]."""
        return math.fsum(batch.makes_g * batch.times for batch in self.batches)

    @property
    def boiled_off_g(self) -> float:
        """Water that leaves the syrups [g]."""
        return math.fsum(line.boiled_off_g * batch.times for batch in self.batches for line in batch.lines)

    def shell_g(self, part: EggPart) -> float:
        """White or yolk of shell eggs [g]."""
        lines = [line for line in self.unit.lines if _is_shell(self.formulation, line.ingredient, part)]
        return self.units * math.fsum(line.grams for line in lines)

    def eggs(self, part: EggPart, egg_g: float) -> int:
        """Whites or yolks of shell eggs, each of so many grams, rounded up to whole ones."""
        return self.units if self.unit.egg_part == part else math.ceil(self.shell_g(part) / egg_g - 1e-9)


def shell_part(formulation: Formulation) -> EggPart | None:
    """Return the part of shell eggs that a formula is scaled by; pasteurised egg is weighed from a carton.

    A formula with both parts goes by its whites; its yolks are weighed.
    """
    parts: tuple[EggPart, ...] = ("white", "yolk")
    lines = [line.ingredient for line in formulation.lines]
    return next((part for part in parts if any(_is_shell(formulation, each, part) for each in lines)), None)


def _is_shell(formulation: Formulation, ingredient: Ingredient, part: EggPart) -> bool:
    """Whether it comes in eggs and not by the ounce from a carton or a tin."""
    is_from_shell = formulation.egg_treatment != "pasteurised" and ingredient.household_measure.endswith("large")
    return is_from_shell and ingredient.egg_part == part


def unit_of(formulation: Formulation, egg_g: Callable[[EggPart], float], start_water: float) -> Unit:
    """Return a formula's unit in amounts that can be weighed.

    Parameters
    ----------
    egg_g
        What one egg gives of its white or its yolk [g].
    start_water
        Water over sugar at the start of a syrup [g/g]; the formula's own water is what stays in it.
    """
    part = shell_part(formulation)
    share = _share_of_unit(formulation, part, egg_g)
    sugar_g = _total(formulation, is_syrup_sugar)
    water_g = _total(formulation, is_syrup_water)
    left = water_g / sugar_g if sugar_g else 0.0
    unit_sugar = math.fsum(_step(line.grams * share) for line in formulation.lines if is_syrup_sugar(line))
    water = max(_step(unit_sugar * start_water), unit_sugar * left)
    syrup_water = water, unit_sugar * left
    lines = (_unit_line(line, share, part, egg_g, syrup_water) for line in formulation.lines)
    return Unit(tuple(lines), part)


def _share_of_unit(formulation: Formulation, part: EggPart | None, egg_g: Callable[[EggPart], float]) -> float:
    """Return which share of the formula a unit is."""
    if part is None:
        return MAIN_STEP_G / max(line.grams for line in formulation.lines)
    return egg_g(part) / _total(formulation, lambda line: line.ingredient.egg_part == part)


def _total(formulation: Formulation, wanted: Callable[[FormulaLine], bool]) -> float:
    return math.fsum(line.grams for line in formulation.lines if wanted(line))


def is_syrup_water(line: FormulaLine | WeighedLine) -> bool:
    """Whether it is the water that a syrup is boiled with."""
    return line.stage == SYRUP and line.ingredient.id == WATER


def is_syrup_sugar(line: FormulaLine | WeighedLine) -> bool:
    """Whether it is what a syrup is boiled of."""
    return line.stage == SYRUP and line.ingredient.id != WATER


def _unit_line(
    line: FormulaLine,
    share: float,
    part: EggPart | None,
    egg_g: Callable[[EggPart], float],
    syrup_water: tuple[float, float],
) -> WeighedLine:
    if is_syrup_water(line):
        return WeighedLine(line.ingredient, line.stage, *syrup_water)
    grams = egg_g(part) if part and line.ingredient.egg_part == part else _step(line.grams * share)
    return WeighedLine(line.ingredient, line.stage, grams, grams)


def _step(grams: float) -> float:
    """Round what a unit takes to a step that adds up to weights one can read off: 1 g, or less of a pinch."""
    step = next((step for least, step in ((20, 1.0), (5, 0.5), (0.5, 0.25)) if grams >= least), 0.05)
    return step * max(1, round(grams / step))


def prepare(formulation: Formulation, unit: Unit, needed_g: float, most_g: float) -> Preparation:
    """Return the batches that give at least so much [g], none larger than the bowl takes [g].

    The fewest units that are enough, then the fewest batches; batches differ by one unit at most. A unit is the
    least that can be made, even where it is more than the bowl takes.
    """
    units = math.ceil(Fraction(needed_g) / Fraction(unit.makes_g)) if needed_g > 0 else 0
    most = max(1, math.floor(most_g / unit.makes_g))
    count = math.ceil(units / most)
    if not count:
        return Preparation(formulation, unit, ())
    small, larger = divmod(units, count)
    batches = ((small + 1, larger), (small, count - larger))
    return Preparation(formulation, unit, tuple(_batch(unit, size, times) for size, times in batches if times))


def _batch(unit: Unit, units: int, times: int) -> Batch:
    return Batch(units, times, tuple(line.times(units) for line in unit.lines))


def weighed_in(preparations: Iterable[Preparation]) -> dict[str, tuple[Ingredient, float]]:
    """Return what all batches of all preparations take of each ingredient [g], in the order in which they are met."""
    taken: dict[str, tuple[Ingredient, float]] = {}
    for preparation in preparations:
        for batch in preparation.batches:
            for line in batch.lines:
                _, before = taken.get(line.ingredient.id, (line.ingredient, 0.0))
                taken[line.ingredient.id] = line.ingredient, before + batch.times * line.grams
    return taken


def bowl_takes_g(bowl_l: float, fill_share: float, density_g_ml: float) -> float:
    """Return how much beaten buttercream [g] a bowl of so many litres takes; pass the lowest density it may have."""
    return 1000 * bowl_l * fill_share * density_g_ml
