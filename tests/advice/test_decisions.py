"""Decisions that a baker can read and check: a row of tests/cases/decisions.csv is a brief and what must come out.

An empty cell is not checked. ``a|b`` means either. ``excluded`` lists ``formulation:limit`` or, where a limit
removes a whole family from a role, ``family:limit``; ``levers`` lists ``field`` or ``field:to``. All that is
listed there must be among what the advice gives. ``hold_…_h`` bound the likely hold of the advised coat.
"""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

from tests.advice.asking import TODAY
from webapp.advice.brief import read_brief
from webapp.advice.contract import Advice, PairingOut
from webapp.advice.service import Advisor
from webapp.advice.wording import write_advice
from webapp.catalogue.model import Catalogue
from webapp.units import METRIC

Case = dict[str, str]

FILE = Path(__file__).resolve().parents[1] / "cases" / "decisions.csv"
ONE_OF = ("verdict", "coat_family", "coat", "filling_family", "filling", "needs_dam")
ALL_OF = ("excluded", "levers", "cautions")
EXACTLY = ("nothing_limits",)
BOUNDS = ("at_least_chance", "at_most_chance", "hold_at_least_h", "hold_at_most_h")
COLUMNS = {"name", "brief", *ONE_OF, *ALL_OF, *EXACTLY, *BOUNDS, "note"}

with FILE.open(encoding="utf-8", newline="") as _file:
    CASES: list[Case] = list(csv.DictReader(_file))


def choice_seen(advice: Advice, pairing: PairingOut) -> dict[str, str]:
    return {
        "verdict": advice.verdict,
        "coat_family": pairing.coat.family,
        "coat": pairing.coat.formulation,
        "filling_family": pairing.filling.family,
        "filling": pairing.filling.formulation,
        "needs_dam": "yes" if pairing.needs_dam else "no",
    }


def exclusions_seen(advice: Advice, catalogue: Catalogue) -> set[str]:
    sizes = Counter(formulation.family.id for formulation in catalogue.formulations.values())
    removed = Counter((out.family, out.role, out.limit) for out in advice.excluded)
    families = {f"{family}:{limit}" for (family, _, limit), n in removed.items() if n == sizes[family]}
    return families | {f"{out.formulation}:{out.limit}" for out in advice.excluded}


def lists_seen(advice: Advice, catalogue: Catalogue) -> dict[str, set[str]]:
    return {
        "excluded": exclusions_seen(advice, catalogue),
        "cautions": {caution.id for caution in advice.cautions},
        "levers": {text for out in advice.levers for text in (out.lever, f"{out.lever}:{out.to}")},
        "nothing_limits": set(advice.nothing_fits.limits) if advice.nothing_fits else set(),
    }


def wrong_choices(case: Case, advice: Advice) -> list[str]:
    seen = choice_seen(advice, advice.pairing) if advice.pairing else {"verdict": advice.verdict}
    return [
        f"{column} is {seen.get(column, 'none')}, not {case[column]}"
        for column in ONE_OF
        if case[column] and seen.get(column) not in case[column].split("|")
    ]


def wrong_lists(case: Case, advice: Advice, catalogue: Catalogue) -> list[str]:
    seen = lists_seen(advice, catalogue)
    wrong = [
        f"{column} lacks {', '.join(sorted(missing))}"
        for column in ALL_OF
        if (missing := set(case[column].split()) - seen[column])
    ]
    return wrong + [
        f"{column} are {', '.join(sorted(seen[column]))}, not {case[column]}"
        for column in EXACTLY
        if case[column] and set(case[column].split()) != seen[column]
    ]


def wrong_bounds(case: Case, advice: Advice) -> list[str]:
    if not any(case[column] for column in BOUNDS):
        return []
    assert advice.hold is not None, "a hold is expected where something fits"
    chance, likely_h = advice.hold.chance, advice.hold.likely_h
    checks = {
        "at_least_chance": lambda bound: chance >= bound,
        "at_most_chance": lambda bound: chance <= bound,
        "hold_at_least_h": lambda bound: likely_h >= bound,
        "hold_at_most_h": lambda bound: likely_h <= bound,
    }
    return [
        f"{column} {case[column]} is missed: chance {chance:.2f}, likely {likely_h:.2f} h"
        for column, is_met in checks.items()
        if case[column] and not is_met(float(case[column]))
    ]


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_decision_comes_out(case: Case, advisor: Advisor, catalogue: Catalogue) -> None:
    advice = write_advice(advisor.advise(read_brief(case["brief"]), TODAY), METRIC)
    wrong = wrong_choices(case, advice) + wrong_lists(case, advice, catalogue) + wrong_bounds(case, advice)
    assert not wrong, f"{advice.headline} But {'; '.join(wrong)}"


def test_cases_are_named_once_and_expect_something() -> None:
    assert len({case["name"] for case in CASES}) == len(CASES) >= 40
    assert all(set(case) == COLUMNS for case in CASES)
    assert all(case["note"] and any(case[column] for column in COLUMNS - {"name", "brief", "note"}) for case in CASES)


def test_a_wrong_expectation_is_told(advisor: Advisor, catalogue: Catalogue) -> None:
    advice = write_advice(advisor.advise(read_brief("{}"), TODAY), METRIC)
    wrong = dict.fromkeys(COLUMNS, "") | {
        "coat_family": "none-such",
        "excluded": "french:vegan",
        "nothing_limits": "vegan",
        "at_most_chance": "0.1",
    }
    assert len(wrong_choices(wrong, advice)) == 1
    assert len(wrong_lists(wrong, advice, catalogue)) == 2
    assert len(wrong_bounds(wrong, advice)) == 1
