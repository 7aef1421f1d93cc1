"""The decision matrix over all pairings: each criterion's value, the weights, the additive score."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from webapp.catalogue.model import CriterionSpec
from webapp.decision.criteria import CRITERIA, Evaluation
from webapp.decision.grid import Array, FactKey, Grid, Read
from webapp.decision.model import Assessment

HEAT_CRITERIA = frozenset({"heat", "hold_time"})


@dataclass(frozen=True, slots=True)
class Spreads:
    """What the range of each fact does to each pairing's score.

    ``change`` has one row a pairing (coats first, as in a flattened score) and one column a fact: half the
    change of the weighted score, signed, as the fact goes from its low to its high.
    """

    keys: tuple[FactKey, ...]
    change: Array

    def half_widths(self, anchor: int) -> Array:
        """Return for each pairing how far its distance to one of them may be off; shared facts cancel."""
        return np.asarray(np.sqrt(np.sum((self.change - self.change[anchor]) ** 2, axis=1)))


@dataclass(frozen=True, slots=True)
class _Change:
    """Half the change of one criterion's value by one reading, before any weights.

    ``half`` and ``at``, where that stands in the flattened table of pairings and facts, have one entry a pairing.
    """

    criterion: str
    at: NDArray[np.intp]
    half: Array


@dataclass(frozen=True, slots=True)
class _Changes:
    """The changes by every reading; few of the facts move any one pairing, so nothing is kept of the others."""

    keys: tuple[FactKey, ...]
    by_reading: tuple[_Change, ...]


@dataclass(frozen=True, slots=True)
class Matrix:
    """All criteria over all pairings of the coats and fillings of a grid, weighted."""

    grid: Grid
    weights: Mapping[str, float]
    evaluations: Mapping[str, Evaluation]
    _changes: list[_Changes] = field(default_factory=list, repr=False, compare=False)
    _spreads: list[Spreads] = field(default_factory=list, repr=False, compare=False)

    @property
    def shape(self) -> tuple[int, int]:
        """Number of coats and of fillings."""
        return len(self.grid.coats), len(self.grid.fillings)

    def score(self) -> Array:
        """Return the weighted sum of the values (0..1), shape (coats, fillings)."""
        total = np.zeros(self.shape)
        for id_, evaluation in self.evaluations.items():
            total += self.weights[id_] * evaluation.value
        return total

    def values(self) -> Array:
        """Return the decision matrix: one row a pairing, one column a criterion."""
        columns = [np.broadcast_to(e.value, self.shape).ravel() for e in self.evaluations.values()]
        return np.column_stack(columns)

    def doubts(self) -> list[float]:
        """Return half the width of the range of each pairing's score, coats first, as in a flattened score."""
        return [float(doubt) for doubt in np.linalg.norm(self.spreads().change, axis=1)]

    def spreads(self) -> Spreads:
        """Return what each fact's range does to each pairing's score; worked out once."""
        if not self._spreads:
            self._spreads.append(self._spread_all())
        return self._spreads[0]

    def _spread_all(self) -> Spreads:
        if not self._changes:
            self._changes.append(self._change_all())
        changes = self._changes[0]
        pairings = self.shape[0] * self.shape[1]
        change = np.zeros(pairings * len(changes.keys))
        for each in changes.by_reading:
            if self.weights[each.criterion]:
                change[each.at] += self.weights[each.criterion] * each.half
        return Spreads(changes.keys, change.reshape(pairings, len(changes.keys)))

    def _change_all(self) -> _Changes:
        keys: dict[FactKey, int] = {}
        found = [
            (id_, self._columns(sensitivity.read, keys), sensitivity.half_change)
            for id_, evaluation in self.evaluations.items()
            for sensitivity in evaluation.sensitivities
        ]
        rows = np.arange(self.shape[0] * self.shape[1]).reshape(self.shape) * len(keys)
        changes = (
            _Change(id_, (rows + columns).ravel(), np.broadcast_to(half_change, self.shape).ravel())
            for id_, columns, half_change in found
        )
        return _Changes(tuple(keys), tuple(changes))

    def reweighted(self, without: frozenset[str]) -> Matrix:
        """Return the same matrix with some criteria left out of the score."""
        rest = {id_: 0.0 if id_ in without else weight for id_, weight in self.weights.items()}
        kept = [id_ for id_ in rest if id_ not in without]
        return Matrix(self.grid, _normalised(rest, kept), self.evaluations, self._changes)

    def assessment(self, criterion: str, row: int, column: int) -> Assessment:
        """Return what one criterion says of one pairing."""
        return self.evaluations[criterion].at(row, column)

    def _columns(self, read: Read, keys: dict[FactKey, int]) -> NDArray[np.intp]:
        facts = self.grid.facts(read)
        numbers = np.array([keys.setdefault((fact.subject, fact.name), len(keys)) for fact in facts])
        return numbers.reshape((1, -1) if read.of == "filling" else (-1, 1))


def build_matrix(grid: Grid, criteria: Mapping[str, CriterionSpec]) -> Matrix:
    """Judge every pairing of a grid by every criterion, with the weights of its situation.

    Raises
    ------
    KeyError
        If the parameters of a criterion are missing.
    """
    evaluations = {id_: criterion.evaluate(criteria[id_], grid) for id_, criterion in CRITERIA.items()}
    return Matrix(grid, normalised_weights(criteria, grid.situation.importance), evaluations)


def normalised_weights(
    criteria: Mapping[str, CriterionSpec], importance: Mapping[str, float]
) -> dict[str, float]:
    """Return weights that add up to 1: the client's where given, else the defaults; all 0 means all equal."""
    given = {id_: float(importance.get(id_, criteria[id_].weight)) for id_ in CRITERIA}
    return _normalised(given, list(given))


def _normalised(weights: Mapping[str, float], kept: list[str]) -> dict[str, float]:
    total = sum(weights.values())
    if total > 0:
        return {id_: weight / total for id_, weight in weights.items()}
    return {id_: 1 / len(kept) if id_ in kept else 0.0 for id_ in weights}
