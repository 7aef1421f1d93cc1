from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from tests.advice.asking import asked
from webapp.advice.food_clock import (
    FoodClock,
    food_clock,
    food_clock_sentence,
    food_clock_short,
    on_top_sentence,
    rule_for_homes,
)
from webapp.catalogue.model import Catalogue
from webapp.units import METRIC

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
        (0.75, 3, 2, None, 4, "so serve it by 16:15."),
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
    assert rule_for_homes(asked(**PARTY | fields), catalogue).allows_h == allows_h


def test_drive_and_set_up_count_before_the_display(catalogue: Catalogue) -> None:
    counted = food_clock(asked(**PARTY, travel_minutes=30.0), catalogue, setup_h=0.25)
    assert (counted.before_h, counted.out_h, counted.limit_h) == (0.75, 3.75, 2)
    assert counted.is_longer
    said = food_clock_short(counted)
    assert said == "Out of the cold too long: home food rule 2 h, you plan 3 h 45 min with the drive"
    assert "drive" not in food_clock_short(food_clock(asked(**PARTY), catalogue))


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
    counted = food_clock(asked(**PARTY, travel_minutes=travel_minutes), catalogue, setup_h)
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
    assert food_clock(asked(**PARTY), changed) == FoodClock(3, 3.5, 0)
    assert food_clock(asked(**PARTY | {"air_high_c": 32.0}), changed).hot_above_c == 31.0
