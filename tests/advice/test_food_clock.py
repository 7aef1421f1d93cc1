from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.food_clock import (
    FoodClock,
    food_clock,
    food_clock_sentence,
    food_clock_short,
    likely_peak,
    on_top_sentence,
    rule_for_homes,
)
from webapp.advice.keeping import Event, out_of_fridge
from webapp.advice.service import Advisor
from webapp.advice.wording import write_advice
from webapp.advice.work_plan import WorkOptions, plan_work
from webapp.catalogue.model import Catalogue
from webapp.units import METRIC

COOL_C = 20.0  # a coat that no heat reached
PARTY = {"setting": "shade", "air_high_c": 30.0, "hold_hours": 3.0}


@pytest.mark.parametrize(
    ("before", "hold", "limit", "hot_above", "start_c", "said"),
    [
        (
            0,
            1.5,
            2,
            None,
            4,
            "You ask for 1 h 30 min out of the fridge, counted from the start of the display; "
            "the rule for homes is 2 h. Your local food code comes first.",
        ),
        (0.75, 3, 2, None, 4, "so serve it before 16:15, sooner by the time for boxing and setting up."),
        (2.5, 3, 2, None, 4, "so already over on arrival."),
        (0, 3, 1, 32.2, 4, "the rule for homes is 1 h, as it is above 32 °C"),
        (0, 3, 2, None, 18, "out of the kitchen, where its time out began before"),
    ],
)
def test_the_clock_of_food_is_told_apart(
    before: float, hold: float, limit: float, hot_above: float | None, start_c: float, said: str
) -> None:
    counted = FoodClock(before + hold, limit, before, hot_above)
    assert said in food_clock_sentence(counted, dt.time(15, 0), start_c, METRIC)


@pytest.mark.parametrize(
    ("fields", "allows_h"),
    [
        ({}, 2),
        ({"air_high_c": 33.0}, 1),
        ({"travel_minutes": 10.0, "travel_c": 35.0}, 1),
        ({"travel_c": 35.0}, 2),  # nobody drives
    ],
)
def test_the_warmest_air_that_the_cake_meets_decides(
    catalogue: Catalogue, fields: dict[str, Any], allows_h: float
) -> None:
    assert rule_for_homes(asked(**PARTY | fields), catalogue, COOL_C).allows_h == allows_h


@pytest.mark.parametrize(
    ("coat_c", "air_c", "allows_h", "is_by_coat"),
    [(32.2, 27.0, 2, False), (32.3, 27.0, 1, True), (38.0, 32.2, 1, True), (38.0, 32.3, 1, False)],
)
def test_a_coat_that_the_sun_makes_hot_has_the_hours_of_hot_air(
    catalogue: Catalogue, coat_c: float, air_c: float, allows_h: float, is_by_coat: bool
) -> None:
    # USDA FSIS gives 1 h where the air is above 90 °F (32.2 °C); that a coat so warm in cooler air gets no more is an
    # assumption, on the side of caution. Seen to fail: 2 h for a coat of 38 °C, as the air was 32.2 °C.
    rule = rule_for_homes(asked(**PARTY | {"air_high_c": air_c}), catalogue, coat_c)
    assert (rule.allows_h, rule.is_by_coat) == (allows_h, is_by_coat)


def test_a_coat_in_the_sun_has_one_hour_everywhere_and_it_is_said_why(advisor: Advisor) -> None:
    brief = asked(setting="sun", air_high_c=27.0, hold_hours=3.0, start="13:00")
    record = advisor.advise(brief, TODAY)
    advice = write_advice(record, METRIC)
    assert advice.pairing is not None and advice.food_clock is not None
    coat = advisor.catalogue.formulations[advice.pairing.coat.formulation]
    assert likely_peak(record.heat, coat.family.id) > 32.2  # else it shows nothing
    assert advice.food_clock.limit_h == 1
    assert "the rule for homes is 1 h above 32 °C, as the coat is likely to be, so serve it" in advice.food_clock.rule
    assert advice.food_clock.then.startswith("The rule speaks of the air; to be careful we go by the coat.")
    assert "serve it before 14:00" in advice.food_clock.rule
    assert "home food rule 1 h" in advice.food_clock.short
    kept = out_of_fridge(coat, advisor.catalogue, METRIC, Event(brief, TODAY)).rules[0].told
    assert kept == f"{advice.food_clock.rule} {advice.food_clock.then}"
    now = dt.datetime.combine(TODAY, dt.time(8), dt.UTC)
    plan = plan_work(advisor, brief, coat, coat, WorkOptions(), now=now)
    assert "The 1 h rule for homes above 32 °C is over at" in plan.serve_by
    assert "more than the 1 h of that rule in such heat" in plan.clocks[1]


def test_with_set_up_counted_only_boxing_ends_the_time_sooner(catalogue: Catalogue) -> None:
    counted = food_clock(asked(**PARTY), catalogue, COOL_C, setup_h=0.5)
    said = food_clock_sentence(counted, dt.time(15, 0), 4.0, METRIC)
    assert "so serve it before 16:30, sooner by the time for boxing." in said


def test_drive_and_set_up_count_before_the_display(catalogue: Catalogue) -> None:
    counted = food_clock(asked(**PARTY, travel_minutes=30.0), catalogue, COOL_C, setup_h=0.25)
    assert (counted.before_h, counted.out_h, counted.limit_h) == (0.75, 3.75, 2)
    assert counted.is_longer
    said = food_clock_short(counted)
    assert said == "Out of the cold too long: home food rule 2 h, you plan 3 h 45 min with the drive"
    assert "drive" not in food_clock_short(food_clock(asked(**PARTY), catalogue, COOL_C))


@pytest.mark.parametrize(
    ("travel_minutes", "setup_h", "moment"),
    [
        (30.0, 0.25, "leaving the kitchen"),
        (30.0, 0.0, "leaving the kitchen"),
        (0.0, 0.25, "the start of setting up"),
        (0.0, 0.0, "the start of the display"),
    ],
)
def test_it_is_said_from_which_moment_the_hours_run(
    catalogue: Catalogue, travel_minutes: float, setup_h: float, moment: str
) -> None:
    counted = food_clock(asked(**PARTY, travel_minutes=travel_minutes), catalogue, COOL_C, setup_h)
    said = food_clock_sentence(counted, dt.time(15, 0), 4.0, METRIC)
    assert f"out of the fridge, counted from {moment}; the rule" in said


def test_what_is_not_counted_is_named_with_where_it_is() -> None:
    for said in (on_top_sentence(), on_top_sentence(0.5)):
        assert "the kitchen plan counts all, from the fridge door" in said
        assert "sooner" in said
    assert "only 30 min are counted" in on_top_sentence(0.5)
    assert on_top_sentence().startswith("Boxing, dowels and setting up add")
    assert on_top_sentence(has_dowels=False).startswith("Boxing and setting up add")


def test_the_hours_are_those_of_the_data(catalogue: Catalogue) -> None:
    facts = dict(catalogue.facts)
    facts["out:home", "hours"] = replace(facts["out:home", "hours"], value=3.5)
    facts["out:home", "hot_above"] = replace(facts["out:home", "hot_above"], value=31.0)
    changed = replace(catalogue, facts=facts)
    assert food_clock(asked(**PARTY), changed, COOL_C) == FoodClock(3, 3.5, 0)
    assert food_clock(asked(**PARTY | {"air_high_c": 32.0}), changed, COOL_C).hot_above_c == 31.0
