"""The decision as one record, made while computing; its wording is rendered elsewhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from webapp.catalogue.model import CriterionSpec, Rule
from webapp.decision.criteria import needs_dam
from webapp.decision.grid import Grid
from webapp.decision.limits import EmptyExplanation, Screening, explain_empty, screen
from webapp.decision.model import Assessment, Candidate, Situation
from webapp.decision.ranking import (
    RankedFormulation,
    RankedPairing,
    best_by_taste,
    rank,
    rank_coats,
    rank_fillings,
)
from webapp.decision.robustness import confidence
from webapp.decision.scoring import Matrix, build_matrix


@dataclass(frozen=True, slots=True)
class Choice:
    """What was decided when something fits: the matrix, the ranking, the taste winner, the confidence."""

    matrix: Matrix
    pairings: tuple[RankedPairing, ...]
    coats: tuple[RankedFormulation, ...]
    fillings: tuple[RankedFormulation, ...]
    taste: RankedPairing
    confidence: float
    confidence_of_coat: float

    @property
    def advised(self) -> RankedPairing:
        """The pairing that comes first."""
        return self.pairings[0]

    @property
    def weights(self) -> Mapping[str, float]:
        """The weight of each criterion; all add up to 1."""
        return self.matrix.weights

    def assessment(self, criterion: str, pairing: RankedPairing) -> Assessment:
        """Return what one criterion says of a pairing, with the facts read."""
        return self.matrix.assessment(criterion, pairing.row, pairing.column)

    def assessments(self, pairing: RankedPairing) -> dict[str, Assessment]:
        """Return what every criterion says of a pairing."""
        return {id_: self.assessment(id_, pairing) for id_ in self.matrix.evaluations}

    def values(self, pairing: RankedPairing) -> dict[str, float]:
        """Return the value (0..1) of a pairing under every criterion."""
        return {id_: found.value_at(pairing.row, pairing.column) for id_, found in self.matrix.evaluations.items()}

    def needs_dam(self, pairing: RankedPairing) -> bool:
        """Whether the filling is softer than its load needs, so that a ring of a firmer coat has to hold it."""
        firmness = [candidate.facts["firmness"].value for candidate in (pairing.coat, pairing.filling)]
        return firmness[0] > firmness[1] and needs_dam(pairing.filling, self.matrix.grid.situation)


@dataclass(frozen=True, slots=True)
class Decision:
    """Everything considered for one brief; either ``choice`` or ``empty`` is there."""

    situation: Situation
    screening: Screening
    choice: Choice | None
    empty: EmptyExplanation | None


def decide(
    candidates: Sequence[Candidate],
    situation: Situation,
    criteria: Mapping[str, CriterionSpec],
    rules: Mapping[str, Rule],
    seed: int,
) -> Decision:
    """Screen the candidates, judge and rank every pairing that is left, and say how sure that is.

    The same arguments always give the same decision; ``seed`` draws the properties for the confidence.
    """
    screening = screen(candidates, situation, rules)
    if screening.is_empty:
        return Decision(situation, screening, None, explain_empty(candidates, situation, rules))
    grid = Grid(screening.coats, screening.fillings, situation)
    return Decision(situation, screening, _choose(build_matrix(grid, criteria), seed), None)


def _choose(matrix: Matrix, seed: int) -> Choice:
    pairings = rank(matrix)
    return Choice(
        matrix,
        pairings,
        rank_coats(matrix, pairings),
        rank_fillings(matrix, pairings),
        best_by_taste(matrix, pairings[0]),
        *confidence(matrix, pairings, seed),
    )
