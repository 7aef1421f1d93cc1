from __future__ import annotations

from flask import Flask

from webapp.pages.carried_brief import read_carried
from webapp.pages.problem_texts import Shown
from webapp.units import METRIC

OWN = [
    ("own_formulas-0-name", "Ours"),
    ("own_formulas-0-family", "american"),
    ("own_formulas-0-egg_treatment", "none"),
    ("own_formulas-0-lines", "480 g icing sugar\n227 g butter"),
]


def test_without_a_brief_nothing_is_wrong(app: Flask) -> None:
    problems: list[Shown] = []
    with app.app_context():
        brief, catalogue = read_carried([], METRIC, problems)
    assert brief is None and not problems
    assert "own-1" not in catalogue.formulations


def test_a_carried_brief_brings_its_own_formulas(app: Flask) -> None:
    problems: list[Shown] = []
    with app.app_context():
        brief, catalogue = read_carried([("setting", "indoors"), ("hold_hours", "2"), *OWN], METRIC, problems)
    assert brief is not None and brief.hold_hours == 2 and not problems
    assert catalogue.formulations["own-1"].name == "Ours"


def test_what_is_wrong_with_a_carried_brief_is_told_where_it_is_carried(app: Flask) -> None:
    problems: list[Shown] = []
    with app.app_context():
        brief, catalogue = read_carried([("hold_hours", "99")], METRIC, problems)
    assert brief is None and "swiss-butter" in catalogue.formulations
    assert [(each.field, each.element) for each in problems] == [("hold_hours", "carried")]
    assert "12" in problems[0].text
