"""How sure the advice is: the same ranking over many draws of the hold and of the property ranges."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from webapp.decision.grid import Array
from webapp.decision.ranking import (
    SAME,
    TIE_SHARE,
    RankedPairing,
    order_pairings,
    precedence,
)
from webapp.decision.scoring import Matrix

# A range is taken as the middle nine tenths of a normal distribution: its half is 1.645 standard deviations.
HALF_RANGE_SIGMAS = 1.645
# Drawn scores stay within a few units of 0..1, so this keeps the classes of holding apart.
CLASS_APART = 1000.0


def confidence(matrix: Matrix, pairings: tuple[RankedPairing, ...], seed: int) -> tuple[float, float]:
    """Return the shares of draws (0..1) in which the advised pairing and its coat's family stay first.

    It does when its coat stands as long as needed (where any coat is advised as standing) and no pairing of its
    class scores better by more than can be told apart, each property being moved by one normal factor wherever it
    is read. What is advised goes by the chance of holding, so a riskier coat does not take its place in the draws
    in which the risk would have paid.
    """
    advised = _position(matrix, pairings[0])
    drawn = draws(matrix, seed)
    best = np.argmax(drawn, axis=1)
    behind = drawn[np.arange(len(best)), best] - drawn[:, advised]
    near = TIE_SHARE * matrix.spreads().half_widths(advised)[best]
    stays = behind <= np.maximum(near, SAME)
    if pairings[0].hold_class != "fails":
        stays &= pairings[0].coat.hold.stands
    same_coat = _coat_families(matrix)[best] == pairings[0].coat.formulation.family.order
    if pairings[0].hold_class != "fails":
        same_coat &= pairings[0].coat.hold.stands
    return float(np.mean(stays)), float(np.mean(stays | same_coat))


def _coat_families(matrix: Matrix) -> NDArray[np.intp]:
    """Return the number of the coat's family for each flat position."""
    return np.repeat([coat.formulation.family.order for coat in matrix.grid.coats], matrix.shape[1])


def draws(matrix: Matrix, seed: int) -> Array:
    """Return the score of each pairing in each draw (draws, pairings), the classes of holding kept apart."""
    change = matrix.spreads().change
    count = len(matrix.grid.coats[0].hold.stands)
    drawn = _factors(seed, count, change.shape[1]) @ change.T
    drawn += matrix.score().ravel() - CLASS_APART * precedence(matrix).ravel()
    return np.asarray(drawn, dtype=np.float64)


@lru_cache(maxsize=16)
def _factors(seed: int, count: int, facts: int) -> Array:
    """Return by how many half-ranges each fact is off in each draw."""
    factors = np.random.default_rng(seed).standard_normal((count, facts)) / HALF_RANGE_SIGMAS
    factors.flags.writeable = False
    return factors


def winners(matrix: Matrix, seed: int) -> NDArray[np.intp]:
    """Return the flat position of the pairing that scores best in each draw."""
    return np.asarray(np.argmax(draws(matrix, seed), axis=1), dtype=np.intp)


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
    return order_pairings(matrix, precedence(matrix), worsened).positions[0] == first


def _position(matrix: Matrix, pairing: RankedPairing) -> int:
    return pairing.row * matrix.shape[1] + pairing.column
