"""What events teach of a softening temperature, and that nobody else's advice knows of it."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from webapp.advice.brief import Brief
from webapp.advice.learnt import LOOKS, CoatTemperature, Event, Posterior, coat_temperature, compare, look_of
from webapp.advice.service import Advisor
from webapp.advice.wording import write_advice
from webapp.catalogue.model import Catalogue, Formulation
from webapp.units import METRIC

TODAY = dt.date(2027, 6, 1)
GARDEN = Brief(setting="shade", air_high_c=27.0, hold_hours=4.0, finish="smooth", piping="none")
BATCH_K = 0.4


@pytest.fixture
def butter(catalogue: Catalogue) -> Formulation:
    return catalogue.formulations["swiss-butter"]


def around(celsius: float, half_k: float = 0.6) -> CoatTemperature:
    return CoatTemperature(celsius, celsius - half_k, celsius + half_k)


def threshold(advisor: Advisor, butter: Formulation, look: str, softens_c: float) -> float:
    """The coat's temperature at which a look goes, where it is known when the coat softens."""
    draws = advisor.softness.of(butter)
    share = advisor.softness.share(advisor.catalogue.formulation_fact(butter, f"look_{look}"))
    return softens_c + float(np.median(draws.at(share) - draws.softens))


def test_every_look_that_can_be_asked_for_has_its_facts(advisor: Advisor, butter: Formulation) -> None:
    asked = {*Brief.model_fields["finish"].annotation.__args__, *Brief.model_fields["piping"].annotation.__args__}
    assert {*LOOKS} == asked - {"none"}
    for look in LOOKS:
        assert advisor.catalogue.formulation_fact(butter, f"look_{look}")


def test_the_piping_is_the_look_that_goes_first() -> None:
    assert look_of(GARDEN) == "smooth"
    assert look_of(GARDEN.model_copy(update={"piping": "rosettes"})) == "rosettes"


def test_without_events_yours_is_ours(advisor: Advisor, butter: Formulation) -> None:
    found = compare(butter, [], advisor.softness, advisor.catalogue)
    assert found.yours == found.ours
    assert found.ours.events == 0


@pytest.mark.parametrize("shift_k", [-1.5, 0.0, 1.5])
def test_a_known_temperature_is_recovered_from_made_up_events_of_every_look(
    advisor: Advisor, butter: Formulation, shift_k: float
) -> None:
    # Events are made from a temperature that we know: one cake in three is cut while its look still stands.
    ours = compare(butter, [], advisor.softness, advisor.catalogue).ours
    truth = ours.likely_c + shift_k
    rng = np.random.default_rng(7)
    events = []
    for number in range(36):
        look = LOOKS[number % len(LOOKS)]
        lost_at = threshold(advisor, butter, look, truth + rng.normal(0, BATCH_K))
        is_held = number % 3 == 0
        seen = lost_at - abs(rng.normal(0, 2)) if is_held else lost_at + rng.normal(0, 0.3)
        events.append(Event(look, is_held, around(seen)))
    found = compare(butter, events, advisor.softness, advisor.catalogue).yours
    assert found.events == 36
    assert found.low_c <= truth <= found.high_c
    # 24 lost looks, each known to about a degree: the mean is known to a quarter of it, twice that is allowed.
    assert found.likely_c == pytest.approx(truth, abs=0.5)
    assert found.high_c - found.low_c < (ours.high_c - ours.low_c) / 2


def test_a_look_that_was_kept_never_lowers_the_temperature(advisor: Advisor, butter: Formulation) -> None:
    ours = compare(butter, [], advisor.softness, advisor.catalogue).ours
    held = [Event("smooth", True, around(ours.high_c))] * 5
    found = compare(butter, held, advisor.softness, advisor.catalogue).yours
    assert found.likely_c > ours.likely_c and found.low_c > ours.low_c


def test_a_look_that_is_not_known_any_more_does_not_count(advisor: Advisor, butter: Formulation) -> None:
    found = compare(butter, [Event("lattice", False, around(20.0))], advisor.softness, advisor.catalogue)
    assert found.yours == found.ours


def test_the_coat_warms_as_it_stands_and_the_piped_edge_most(advisor: Advisor, butter: Formulation) -> None:
    at = [coat_temperature(GARDEN, butter, hours, advisor.catalogue, TODAY) for hours in (0.0, 1.0, 4.0)]
    assert [each.likely_c for each in at] == sorted(each.likely_c for each in at)
    assert all(each.low_c <= each.likely_c <= each.high_c for each in at)
    piped = GARDEN.model_copy(update={"piping": "rosettes"})
    assert coat_temperature(piped, butter, 1.0, advisor.catalogue, TODAY).likely_c > at[1].likely_c


def test_the_coats_temperature_is_the_one_that_the_advice_works_with(advisor: Advisor, butter: Formulation) -> None:
    told = coat_temperature(GARDEN, butter, GARDEN.hold_hours, advisor.catalogue, TODAY)
    _, holds, _ = advisor.judge(GARDEN, TODAY)
    low, likely, high = np.quantile(holds[butter.id].look.peak, (0.05, 0.5, 0.95))
    assert (told.low_c, told.likely_c, told.high_c) == pytest.approx((low, likely, high), abs=1e-6)


def test_draws_take_on_what_was_learnt_and_keep_their_places(advisor: Advisor, butter: Formulation) -> None:
    learnt = Posterior(24.0, 23.2, 24.9, 9)
    before, after = advisor.softness.of(butter), advisor.learning({butter.id: learnt}).softness.of(butter)
    # A percentile lies between two draws, where the two sides' widths meet: off by less than their distance.
    assert np.quantile(after.softens, (0.05, 0.5, 0.95)) == pytest.approx((23.2, 24.0, 24.9), abs=1e-3)
    assert np.array_equal(np.argsort(before.softens, axis=None), np.argsort(after.softens, axis=None))
    assert after.slumps - after.softens == pytest.approx(before.slumps - before.softens)


def test_what_was_learnt_changes_the_advice_only_of_who_switched_it_on(catalogue: Catalogue) -> None:
    ours, fresh = Advisor(catalogue), Advisor(catalogue)
    firm = ours.learning({"swiss-butter": Posterior(33.0, 32.0, 34.0, 12)})
    hot = GARDEN.model_copy(update={"air_high_c": 30.0})
    theirs = write_advice(firm.advise(hot, TODAY), METRIC)
    swiss = next(row for row in theirs.coats if row.formulation == "swiss-butter")
    after, before = (write_advice(each.advise(hot, TODAY), METRIC) for each in (ours, fresh))
    assert after == before
    assert after.learnt == []
    assert [(row.formulation, row.events) for row in theirs.learnt] == [("swiss-butter", 12)]
    known = next(row for row in after.coats if row.formulation == "swiss-butter")
    assert swiss.hold and known.hold
    assert swiss.hold.softens_c > known.hold.softens_c and swiss.hold.chance > known.hold.chance


def test_what_was_learnt_of_one_leaves_every_other_as_it_is(advisor: Advisor, catalogue: Catalogue) -> None:
    learning = advisor.learning({"swiss-butter": Posterior(33.0, 32.0, 34.0, 12)})
    for formulation in catalogue.formulations.values():
        is_same = np.array_equal(learning.softness.of(formulation).softens, advisor.softness.of(formulation).softens)
        assert is_same == (formulation.id != "swiss-butter")


def test_learning_again_starts_from_ours(advisor: Advisor, butter: Formulation) -> None:
    learning = advisor.learning({butter.id: Posterior(33.0, 32.0, 34.0, 12)}).learning({})
    assert np.array_equal(learning.softness.of(butter).softens, advisor.softness.of(butter).softens)
