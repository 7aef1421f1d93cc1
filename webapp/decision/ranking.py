"""Precedence and ties: the class of the coat's hold first, then the score; what cannot be told apart ties."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from webapp.decision.grid import Array, candidate_fact
from webapp.decision.model import Candidate, HoldClass, HoldFacts
from webapp.decision.scoring import HEAT_CRITERIA, Matrix

CLASSES: tuple[HoldClass, ...] = ("holds", "marginal", "fails")
# Scores nearer than this differ by rounding alone.
SAME = 1e-9
# Two pairings are told apart once their ranges leave three-in-four odds that the better-scored one is better: a
# difference of 0.674 standard deviations, of which half a range (5th to 95th percentile) holds 1.645.
TIE_SHARE = 0.674 / 1.645
# Fillings that creep are set apart by how far they are past it, in steps of this many degrees.
CREEP_STEP_K = 3.0
# Failing coats that last about as long as each other, to five minutes, are ranked by their score.
LASTING_STEPS_PER_H = 12


class RankedPairing(NamedTuple):  # there are hundreds, and a tuple is made several times as fast
    """A pairing in its place; ``row`` and ``column`` find its coat and filling in the matrix.

    ``score`` may be off by ``doubt`` either way.
    """

    coat: Candidate
    filling: Candidate
    row: int
    column: int
    score: float
    doubt: float
    hold_class: HoldClass
    minutes: float
    is_tied_with_first: bool


@dataclass(frozen=True, slots=True)
class RankedFormulation:
    """A formulation in one role, scored beside the advised other half, by all criteria it has a part in.

    ``score`` may be off by ``doubt`` either way.
    """

    candidate: Candidate
    role: Literal["coat", "filling"]
    score: float
    doubt: float
    values: dict[str, float]
    hold_class: HoldClass | None


@dataclass(frozen=True, slots=True)
class Order:
    """Pairings, as flat positions in the score, best first; those tied with the first are at the front.

    ``anchor`` is the best-scored pairing of the best class, to which the others' distance was measured.
    """

    positions: tuple[int, ...]
    tied: frozenset[int]
    anchor: int


def rank(matrix: Matrix) -> tuple[RankedPairing, ...]:
    """Rank all pairings by class, then score; the tie with the first goes by simplicity."""
    order = order_pairings(matrix, precedence(matrix))
    return _pairings(matrix, order.positions, order.tied)


def best_by_taste(matrix: Matrix, advised: RankedPairing) -> RankedPairing:
    """Return the pairing that wins when heat does not count, or the advised one when it ties with that."""
    taste = matrix.reweighted(without=HEAT_CRITERIA)
    order = order_pairings(taste, np.zeros(matrix.shape, dtype=np.intp))
    own = advised.row * matrix.shape[1] + advised.column
    position = own if own in order.tied else order.positions[0]
    return _pairings(taste, (position,), order.tied)[0]


def precedence(matrix: Matrix) -> NDArray[np.intp]:
    """Return the place of each pairing (coats, fillings) before any score: its coat's first, then its filling's."""
    coats, fillings = hold_order(matrix), filling_order(matrix)
    return np.asarray(coats[:, None] * (fillings.max() + 1) + fillings[None], dtype=np.intp)


def filling_order(matrix: Matrix) -> NDArray[np.intp]:
    """Return the place of each filling: 0 where it likely stays put, later the warmer it gets past creeping."""
    margins = np.array([candidate_fact(filling, "filling_margin").value for filling in matrix.grid.fillings])
    return np.asarray(np.ceil(np.maximum(-margins, 0.0) / CREEP_STEP_K), dtype=np.intp)


def hold_order(matrix: Matrix) -> NDArray[np.intp]:
    """Return for each coat the place of its class in precedence; 0 is best.

    Where none holds, the coat that lasts longest is the best of them, so failing coats are set apart by how long
    they likely last, and those that arrive soft by the temperature that they bear.
    """
    holds = [coat.hold for coat in matrix.grid.coats]
    failing = sorted({_lasting(hold) for hold in holds if hold.hold_class == "fails"}, reverse=True)
    return np.array(
        [
            CLASSES.index(hold.hold_class) + (failing.index(_lasting(hold)) if hold.hold_class == "fails" else 0)
            for hold in holds
        ],
        dtype=np.intp,
    )


def _lasting(hold: HoldFacts) -> tuple[int, int]:
    steps = round(hold.likely_h * LASTING_STEPS_PER_H)
    return steps, 0 if steps else round(hold.threshold_c)


def order_pairings(matrix: Matrix, places: NDArray[np.intp], scores: Array | None = None) -> Order:
    """Order all pairings by their place (coats, fillings), then by score or by others of that shape; see ``Order``."""
    classes = places.ravel()
    score = (matrix.score() if scores is None else scores).ravel()
    simplicity = _simplicity(matrix)
    by_score = np.lexsort((simplicity, -np.round(score / SAME), classes))
    anchor = int(by_score[0])
    tied = _tied(score, classes, matrix.spreads().half_widths(anchor), anchor)
    front = sorted(tied, key=lambda position: int(simplicity[position]))
    rest = [int(position) for position in by_score if int(position) not in tied]
    return Order((*front, *rest), tied, anchor)


def _tied(score: Array, classes: NDArray[np.intp], half_widths: Array, anchor: int) -> frozenset[int]:
    behind = score[anchor] - score
    is_near = (behind < TIE_SHARE * half_widths) | (behind <= SAME)
    return frozenset(int(i) for i in np.flatnonzero(is_near & (classes == classes[anchor])))


def _simplicity(matrix: Matrix) -> NDArray[np.intp]:
    """Return each pairing's place by minutes, then number of formulations, then ids; 0 is the simplest."""
    minutes = np.round(matrix.evaluations["effort"].measured, 6).ravel()
    is_two = ~matrix.grid.is_same.ravel()
    coats = _places([coat.id for coat in matrix.grid.coats])
    fillings = _places([filling.id for filling in matrix.grid.fillings])
    coat, filling = (index.ravel() for index in np.meshgrid(coats, fillings, indexing="ij"))
    order = np.lexsort((filling, coat, is_two, minutes))
    places = np.empty_like(order)
    places[order] = np.arange(order.size)
    return places


def _places(ids: list[str]) -> list[int]:
    alphabetical = sorted(ids)
    return [alphabetical.index(id_) for id_ in ids]


def _pairings(matrix: Matrix, positions: tuple[int, ...], tied: frozenset[int]) -> tuple[RankedPairing, ...]:
    score, minutes = matrix.score().ravel().tolist(), matrix.evaluations["effort"].measured.ravel().tolist()
    doubt = matrix.doubts()
    coats, fillings = matrix.grid.coats, matrix.grid.fillings
    ranked = []
    for position in positions:
        row, column = divmod(position, len(fillings))
        ranked.append(
            RankedPairing(
                coats[row],
                fillings[column],
                row,
                column,
                score[position],
                doubt[position],
                coats[row].hold.hold_class,
                minutes[position],
                position in tied,
            )
        )
    return tuple(ranked)


def rank_coats(matrix: Matrix, pairings: tuple[RankedPairing, ...]) -> tuple[RankedFormulation, ...]:
    """Rank the coats beside the advised filling, in the order of their pairings with it."""
    beside = [pairing for pairing in pairings if pairing.column == pairings[0].column]
    return _in_role(matrix, beside, "coat")


def rank_fillings(matrix: Matrix, pairings: tuple[RankedPairing, ...]) -> tuple[RankedFormulation, ...]:
    """Rank the fillings under the advised coat, in the order of their pairings with it."""
    under = [pairing for pairing in pairings if pairing.row == pairings[0].row]
    return _in_role(matrix, under, "filling")


def _in_role(
    matrix: Matrix, pairings: list[RankedPairing], role: Literal["coat", "filling"]
) -> tuple[RankedFormulation, ...]:
    judged = {id_: e for id_, e in matrix.evaluations.items() if e.criterion.role in (role, "pair")}
    own = matrix.reweighted(without=frozenset(matrix.evaluations.keys() - judged.keys()))
    doubts, is_coat = own.doubts(), role == "coat"
    ranked = []
    for pairing in pairings:
        values = {id_: evaluation.value_at(pairing.row, pairing.column) for id_, evaluation in judged.items()}
        ranked.append(
            RankedFormulation(
                pairing.coat if is_coat else pairing.filling,
                role,
                sum(own.weights[id_] * value for id_, value in values.items()),
                doubts[pairing.row * matrix.shape[1] + pairing.column],
                values,
                pairing.hold_class if is_coat else None,
            )
        )
    return tuple(ranked)
