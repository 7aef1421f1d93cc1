from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.decision.builders import (
    CRITERIA_SPECS,
    candidate,
    matrix,
    situation,
    trade_candidates,
)
from webapp.decision.criteria import CRITERIA
from webapp.decision.grid import Grid
from webapp.decision.scoring import HEAT_CRITERIA, build_matrix, normalised_weights

IMPORTANCE = st.dictionaries(st.sampled_from(list(CRITERIA)), st.floats(0, 5))


@given(IMPORTANCE)
def test_weights_add_up_to_1(importance):
    assert sum(normalised_weights(CRITERIA_SPECS, importance).values()) == pytest.approx(1)


def test_the_clients_importance_replaces_the_default_and_the_rest_keeps_it():
    default = normalised_weights(CRITERIA_SPECS, {})
    asked = normalised_weights(CRITERIA_SPECS, {"richness": 5})
    assert asked["richness"] > default["richness"]
    assert asked["heat"] / asked["finish"] == pytest.approx(default["heat"] / default["finish"])


def test_all_weights_zero_means_all_equal():
    weights = normalised_weights(CRITERIA_SPECS, dict.fromkeys(CRITERIA, 0))
    assert set(weights.values()) == {1 / len(CRITERIA)}


def test_the_score_is_the_weighted_sum_of_the_values():
    trade = matrix(*trade_candidates())
    weights = np.array(list(trade.weights.values()))
    assert trade.score().ravel() == pytest.approx(trade.values() @ weights)
    assert trade.values().shape == (25, len(CRITERIA))


def test_the_whole_matrix_says_the_same_as_one_pairing_assessed_alone():
    people = trade_candidates()
    brief = situation(colour="pastel", finish="textured", piping="rosettes")
    trade = build_matrix(Grid(people, people, brief), CRITERIA_SPECS)
    for id_, criterion in CRITERIA.items():
        for row, coat in enumerate(people):
            for column, filling in enumerate(people):
                alone = criterion.assess(CRITERIA_SPECS[id_], brief, coat, filling)
                assert trade.assessment(id_, row, column) == alone


def test_spreads_of_the_matrix_are_the_weighted_spreads_of_its_assessments():
    trade = matrix(*trade_candidates())
    spreads = trade.spreads()
    row, column = 1, 3
    expected = dict.fromkeys(spreads.keys, 0.0)
    for id_, weight in trade.weights.items():
        for key, half_change in trade.assessment(id_, row, column).spread.items():
            expected[key] += weight * half_change
    change = spreads.change[row * trade.shape[1] + column]
    assert change == pytest.approx(np.array(list(expected.values())))


def test_the_doubt_of_a_shared_fact_cancels():
    a, b = (candidate(f"swiss-{id_}", subject="swiss", half={"smoothness": 1, "firmness": 1}) for id_ in "ab")
    own = candidate("swiss-c", half={"smoothness": 1, "firmness": 1})
    assert matrix(a, b).spreads().half_widths(0) == pytest.approx([0, 0, 0, 0])
    assert matrix(a, own).spreads().half_widths(0)[3] > 0


def test_without_the_heat_criteria_the_rest_is_renormalised():
    taste = matrix(*trade_candidates()).reweighted(without=HEAT_CRITERIA)
    assert sum(taste.weights.values()) == pytest.approx(1)
    assert all(taste.weights[id_] == 0 for id_ in HEAT_CRITERIA)


def test_when_only_heat_matters_taste_weighs_all_the_rest_alike():
    only_heat = dict.fromkeys(CRITERIA, 0) | {"heat": 5}
    taste = matrix(*trade_candidates(), brief=situation(importance=only_heat)).reweighted(HEAT_CRITERIA)
    assert {weight for id_, weight in taste.weights.items() if id_ not in HEAT_CRITERIA} == {1 / 9}


def test_a_criterion_without_parameters_is_an_error_that_names_it():
    specs = {id_: spec for id_, spec in CRITERIA_SPECS.items() if id_ != "colour"}
    with pytest.raises(KeyError, match="colour"):
        build_matrix(Grid(trade_candidates(), trade_candidates(), situation()), specs)


def test_the_doubt_of_a_score_adds_what_each_fact_may_change_by_squares():
    wide = candidate("swiss-c", half={"smoothness": 1, "minutes": 5})
    scored = matrix(wide)
    changes = dict(zip(scored.spreads().keys, scored.spreads().change[0], strict=True))
    assert changes["swiss-c", "smoothness"] > 0 > changes["swiss-c", "minutes"]
    assert scored.doubts() == pytest.approx([sum(change**2 for change in changes.values()) ** 0.5])
