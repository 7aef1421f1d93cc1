"""The three briefs to try, asked of the advisor itself."""

from __future__ import annotations

import pytest
from flask import Flask

from webapp.advice.service import Advisor as Service
from webapp.pages.advisor import advisor_of
from webapp.pages.examples import EGG_ALLERGY, EXAMPLES, GARDEN_WEDDING, VEGAN_RETIREMENT, Example
from webapp.units import METRIC, US

# Each shows another side of the work: a family that stands the heat, one ruled out, and a diet that decides.
EXPECTED = {
    GARDEN_WEDDING.title: ("holds", "american"),
    EGG_ALLERGY.title: ("holds", "american"),
    VEGAN_RETIREMENT.title: ("holds", "swiss"),
}


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.title)
def test_each_example_has_the_answer_it_is_there_to_show(app: Flask, example: Example) -> None:
    advice = advisor_of(Service(app.extensions["catalogue"]))(example.brief, METRIC)
    assert advice.pairing is not None
    assert (advice.verdict, advice.pairing.coat.family) == EXPECTED[example.title]
    chosen = {advice.pairing.coat.formulation, advice.pairing.filling.formulation}
    assert not chosen & {row.formulation for row in advice.excluded}


def test_the_vegan_cake_has_a_time_by_which_it_must_be_cut(app: Flask) -> None:
    assert advisor_of(Service(app.extensions["catalogue"]))(VEGAN_RETIREMENT.brief, METRIC).cut_by is not None


def test_the_invitation_speaks_the_units_of_the_reader() -> None:
    assert "31 °C" in GARDEN_WEDDING.said(METRIC)
    assert "88 °F" in GARDEN_WEDDING.said(US)
