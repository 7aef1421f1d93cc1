"""What must be true of the advice on every valid brief."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, get_args

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from tests.advice.asking import TODAY, asked, check_never_longer
from tests.strategies import brief_shapes, choices, decimals, hot_brief_shapes
from webapp.advice.brief import Colour, CriterionId, Diet
from webapp.advice.contract import Advice
from webapp.advice.service import Advisor, Record
from webapp.advice.wording import write_advice
from webapp.decision.ranking import CLASSES
from webapp.decision.robustness import keeps_winner_when_losers_worsen
from webapp.units import METRIC, US

Shape = dict[str, Any]

COLOURS: tuple[Colour, ...] = get_args(Colour)
DIETS: tuple[Diet, ...] = get_args(Diet)
SLOW = (HealthCheck.too_slow, HealthCheck.function_scoped_fixture)


def tries(count: int) -> settings:
    return settings(max_examples=count, deadline=None, suppress_health_check=SLOW)


def read_back(advice: Advice) -> Advice:
    """The advice as a client of the API reads it."""
    return Advice.model_validate_json(advice.model_dump_json(by_alias=True))


def check_answer(record: Record) -> None:
    """It can be written and read back in both measures, and says as much as its verdict needs."""
    metric, us = (read_back(write_advice(record, measures)) for measures in (METRIC, US))
    assert metric.verdict == us.verdict == record.verdict
    assert (metric.verdict == "nothing-fits") == (metric.pairing is None) == (metric.nothing_fits is not None)
    assert metric.headline and us.headline
    assert metric.cautions
    assert set(metric.sources) >= {caution.source for caution in metric.cautions}


def check_precedence(record: Record) -> None:
    """A coat of a worse class never comes before one of a better class, nor a pairing."""
    choice = record.decision.choice
    if choice is None:
        return
    for ranked in (choice.pairings, choice.coats):
        places = [CLASSES.index(r.hold_class) for r in ranked if r.hold_class is not None]
        assert places == sorted(places)


def check_losers(record: Record, seed: int) -> None:
    """A loser that gets worse never changes which pairing is first."""
    choice = record.decision.choice
    if choice is not None:
        losses = np.random.default_rng(seed).uniform(0, 1, choice.matrix.score().size)
        assert keeps_winner_when_losers_worsen(choice.matrix, choice.pairings, losses)


@given(brief_shapes(), st.integers(0, 2**32 - 1))
@example({}, 0)
@example({"tiers": [{"width_cm": 80 - 5 * n, "height_cm": 40} for n in range(10)], "supported": False}, 1)
@example({"tiers": [], "cupcakes": 1, "diet": list(DIETS), "equipment": []}, 2)
@example({"setting": "sun", "air_high_c": 50, "hold_hours": 12, "colour": "dark", "start_c": 30}, 3)
@example({"setting": "tent", "air_high_c": -10, "air_low_c": -40, "hold_hours": 0, "humidity_pct": 100}, 4)
@example({"travel_minutes": 600, "travel_c": 50, "start_c": -5, "importance": {"heat": 0}}, 5)
@example({"importance": dict.fromkeys(get_args(CriterionId), 0)}, 6)
@tries(280)
def test_every_valid_brief_gives_an_answer(advisor: Advisor, shape: Shape, seed: int) -> None:
    record = advisor.advise(asked(**shape), TODAY)
    check_answer(record)
    check_precedence(record)
    check_losers(record, seed)


@given(brief_shapes())
@tries(8)
def test_the_same_brief_gives_the_same_advice_to_the_letter(advisor: Advisor, shape: Shape) -> None:
    another = Advisor(advisor.catalogue, advisor.seed)
    first, second = (
        write_advice(who.advise(asked(**shape), TODAY), METRIC).model_dump_json() for who in (advisor, another)
    )
    assert first == second


def without_forecast() -> st.SearchStrategy[Shape]:
    """Random briefs without a pasted forecast, whose hours would stand for the day's high."""
    return brief_shapes().map(lambda shape: {k: v for k, v in shape.items() if k != "weather"})


@given(without_forecast(), decimals(0.1, 20))
@tries(25)
def test_hotter_air_never_lengthens_a_hold(advisor: Advisor, shape: Shape, by_k: float) -> None:
    high_c = shape.setdefault("air_high_c", 21.0)
    assume(high_c + by_k <= 50)
    check_never_longer(advisor, shape, {"air_high_c": high_c + by_k})


@given(brief_shapes(), decimals(0.1, 12))
@tries(15)
def test_a_longer_display_never_lengthens_a_hold(advisor: Advisor, shape: Shape, by_h: float) -> None:
    needed_h = shape.setdefault("hold_hours", 3.0)
    assume(needed_h + by_h <= 12)
    check_never_longer(advisor, shape, {"hold_hours": needed_h + by_h})


@given(brief_shapes(), decimals(0.1, 20))
@tries(25)
def test_a_warmer_start_never_lengthens_a_hold(advisor: Advisor, shape: Shape, by_k: float) -> None:
    start_c = shape.setdefault("start_c", 4.0)
    assume(start_c + by_k <= 30)
    check_never_longer(advisor, shape, {"start_c": start_c + by_k})


@given(brief_shapes())
@tries(15)
def test_sun_never_lengthens_the_hold_of_a_shaded_cake(advisor: Advisor, shape: Shape) -> None:
    check_never_longer(advisor, {**shape, "setting": "shade"}, {"setting": "sun"})


@given(brief_shapes(), st.sampled_from(list(pairwise(COLOURS))))
@tries(15)
def test_a_darker_colour_in_the_sun_never_lengthens_a_hold(
    advisor: Advisor, shape: Shape, colours: tuple[Colour, Colour]
) -> None:
    lighter, darker = colours
    check_never_longer(advisor, {**shape, "setting": "sun", "colour": lighter}, {"colour": darker})


def alternatives(advisor: Advisor, shape: Shape) -> tuple[set[str], set[str]]:
    left = advisor.advise(asked(**shape), TODAY).decision.screening
    return {coat.id for coat in left.coats}, {filling.id for filling in left.fillings}


@given(brief_shapes(), choices(Diet))
@tries(8)
def test_one_more_diet_limit_never_adds_an_alternative(advisor: Advisor, shape: Shape, diet: str) -> None:
    coats, fillings = alternatives(advisor, shape)
    fewer_coats, fewer_fillings = alternatives(advisor, {**shape, "diet": [*shape.get("diet", []), diet]})
    assert fewer_coats <= coats
    assert fewer_fillings <= fillings


weights = st.fixed_dictionaries({id_: decimals(0, 1) for id_ in get_args(CriterionId)})


@given(brief_shapes(), weights, decimals(0.1, 5))
@tries(8)
def test_scaling_all_weights_changes_nothing(
    advisor: Advisor, shape: Shape, importance: dict[str, float], by: float
) -> None:
    scaled = {id_: weight * by for id_, weight in importance.items()}
    plain, other = (
        write_advice(advisor.advise(asked(**{**shape, "importance": w}), TODAY), METRIC) for w in (importance, scaled)
    )
    assert plain.model_dump(exclude={"brief"}) == _nearly(other.model_dump(exclude={"brief"}))


def _nearly(value: Any) -> Any:
    """Let the numbers of a nested record differ in their last digits."""
    if isinstance(value, dict):
        return {key: _nearly(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(_nearly(part) for part in value)
    return pytest.approx(value, abs=1e-8) if isinstance(value, float) else value


@given(hot_brief_shapes(), st.integers(0, 2**32 - 1))
@tries(20)
def test_every_lever_asked_as_a_brief_gives_the_verdict_it_promised(advisor: Advisor, shape: Shape, seed: int) -> None:
    record = advisor.advise(asked(**shape), TODAY)
    check_answer(record)
    check_precedence(record)
    check_losers(record, seed)
    for lever in write_advice(record, METRIC).model_dump(mode="json")["levers"]:
        changed = {**shape, lever["lever"]: lever["to"], **lever["also"]}
        assert advisor.advise(asked(**changed), TODAY).verdict == lever["verdict"], lever
