"""The additive part ranks as the weighted sums of two outside libraries do, pymcdm and scikit-criteria.

Both take a matrix of values that are all to be maximised. pymcdm would rescale each column by default, which
is another model than an additive value function: values come scaled already, so its scaling is left out.
"""

from __future__ import annotations

import numpy as np
import pytest
import skcriteria
from pymcdm.methods import WSM
from skcriteria.agg.simple import WeightedSumModel

from tests.decision.builders import candidate, hold, matrix, situation, trade_candidates
from webapp.decision.criteria import CRITERIA
from webapp.decision.scoring import Matrix

PROPERTIES = {
    "smoothness": (0, 10),
    "piping_detail": (0, 10),
    "whiteness": (0, 10),
    "takes_colour": (0, 10),
    "firmness": (0, 10),
    "richness": (0, 10),
    "waxy_fat": (0, 5),
    "crusts": (0, 1),
    "minutes": (10, 120),
    "density": (0.5, 1.1),
    "sweetness": (20, 65),
}


def random_matrix(seed: int) -> Matrix:
    """Two to eight candidates with random properties and holds, and random weights."""
    random = np.random.default_rng(seed)
    people = [
        candidate(
            f"swiss-{number}",
            hold(likely_h=random.uniform(0, 6), margin_k=random.uniform(-6, 6)),
            **{name: random.uniform(*bounds) for name, bounds in PROPERTIES.items()},
        )
        for number in range(random.integers(2, 9))
    ]
    importance = {id_: random.uniform(0, 5) for id_ in CRITERIA}
    return matrix(*people, brief=situation(importance=importance))


def as_it_is(values: np.ndarray, cost: bool) -> np.ndarray:
    """Stands in for pymcdm's scaling of a column."""
    assert not cost
    return values


def ranks(scores: np.ndarray) -> list[int]:
    """Order of the alternatives, best first, with differences by rounding alone taken as equal."""
    return list(np.lexsort((np.arange(scores.size), -np.round(scores, 9))))


@pytest.mark.parametrize("seed", range(200))
def test_scores_and_ranks_equal_those_of_pymcdm(seed):
    ours = random_matrix(seed)
    weights = np.array(list(ours.weights.values()))
    theirs = WSM(as_it_is)(ours.values(), weights, np.ones(len(weights)))
    assert ours.score().ravel() == pytest.approx(theirs, abs=1e-12)
    assert ranks(ours.score().ravel()) == ranks(theirs)


@pytest.mark.parametrize("seed", range(200, 300))
def test_scores_and_ranks_equal_those_of_scikit_criteria(seed):
    ours = random_matrix(seed)
    problem = skcriteria.mkdm(
        ours.values(), [max] * len(CRITERIA), weights=list(ours.weights.values()), criteria=list(CRITERIA)
    )
    theirs = WeightedSumModel().evaluate(problem)
    assert ours.score().ravel() == pytest.approx(np.asarray(theirs.e_.score), abs=1e-12)
    assert ranks(ours.score().ravel()) == ranks(np.asarray(theirs.e_.score))


@pytest.mark.parametrize("is_hot", [False, True])
def test_the_trade_is_ranked_alike_by_all_three(is_hot):
    ours = matrix(*trade_candidates(is_hot=is_hot))
    weights = np.array(list(ours.weights.values()))
    pymcdm = WSM(as_it_is)(ours.values(), weights, np.ones(len(weights)))
    problem = skcriteria.mkdm(ours.values(), [max] * len(weights), weights=weights)
    scikit = np.asarray(WeightedSumModel().evaluate(problem).e_.score)
    assert ranks(ours.score().ravel()) == ranks(pymcdm) == ranks(scikit)
