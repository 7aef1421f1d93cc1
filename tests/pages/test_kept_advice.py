from __future__ import annotations

import json

from tests.pages.sample_advice import sample_advisor
from webapp.advice.brief import Brief, Tier, read_brief
from webapp.advice.contract import Advice
from webapp.pages.kept_advice import advice_changes, advice_document, brief_changes, brief_document
from webapp.units import METRIC, US

BRIEF = Brief(setting="shade", air_high_c=31, tiers=(Tier(width_cm=30), Tier(shape="square")), diet=("vegan",))


def test_a_brief_comes_back_with_what_was_given_and_no_more() -> None:
    back = read_brief(json.dumps(brief_document(BRIEF)))
    assert back == BRIEF and back.model_fields_set == BRIEF.model_fields_set
    assert back.tiers[0].model_fields_set == {"width_cm"}


def test_an_advice_comes_back_as_it_was() -> None:
    advice = sample_advisor(BRIEF, METRIC)
    back = Advice.model_validate_json(json.dumps(advice_document(advice)))
    assert back == advice and back.brief.model_fields_set == BRIEF.model_fields_set


def test_the_same_advice_has_no_changes_and_another_verdict_is_one() -> None:
    advice = sample_advisor(BRIEF, METRIC)
    assert advice_changes(advice, advice, METRIC) == []
    other = advice.model_copy(update={"verdict": "nothing-fits"})
    assert [(row.name, row.now) for row in advice_changes(advice, other, METRIC)] == [("Verdict", "Nothing fits")]


def test_changes_of_a_brief_are_said_in_the_readers_units() -> None:
    hotter = BRIEF.model_copy(update={"air_high_c": 20.0, "date": None, "diet": ()})
    rows = {row.name: (row.was, row.now) for row in brief_changes(BRIEF, hotter, US)}
    assert rows == {
        "The warmest air": ("87.8 °F", "68 °F"),
        "What it must be free of": ("Anything from animals (vegan)", "none"),
    }
