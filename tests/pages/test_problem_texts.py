from __future__ import annotations

import pytest

from webapp.advice.brief import Brief, Tier
from webapp.errors import FieldProblem
from webapp.pages.brief_fields import ASKED
from webapp.pages.problem_texts import shown_problems
from webapp.units import METRIC, US

TIER_FIELDS = [f"tiers.0.{name}" for name in Tier.model_fields]


def say(field: str, problem: str = "is wrong", pairs: list[tuple[str, str]] | None = None) -> str:
    (shown,) = shown_problems([FieldProblem(field, problem, "something else")], pairs or [], METRIC)
    return shown.text


@pytest.mark.parametrize("field", [*Brief.model_fields, *TIER_FIELDS])
def test_every_field_is_named_by_its_noun(field: str) -> None:
    noun = ASKED[field.rpartition(".")[2]].noun
    assert noun.lower() in say(field).lower()


def test_whole_numbers_are_asked_for_as_such() -> None:
    assert say("tiers.0.layers", pairs=[("tiers-0-layers", "2.5")]) == (
        "Enter the layers of sponge of tier 1 as a whole number from 1 to 10."
    )


def test_a_list_is_linked_as_a_whole() -> None:
    (shown,) = shown_problems([FieldProblem("diet.1", "is not a choice", "one of these")], [], US)
    assert shown.element == "diet"
