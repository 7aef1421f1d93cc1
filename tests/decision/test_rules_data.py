"""What the shipped sentences must and must not say."""

from __future__ import annotations

import re

import pytest

from tests.decision.builders import RULES
from webapp.decision.limits import LIMITS

CAUTIONS = [rule for rule in RULES.values() if rule.kind == "caution"]
OCCASIONS = {"always", "egg", "syrup", "perishable", "stacked", "piped-flowers", "diet", "label", "aquafaba", "heat"}


def test_every_limit_rule_is_applied_and_every_limit_has_its_rule():
    assert {rule.id for rule in RULES.values() if rule.kind == "limit"} == {limit.id for limit in LIMITS}


def test_a_caution_applies_on_a_known_occasion():
    assert {rule.applies_to for rule in CAUTIONS} == OCCASIONS


def test_no_sentence_calls_food_safe():
    for rule in RULES.values():
        assert not re.search(r"\bsafe(ly)?\b", rule.sentence.lower()), rule.id


@pytest.mark.parametrize(
    ("id_", "figures"),
    [
        ("egg-cooking", ["160 °F (71 °C)"]),
        ("syrup-not-pasteurising", ["160 °F (71 °C)", "not shown to pasteurise"]),
        ("time-out", ["2 hours", "1 hour", "90 °F (32 °C)"]),
        ("time-control", ["4 hours", "41 °F (5 °C)", "6 hours", "70 °F (21 °C)"]),
        ("planning-help", ["Local food codes", "licensed practice"]),
    ],
)
def test_a_caution_gives_its_authoritys_figures(id_, figures):
    for figure in figures:
        assert figure in RULES[id_].sentence
