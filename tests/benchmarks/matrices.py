"""The additive score of many decision matrices at once, beside two libraries that score one at a time.

Run ``python -m tests.benchmarks.matrices [matrices] [sample]``. Each matrix has 144 pairings (12 coats by 12 fillings)
and 10 criteria, all numbers at random, with weights of its own. Ours is :meth:`Matrix.score`, the scoring of the
product, given all matrices below each other in one call. The libraries score a sample that is drawn from the same
matrices, and the time of all is extrapolated: their number times the mean, and the 95th percentile, of one matrix.
Each sampled matrix must get the same scores and ranks from all. What a plain numpy product needs matrix by matrix
stands beside: the ratio is the libraries' own overhead.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import skcriteria  # type: ignore[import-untyped]
from pymcdm.methods import WSM  # type: ignore[import-untyped]
from skcriteria.agg.simple import WeightedSumModel  # type: ignore[import-untyped]

from tests.benchmarks.rows import Row, asked, at_least, late, measured, once, show
from webapp.decision.criteria import CRITERIA
from webapp.decision.grid import Array
from webapp.decision.scoring import Matrix

COATS = FILLINGS = 12
NAMES = tuple(CRITERIA)[:10]
ROUNDS = 15
GOAL = 100
Scoring = Callable[[int], Array]


def random_matrices(count: int, seed: int = 1) -> tuple[Array, Array]:
    """Return values (matrices, pairings, criteria) and weights (matrices, criteria) that add up to 1."""
    random = np.random.default_rng(seed)
    weights = random.random((count, len(NAMES)))
    return random.random((count, COATS * FILLINGS, len(NAMES))), weights / weights.sum(axis=1, keepdims=True)


def stacked(values: Array, weights: Array) -> Matrix:
    """Put all matrices below each other into one, whose rows are the coats of the first, of the second ..."""
    rows = len(values) * COATS
    grid = SimpleNamespace(coats=range(rows), fillings=range(FILLINGS))
    columns = np.ascontiguousarray(np.moveaxis(values, 2, 0)).reshape(len(NAMES), rows, FILLINGS)
    evaluations = {name: SimpleNamespace(value=column) for name, column in zip(NAMES, columns, strict=True)}
    each = {name: np.repeat(weights[:, place], COATS)[:, None] for place, name in enumerate(NAMES)}
    # A weight for each row where one brief has a single number: numpy multiplies either.
    return Matrix(cast(Any, grid), cast(Any, each), cast(Any, evaluations))


def libraries(values: Array, weights: Array) -> dict[str, Scoring]:
    """Return how each library scores the matrix of a number; scaling is left out, as values come scaled."""
    wsm, model, ones = WSM(lambda column, cost: column), WeightedSumModel(), np.ones(len(NAMES))

    def by_pymcdm(number: int) -> Array:
        return np.asarray(wsm(values[number], weights[number], ones))

    def by_scikit_criteria(number: int) -> Array:
        problem = skcriteria.mkdm(values[number], [max] * len(NAMES), weights=weights[number])
        return np.asarray(model.evaluate(problem).e_.score)

    def by_plain_numpy(number: int) -> Array:
        return np.asarray(values[number] @ weights[number])

    return {"scikit-criteria": by_scikit_criteria, "pymcdm": by_pymcdm, "plain numpy": by_plain_numpy}


def ranks(scores: Array) -> list[int]:
    """Order the pairings, best first, with differences by rounding alone taken as equal."""
    return list(np.lexsort((np.arange(scores.size), -np.round(scores, 9))))


def rows(count: int = 10_000, sample: int = 300) -> list[Row]:
    """Measure ours and each library on the same matrices."""
    values, weights = random_matrices(count)
    chosen = [int(number) for number in np.linspace(0, count - 1, min(sample, count))]
    matrix = stacked(values, weights)
    spent = measured(matrix.score, ROUNDS)
    ours, scores = float(np.median(spent)), matrix.score().reshape(count, COATS * FILLINGS)
    found = [Row("matrices", f"{count:,} of 144 x {len(NAMES)}, one call of ours", ours, late(spent))]
    for name, score in libraries(values, weights).items():
        theirs = [score(number) for number in chosen]
        is_same = all(ranks(scores[n]) == ranks(each) for n, each in zip(chosen, theirs, strict=True))
        assert is_same and np.allclose(scores[chosen], theirs, atol=1e-12), name
        single = [once(partial(score, number)) for number in chosen]
        whole, slow = count * float(np.mean(single)), count * late(single)
        work = f"{name}, one by one, from {len(chosen)} alike ranked"
        goal = "no goal" if name == "plain numpy" else at_least(whole / ours, GOAL)
        found.append(Row("matrices", work, whole, slow, whole / ours, goal))
    return found


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 10_000), asked(2, 300)))


if __name__ == "__main__":
    main()
