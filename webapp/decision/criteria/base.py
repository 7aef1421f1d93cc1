"""What every criterion is: the numbers it reads, the number it measures, the sentence it says."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from webapp.catalogue.model import CriterionSpec, Fact, Role
from webapp.decision.grid import Array, FactKey, Grid, Read
from webapp.decision.model import Assessment, Candidate, Situation
from webapp.units import Measures


@dataclass(frozen=True, slots=True)
class Names:
    """What the coat and the filling of a pairing are called in a sentence.

    Without tiers they are the swirl and the middle of cupcakes.
    """

    coat: str
    filling: str
    has_tiers: bool = True


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What one reading does to a criterion as it goes from its low to its high.

    ``half_change`` is half the change of the value, signed; ``to_low`` and ``to_high`` are the changes of the measured
    number.
    """

    read: Read
    half_change: Array
    to_low: Array
    to_high: Array


@dataclass(frozen=True, slots=True)
class Evaluation:
    """One criterion over all alternatives at once; ``at`` takes out what it says of one of them.

    ``measured`` and ``value`` have the shape (coats, 1), (1, fillings) or (coats, fillings), by the role
    judged.
    """

    criterion: Criterion
    grid: Grid
    measured: Array
    value: Array
    reads: tuple[Read, ...]
    sensitivities: tuple[Sensitivity, ...]

    def value_at(self, row: int, column: int) -> float:
        """Return the value (0..1) of one pairing."""
        return _entry(self.value, row, column)

    def at(self, row: int, column: int) -> Assessment:
        """Return the assessment of the pairing of one coat (row) and one filling (column)."""
        facts = {self.grid.fact(read, row, column): None for read in self.reads}
        spread: dict[FactKey, float] = {}
        for sensitivity in self.sensitivities:
            fact = self.grid.fact(sensitivity.read, row, column)
            key = (fact.subject, fact.name)
            spread[key] = spread.get(key, 0.0) + _entry(sensitivity.half_change, row, column)
        measured = _entry(self.measured, row, column)
        below, above = self._doubt(row, column)
        return Assessment(
            self.criterion.id,
            _entry(self.value, row, column),
            measured,
            measured - below,
            measured + above,
            self.criterion.unit,
            tuple(facts),
            spread,
        )

    def _doubt(self, row: int, column: int) -> tuple[float, float]:
        """Return how far the measured number of one pairing may lie below and above."""
        moved: dict[FactKey, tuple[float, float]] = {}
        for sensitivity in self.sensitivities:
            fact = self.grid.fact(sensitivity.read, row, column)
            low, high = moved.get((fact.subject, fact.name), (0.0, 0.0))
            to_low, to_high = (_entry(each, row, column) for each in (sensitivity.to_low, sensitivity.to_high))
            moved[fact.subject, fact.name] = (low + to_low, high + to_high)
        below = math.hypot(*(min(0.0, *ends) for ends in moved.values()))
        return below, math.hypot(*(max(0.0, *ends) for ends in moved.values()))


class Criterion(ABC):
    """One thing by which alternatives differ, as one measured number and a sentence about it.

    ``measure`` works number by number, so that readings may have more axes in front: see :meth:`Grid.swept`.
    """

    id: ClassVar[str]
    role: ClassVar[Role]
    unit: ClassVar[str]

    @abstractmethod
    def reads(self, situation: Situation) -> tuple[Read, ...]:
        """Return every number that ``measure`` reads in this situation."""

    @abstractmethod
    def measure(self, grid: Grid) -> Array:
        """Return the measured number of all alternatives, in ``unit``."""

    @abstractmethod
    def say(self, assessment: Assessment, names: Names, measures: Measures) -> str:
        """Return one sentence for a decorator about one assessed alternative."""

    def is_gain(self, assessment: Assessment) -> bool:
        """Whether the sentence can speak for an alternative of a high value; one that asks for a remedy cannot."""
        return True

    def evaluate(self, spec: CriterionSpec, grid: Grid) -> Evaluation:
        """Judge all alternatives, with what the range of each reading does to the value."""
        measured = self.measure(grid)
        reads = self.reads(grid.situation)
        value = value_of(spec, measured)
        return Evaluation(self, grid, measured, value, reads, self._sensitivities(spec, grid, reads, measured))

    def assess(self, spec: CriterionSpec, situation: Situation, coat: Candidate, filling: Candidate) -> Assessment:
        """Judge one pairing; a criterion of the coat ignores the filling, and the other way round."""
        return self.evaluate(spec, Grid((coat,), (filling,), situation)).at(0, 0)

    def _sensitivities(
        self, spec: CriterionSpec, grid: Grid, reads: tuple[Read, ...], measured: Array
    ) -> tuple[Sensitivity, ...]:
        """Measure once for all readings, each in turn at both ends of its range."""
        uncertain = tuple(read for read in reads if not grid.is_certain(read))
        if not uncertain:
            return ()
        ends = self.measure(grid.swept(uncertain)).reshape(2, len(uncertain), *measured.shape)
        low, high = value_of(spec, ends)
        half_change, (to_low, to_high) = (high - low) / 2, ends - measured
        return tuple(map(Sensitivity, uncertain, half_change, to_low, to_high))


def value_of(spec: CriterionSpec, measured: Array) -> Array:
    """Return the value (0..1) of a measured number: linear between the points, level beyond them."""
    x, y = zip(*spec.points, strict=True)
    return np.asarray(np.interp(measured, x, y), dtype=np.float64)


def value_between(spec: CriterionSpec, low: float, high: float) -> tuple[float, float]:
    """Return the least and the most value (0..1) of measured numbers from ``low`` to ``high``."""
    turns = [x for x, _ in spec.points if low < x < high]
    values = value_of(spec, np.array([low, *turns, high]))
    return float(values.min()), float(values.max())


def fact_named(assessment: Assessment, name: str, subject: str | None = None) -> Fact:
    """Return the fact of this name that an assessment read.

    Raises
    ------
    KeyError
        If it read none.
    """
    for fact in assessment.facts:
        if fact.name == name and subject in (None, fact.subject):
            return fact
    raise KeyError(name)


def _entry(table: Array, row: int, column: int) -> float:
    rows, columns = table.shape
    return float(table[row if rows > 1 else 0, column if columns > 1 else 0])
