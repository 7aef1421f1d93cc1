from __future__ import annotations

from pathlib import Path

import pytest

from tests.catalogue.test_checks import faults_of, line_of, replace, spoil
from webapp.advice.cautions import _APPLIES
from webapp.catalogue.named import CRITERION_UNITS, OCCASIONS, RULE_KINDS
from webapp.decision.criteria import CRITERIA
from webapp.decision.limits import LIMITS


def test_every_criterion_of_the_code_is_asked_for_in_its_unit() -> None:
    assert {id_: criterion.unit for id_, criterion in CRITERIA.items()} == CRITERION_UNITS


def test_every_limit_of_the_code_is_asked_for() -> None:
    assert {limit.id for limit in LIMITS} == {name for name, kind in RULE_KINDS.items() if kind == "limit"}


def test_a_caution_may_be_shown_on_exactly_the_occasions_that_the_advice_knows() -> None:
    assert set(OCCASIONS["caution"]) == set(_APPLIES)


@pytest.mark.parametrize(
    ("file", "start", "name"),
    [
        ("criteria.csv", "heat,", "heat"),
        ("rules.csv", "vegan,", "vegan"),
        ("rules.csv", "at-risk-guests,", "at-risk-guests"),
        ("rules.csv", "six-hours,", "six-hours"),
    ],
)
def test_a_row_that_the_advisor_calls_by_name_is_missed(folder: Path, file: str, start: str, name: str) -> None:
    number = line_of(folder, file, start)
    spoil(folder, file, lambda lines: lines.__delitem__(number - 1))
    (fault,) = faults_of(folder)
    assert (fault.file, fault.problem) == (file, f"{name!r} is not given")


@pytest.mark.parametrize(
    ("file", "start", "old", "new", "column", "problem"),
    [
        ("criteria.csv", "heat,", "1,K,", "1,h,", "unit", "'h' is not the unit of heat"),
        ("criteria.csv", "effort,", "effort,", "trouble,", "criterion", "there is no criterion 'trouble'"),
        ("rules.csv", "vegan,", ",limit,", ",caution,", "kind", "'vegan' is no caution"),
        ("rules.csv", "egg-cooking,", ",egg,", ",eggs,", "applies_to", "a caution is never shown for 'eggs'"),
        ("rules.csv", "equipment,", "{what}", "{tool}", "sentence", "is not filled"),
        ("rules.csv", "equipment,", "{what}", "{what:5000}", "sentence", "is not filled"),
        ("rules.csv", "equipment,", "{what}", "{", "sentence", "is not filled"),
        ("rules.csv", "egg-cooking,", "caution,egg,", "caution,egg,{what} ", "sentence", "is not filled"),
        (
            *("substitution_effects.csv", "butter-to-high-ratio,minutes,", ",min,", ",feel,", "unit"),
            "'feel' is not the unit of minutes",
        ),
        (
            *("substitution_effects.csv", "butter-to-high-ratio,minutes,", ",minutes,", ",turbidity,", "property"),
            "a buttercream has no property 'turbidity'",
        ),
    ],
)
def test_what_would_fall_silent_or_change_its_meaning_is_refused_in_its_place(
    folder: Path, file: str, start: str, old: str, new: str, column: str, problem: str
) -> None:
    number = replace(folder, file, start, old, new)
    found = [fault for fault in faults_of(folder) if fault.column == column and problem in fault.problem]
    assert [(fault.file, fault.line) for fault in found] == [(file, number)]


def test_a_syrup_without_sugar_is_refused(folder: Path) -> None:
    number = line_of(folder, "formulas.csv", "french-butter,granulated-sugar,")
    spoil(folder, "formulas.csv", lambda lines: lines.__delitem__(number - 1))
    (fault,) = faults_of(folder)
    assert (fault.line, fault.problem) == (number, "the syrup of 'french-butter' has no sugar in it")
