"""What the weather does to one coat, in pairs that a baker can check: a row of tests/cases/weather.csv.

``better`` and ``worse`` are briefs that differ in one thing. ``hold_times_from`` is how many times as long as the worse
the better likely holds, at least; the chances are those of holding the hours that each asks for.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tests.advice.asking import TODAY
from webapp.advice.brief import read_brief
from webapp.advice.heat import PartHold, warm_cake
from webapp.advice.holds import coat_hold
from webapp.advice.service import Advisor

Case = dict[str, str]

FILE = Path(__file__).resolve().parents[1] / "cases" / "weather.csv"
COLUMNS = {"name", "coat", "better", "worse", "hold_times_from", "better_chance_from", "worse_chance_to", "note"}

with FILE.open(encoding="utf-8", newline="") as _file:
    CASES: list[Case] = list(csv.DictReader(_file))


def look_of(advisor: Advisor, coat: str, brief: str) -> PartHold:
    formulation = advisor.catalogue.formulations[coat]
    heat = warm_cake(read_brief(brief), advisor.catalogue, advisor.seed, TODAY, (formulation.family.id,))
    return coat_hold(formulation, heat, advisor.softness, advisor.catalogue).look


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_the_better_weather_is_better(case: Case, advisor: Advisor) -> None:
    better, worse = (look_of(advisor, case["coat"], case[column]) for column in ("better", "worse"))
    said = f"{better.spread}, chance {better.chance:.2f}, against {worse.spread}, chance {worse.chance:.2f}"
    assert better.chance >= worse.chance, said
    if case["hold_times_from"]:
        assert better.spread.likely >= float(case["hold_times_from"]) * worse.spread.likely > 0, said
    if case["better_chance_from"]:
        assert better.chance >= float(case["better_chance_from"]), said
    if case["worse_chance_to"]:
        assert worse.chance <= float(case["worse_chance_to"]), said


def test_cases_are_named_once_and_expect_something() -> None:
    assert len({case["name"] for case in CASES}) == len(CASES) >= 20
    expected = ("hold_times_from", "better_chance_from", "worse_chance_to")
    for case in CASES:
        assert set(case) == COLUMNS
        assert case["note"] and any(case[column] for column in expected)
        assert read_brief(case["better"]) != read_brief(case["worse"])
