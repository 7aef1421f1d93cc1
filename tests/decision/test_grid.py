from __future__ import annotations

import numpy as np
import pytest

from tests.decision.builders import candidate, fact, hold, situation
from webapp.decision.grid import Grid, Read, candidate_fact


def test_coats_run_down_and_fillings_across():
    coats = [candidate("american-a", firmness=1), candidate("american-b", firmness=2)]
    grid = Grid(coats, [candidate("swiss-a", firmness=3)] * 3, situation())
    assert grid.coat("firmness").shape == (2, 1)
    assert grid.filling("firmness").shape == (1, 3)
    assert (grid.coat("firmness") + grid.filling("firmness")).tolist() == [[4, 4, 4], [5, 5, 5]]


def test_each_reading_in_turn_is_moved_to_its_ends_and_the_others_and_the_grid_stay():
    one = candidate("american-a", half={"firmness": 0.5, "richness": 1})
    grid = Grid([one], [one, one], situation())
    firm, rich = grid.coat("firmness"), grid.coat("richness")
    swept = grid.swept((Read("coat", "firmness"), Read("coat", "richness")))
    # The low ends of both, then the high ends of both.
    assert (swept.coat("firmness") - firm).tolist() == [[[-0.5]], [[0]], [[0.5]], [[0]]]
    assert (swept.coat("richness") - rich).tolist() == [[[0]], [[-1]], [[0]], [[1]]]
    assert swept.filling("firmness").shape == (1, 2)
    assert (grid.coat("firmness").tolist(), grid.coat("richness").tolist()) == ([[5]], [[6]])


def test_a_requirement_is_shared_by_all():
    grid = Grid([candidate("american-a")], [candidate("american-a")], situation())
    assert grid.shared("needs_detail", "piping:fine").tolist() == [[7.0]]


def test_what_the_data_do_not_give_is_an_error_that_names_it():
    grid = Grid([candidate("american-a")], [candidate("american-a")], situation(requirements={}))
    with pytest.raises(KeyError, match="needs_detail"):
        grid.shared("needs_detail", "piping:fine")


def test_the_hold_is_read_as_facts_that_cite_the_softening_temperature():
    coat = candidate("swiss-a", hold(likely_h=4, needed_h=2, margin_k=3, range_k=1), subject="swiss")
    threshold = candidate_fact(coat, "threshold")
    assert (threshold.value, threshold.low, threshold.high) == (23, 22, 24)
    assert (threshold.subject, threshold.basis) == ("swiss", "computed")
    assert threshold.source == coat.facts["softens"].source
    assert candidate_fact(coat, "hold").value == 4
    assert candidate_fact(coat, "needed").value == 2
    assert candidate_fact(coat, "peak").value == 20


def test_the_heat_of_the_event_is_one_fact_for_all_coats():
    subjects = {candidate_fact(candidate(id_), "peak").subject for id_ in ("swiss-a", "american-a")}
    assert len(subjects) == 1


def test_a_reading_without_a_range_is_certain():
    grid = Grid([candidate("swiss-a", half={"richness": 1})], [candidate("swiss-a")], situation())
    assert grid.is_certain(Read("coat", "firmness"))
    assert not grid.is_certain(Read("coat", "richness"))


def test_wishes_of_the_brief_are_read_from_the_situation():
    brief = situation(wanted_sweetness=fact("forkful-sweetness:1", "sweetness", 20))
    grid = Grid([candidate("swiss-a")], [candidate("swiss-a")], brief)
    assert np.all(grid.shared("wanted_sweetness") == 20)
    assert np.all(grid.shared("sponge_sweetness") == 26)
