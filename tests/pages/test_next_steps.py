"""Where an advice leads: each link opens, about the same brief."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

import pytest
from flask import Flask

from webapp import create_app
from webapp.advice.brief import Brief
from webapp.advice.own_formulas import as_typed
from webapp.config import Config
from webapp.pages.advisor import current_advisor, current_catalogue
from webapp.pages.next_steps import NextStep, firmer_address, next_steps, own_choice
from webapp.units import METRIC

WARM_HALL = {"setting": "indoors", "air_high_c": 26, "hold_hours": 6}
GIVEN_UP = {"diet": ("vegan", "soy-free", "tree-nut-free"), "equipment": (), "piping": "fine"}


@pytest.fixture(scope="module", name="app")
def real_app() -> Flask:
    """The product with its own data, as the pages of the kitchen compute with them."""
    return create_app(Config())


def steps_for(app: Flask, **fields) -> list[NextStep]:
    with app.app_context():
        brief = Brief.model_validate(WARM_HALL | fields)
        return next_steps(current_advisor()(brief, METRIC), brief)


@pytest.mark.parametrize("place", range(4))
def test_each_page_opens_about_the_same_brief(app: Flask, place: int) -> None:
    step = steps_for(app)[place]
    assert app.test_client().get(step.address).status_code == 200
    assert parse_qs(urlsplit(step.address).query)["air_high_c"] == ["26"]


def test_where_nothing_fits_only_substitutes_are_left(app: Flask) -> None:
    steps = steps_for(app, **GIVEN_UP)
    assert [urlsplit(step.address).path for step in steps] == ["/substitutes"]
    assert app.test_client().get(steps[0].address).status_code == 200


def test_the_favourite_with_a_firmer_fat_is_one_link_away(app: Flask) -> None:
    with app.app_context():
        brief = Brief.model_validate(WARM_HALL)
        advice = current_advisor()(brief, METRIC)
        address = firmer_address(advice, brief)
    assert address is not None
    assert advice.taste is not None
    assert advice.taste.firmer is not None
    page = app.test_client().get(address, follow_redirects=True).get_data(as_text=True)
    page = page.replace("\N{NO-BREAK SPACE}", " ")
    assert advice.taste.firmer.name.startswith("Swiss, ")
    assert advice.taste.firmer.name.replace("\N{NO-BREAK SPACE}", " ") in page


def test_an_own_formula_as_good_as_the_first_is_offered_with_its_plan(app: Flask) -> None:
    cool = {"setting": "indoors", "air_high_c": 20, "hold_hours": 2, "piping": "none"}
    with app.app_context():
        own = as_typed(current_catalogue().formulations["italian-butter"], "Like the other")
        brief = Brief.model_validate(cool | {"own_formulas": (own,)})
        advice = current_advisor()(brief, METRIC)
        offered = own_choice(advice, brief)
        assert own_choice(current_advisor()(Brief.model_validate(cool), METRIC), Brief.model_validate(cool)) is None
    assert offered is not None
    assert offered.name == "Like the other"
    assert advice.pairing is not None
    assert advice.pairing.coat.formulation != "own-1"
    assert parse_qs(urlsplit(offered.address).query)["coat"] == ["own-1"]
    assert app.test_client().get(offered.address).status_code == 200
