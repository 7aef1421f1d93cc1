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


def confidence(matrix: Matrix, pairings: tuple[RankedPairing, ...], seed: int) -> tuple[float, float]:
    """Return the shares of draws (0..1) in which the advised pairing and its coat's family stay first.

    It does when its coat stands as long as needed (where any coat is advised as standing) and no pairing of its
    class scores better by more than can be told apart, each property being moved by one normal factor wherever it
    is read. What is advised goes by the chance of holding, so a riskier coat does not take its place in the draws
    in which the risk would have paid.
    """
    advised, foremost = _position(matrix, pairings[0]), _foremost(matrix)
    drawn = draws(matrix, seed, foremost)
    best = foremost[np.argmax(drawn, axis=1)]
    behind = drawn.max(axis=1) - drawn[:, np.searchsorted(foremost, advised)]
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


def _foremost(matrix: Matrix) -> NDArray[np.intp]:
    """Return the flat positions of the pairings that stand first before any score: others come first in no draw."""
    places = precedence(matrix).ravel()
    return np.flatnonzero(places == places.min())


def draws(matrix: Matrix, seed: int, among: NDArray[np.intp]) -> Array:
    """Return the score of some pairings, by their flat positions, in each draw (draws, pairings)."""
    change = matrix.spreads().change[among]
    count = len(matrix.grid.coats[0].hold.stands)
    drawn = _factors(seed, count, change.shape[1]) @ change.T
    return np.asarray(drawn + matrix.score().ravel()[among], dtype=np.float64)


@lru_cache(maxsize=16)
def _factors(seed: int, count: int, facts: int) -> Array:
    """Return by how many half-ranges each fact is off in each draw."""
    factors = np.random.default_rng(seed).standard_normal((count, facts)) / HALF_RANGE_SIGMAS
    factors.flags.writeable = False
    return factors


def winners(matrix: Matrix, seed: int) -> NDArray[np.intp]:
    """Return the flat position of the pairing that scores best in each draw."""
    foremost = _foremost(matrix)
    return np.asarray(foremost[np.argmax(draws(matrix, seed, foremost), axis=1)], dtype=np.intp)


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
