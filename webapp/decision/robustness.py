"""How sure the advice is: the same ranking over many draws of the hold and of the property ranges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.decision.grid import Array
from webapp.decision.ranking import LASTING_STEPS_PER_H, RankedPairing, hold_order, order_pairings
from webapp.decision.scoring import Matrix

# A range is taken as the middle nine tenths of a normal distribution: its half is 1.645 standard deviations.
HALF_RANGE_SIGMAS = 1.645
# Drawn scores stay within a few units of 0..1, so this puts a coat that stands before one that does not.
STANDING = 1000.0
# Where nothing stands, five minutes more of lasting go before any score.
LASTING = 4.0


@dataclass(frozen=True, slots=True)
class Confidence:
    """Shares of the draws (0..1).

    ``first`` is the share in which exactly the advised pairing is first; ``first_or_tied`` the share in
    which it or one that was told as tied with it is; ``same_families`` the share in which the pairing that
    is first has its families outside and between, whatever the formulations.
    """

    first: float
    first_or_tied: float
    same_families: float


def confidence(matrix: Matrix, pairings: tuple[RankedPairing, ...], seed: int) -> Confidence:
    """Return how often the first pairing stays first.

    In a draw a coat either stands as long as needed or does not, which comes before any score; each
    property is moved by one normal factor wherever it is read. The ties of a draw are not told: exactly one
    pairing is first.
    """
    first = winners(matrix, seed)
    tied = [_position(matrix, pairing) for pairing in pairings if pairing.is_tied_with_first]
    return Confidence(
        first=float(np.mean(first == _position(matrix, pairings[0]))),
        first_or_tied=float(np.mean(np.isin(first, tied))),
        same_families=float(np.mean(_families(matrix)[first] == _families(matrix)[tied[0]])),
    )


def _families(matrix: Matrix) -> NDArray[np.intp]:
    """Return a number for each flat position that is the same for pairings of the same two families."""
    coats = [coat.formulation.family.order for coat in matrix.grid.coats]
    fillings = [filling.formulation.family.order for filling in matrix.grid.fillings]
    return np.asarray(np.add.outer(100 * np.array(coats), np.array(fillings)).ravel(), dtype=np.intp)


def winners(matrix: Matrix, seed: int) -> NDArray[np.intp]:
    """Return the flat position of the pairing that is first in each draw."""
    stands = np.array([coat.hold.stands for coat in matrix.grid.coats], dtype=np.float64)
    change = matrix.spreads().change
    factors = np.random.default_rng(seed).standard_normal((stands.shape[1], change.shape[1]))
    drawn = (factors / HALF_RANGE_SIGMAS) @ change.T
    drawn += matrix.score().ravel()
    drawn += np.repeat((STANDING * stands + _lasting(matrix, stands)).T, matrix.shape[1], axis=1)
    return np.asarray(np.argmax(drawn, axis=1), dtype=np.intp)


def _lasting(matrix: Matrix, stands: Array) -> Array:
    """Return what lasting longer is worth in the draws in which no coat stands, shape (coats, draws)."""
    hours = [np.zeros(stands.shape[1]) if c.hold.hours is None else c.hold.hours for c in matrix.grid.coats]
    steps = np.round(np.array(hours) * LASTING_STEPS_PER_H)
    return np.asarray(LASTING * steps * ~(stands > 0).any(axis=0))


def keeps_winner_when_losers_worsen(
    matrix: Matrix, pairings: tuple[RankedPairing, ...], losses: Array
) -> bool:
    """Check for rank reversal: whether lowering the score of losers leaves the first place as it is.

    A loser is a pairing that is not tied with the first. ``losses`` is how much each pairing loses (0 or
    more, flat, as in the score); what it says of pairings that are no losers is ignored.
    """
    first, *_ = tied = [_position(matrix, pairing) for pairing in pairings if pairing.is_tied_with_first]
    score = matrix.score().ravel()
    worsened = score - np.where(np.isin(np.arange(score.size), tied), 0.0, losses)
    return order_pairings(matrix, hold_order(matrix), worsened).positions[0] == first


def _position(matrix: Matrix, pairing: RankedPairing) -> int:
    return pairing.row * matrix.shape[1] + pairing.column
