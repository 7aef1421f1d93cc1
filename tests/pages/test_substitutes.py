from __future__ import annotations

import re
from typing import Any
from urllib.parse import parse_qsl, urlsplit

import pytest
from flask.testing import FlaskClient

from tests.pages.page import Page, PageClient
from tests.pages.test_api import DOCUMENT, validator
from webapp.advice.brief import Brief
from webapp.pages.brief_address import brief_of
from webapp.pages.substitutes import asked_shape

FRENCH = "/substitutes?formulation=french-butter&avoid=egg-free"
EVENT = "setting=shade&air_high_c=29&hold_hours=3&diet=egg-free"


def races(page: Page) -> list[Brief]:
    """Read the briefs behind the buttons that lead to the advice."""
    links = [link.get("href", "") for link in page.all("a") if link.get("href", "").startswith("/advice?")]
    return [brief_of(parse_qsl(urlsplit(link).query, keep_blank_values=True)) for link in links]


def ticked(page: Page, name: str) -> set[str | None]:
    return {
        field.get("value") for field in page.all("input") if field.get("name") == name and "checked" in field.attrib
    }


def test_the_empty_page_asks_and_says_what_will_come(client: PageClient) -> None:
    page = client.get("/substitutes")
    assert "The swaps will stand here" in page.text()
    assert ticked(page, "avoid") == set()


def test_a_swap_is_told_in_grams_with_its_price_and_its_sources(client: PageClient) -> None:
    text = client.get("/substitutes?formulation=american-butter&avoid=dairy-free").text().replace("\xa0", " ")
    assert "227 g high-ratio shortening in place of 280 g unsalted butter (0.81 g for each gram)" in text
    assert "and 50 g of water with it" in text
    assert "takes away milk ; brings in soy" in text
    assert "Stands more heat" in text
    assert "Workable: close, and you will notice." in text
    assert "National Nutrient Database" in text


def test_what_was_asked_stays_ticked(client: PageClient) -> None:
    page = client.get("/substitutes?formulation=swiss-butter&avoid=vegan&avoid=soy-free")
    assert ticked(page, "avoid") == {"vegan", "soy-free"}


def test_french_without_egg_says_so_and_leads_to_the_nearest(client: PageClient) -> None:
    page = client.get(FRENCH)
    text = page.text()
    assert "No faithful or workable swap is known." in text
    # Seen to fail: what did not work stood under "Swaps, the closest first".
    assert "What else was tried" in text and "Swaps, the closest first" not in text
    assert "Not the same icing: Italian instead of French." in text
    assert page.by_id("nearby-title") is not None


def test_the_nearest_are_told_like_the_swaps_and_keep_the_butter_that_need_not_go(client: PageClient) -> None:
    page = client.get(FRENCH)
    for place in ("near-1", "near-2", "near-3"):
        (panel,) = [each for each in page.all("section") if each.get("aria-labelledby") == place]
        text = page.text(panel).replace("\xa0", " ")
        assert "Against French, all butter:" in text
        assert any(word in text for word in ("Less sweet", "As sweet", "Sweeter"))
        assert "takes away egg" in text and "Unsalted butter" in text
        assert "need not go:" not in text
    assert "American, all butter" in page.text()


def test_a_nearest_that_loses_the_butter_for_the_heat_says_why(client: PageClient) -> None:
    text = client.get(f"{FRENCH}&setting=shade&air_high_c=33&hold_hours=5").text()
    assert "It has no unsalted butter, though that need not go" in text


def test_water_is_told_only_where_it_counts(client: PageClient) -> None:
    # Seen to fail: 2 g less of other water in a formula without any.
    assert "less of other water" not in client.get("/substitutes?formulation=swiss-butter&avoid=dairy-free").text()
    to_block = client.get("/substitutes?formulation=american-half-shortening&avoid=soy-free").text()
    assert "less of other water" in to_block
    assert "of water with it" in client.get("/substitutes?formulation=swiss-butter&avoid=dairy-free").text()


def test_a_ratio_is_told_in_words(client: PageClient) -> None:
    text = client.get("/substitutes?formulation=american-butter&avoid=dairy-free").text()
    assert "Ratio: equal fat by the composition of both" in text
    assert "NDB" not in text


def test_from_every_swap_one_step_leads_to_the_advice_with_it_in_the_race(client: PageClient) -> None:
    page = client.get(f"/substitutes?formulation=swiss-butter&avoid=vegan&avoid=bone-char-free&{EVENT}")
    briefs = races(page)
    assert len(briefs) == 5
    for brief in briefs:
        assert (brief.setting, brief.air_high_c) == ("shade", 29)
        assert set(brief.diet) == {"egg-free", "vegan"}  # a brief does not know of bone char
        (own,) = brief.own_formulas
        assert own.family == "swiss"
        assert any("Beet or organic cane sugar" in line for line in own.lines)


def test_a_carried_brief_ticks_its_diet_and_is_kept(client: PageClient) -> None:
    page = client.get(f"/substitutes?{EVENT}")
    assert ticked(page, "avoid") == {"egg-free"}
    assert ("air_high_c", "29") in page.form_pairs("substitutes")
    assert "A brief is carried along" in page.text()


def test_a_formula_reached_from_an_advice_is_searched_with_the_diet_of_its_brief(client: PageClient) -> None:
    page = client.get(f"/substitutes?formulation=french-butter&{EVENT}")
    assert ticked(page, "avoid") == {"egg-free"}
    assert "Nothing was ticked" not in page.text()
    unticked = client.get(f"/substitutes?formulation=french-butter&avoid=&{EVENT}")
    assert ticked(unticked, "avoid") == set()
    assert "Nothing was ticked" in unticked.text()


def test_a_bad_diet_of_a_brief_is_told_once(client: PageClient) -> None:
    page = client.get("/substitutes?formulation=french-butter&diet=luck", status=422)
    assert "Tick at least one thing" not in page.text(page.by_id("problems"))


def test_a_swap_is_judged_between_the_layers_too_and_leads_to_a_plan_with_it_there(client: PageClient) -> None:
    bride = "setting=indoors&air_high_c=20&hold_hours=1&diet=no-undercooked-egg"
    page = client.get(f"/substitutes?formulation=french-butter&{bride}")
    text = page.text().replace("\xa0", " ")
    assert "Between the layers it stays" in text and "where it would creep" in text
    (first, *_) = [link for link in page.all("a") if link.get("href", "").startswith("/plan?")]
    assert page.text(first).startswith("Plan with it between the layers")
    query = parse_qsl(urlsplit(first.get("href", "")).query)
    assert ("filling", "own-1") in query and ("diet", "no-undercooked-egg") in query
    plan = client.get(first.get("href", ""), follow=True)
    assert "French with pasteurised egg yolk" in plan.text()


def test_a_hot_event_says_that_a_filling_would_creep(client: PageClient) -> None:
    hot = "setting=shade&air_high_c=38&hold_hours=8&diet=no-undercooked-egg"
    text = client.get(f"/substitutes?formulation=french-butter&{hot}").text()
    assert "Between the layers it gets warm enough to creep" in text


def test_each_result_is_tried_at_the_event(client: PageClient) -> None:
    text = client.get(f"{FRENCH}&{EVENT}").text()
    assert "The nearest that fits the event" in text
    assert re.search(r"Outside at this event it [a-z ]+: chance of holding ", text)


def test_at_an_event_the_swaps_that_do_better_there_come_first(client: PageClient) -> None:
    page = client.get("/substitutes?formulation=swiss-butter&avoid=dairy-free&setting=shade&air_high_c=31&hold_hours=3")
    text = page.text()
    assert "Swaps, those that hold at the event first, then the closest" in text
    # Seen to fail: the faithful blocks of fat that melts there stood before the shortenings that stand the heat.
    assert text.rindex("Outside at this event it is in doubt") < text.index("Outside at this event it does not hold")
    assert "Swaps, the closest first" in client.get("/substitutes?formulation=swiss-butter&avoid=dairy-free").text()


def test_why_an_ingredient_goes_is_said_where_more_than_one_thing_is_ticked(client: PageClient) -> None:
    assert "Egg yolk from shell eggs: " not in client.get(FRENCH).text()
    assert "Egg yolk from shell eggs: egg" in client.get(f"{FRENCH}&avoid=soy-free").text()


def test_a_formula_that_is_not_listed_leaves_the_menu_open(client: PageClient) -> None:
    # Seen to fail: the first of the menu was shown as if it had been chosen.
    page = client.get("/substitutes?formulation=custard&avoid=vegan", status=422)
    assert ("formulation", "") in page.form_pairs("substitutes")


def test_a_formula_that_is_free_says_so_with_the_labels_to_read(client: PageClient) -> None:
    text = client.get("/substitutes?formulation=american-plant&avoid=tree-nut-free").text()
    assert "As written it holds none of this: tree nuts." in text
    assert "Read the label all the same: Plant-based block for baking: tree nuts" in text
    assert "To be surer of the label" in text


def test_us_readers_get_fahrenheit(us_client: PageClient) -> None:
    assert "°F" in us_client.get("/substitutes?formulation=american-butter&avoid=dairy-free").text()


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("formulation=custard&avoid=vegan", "Choose the buttercream from the list."),
        ("formulation=swiss-butter&avoid=luck", "Tick at least one thing that it must be free of."),
        ("formulation=swiss-butter&avoid=vegan&air_high_c=hot", "The warmest air"),
    ],
)
def test_what_is_wrong_is_told_and_the_rest_kept(client: PageClient, query: str, said: str) -> None:
    page = client.get(f"/substitutes?{query}", status=422)
    assert said in page.text(page.by_id("problems"))
    assert ticked(page, "avoid") <= {"vegan"}


def test_cautions_stand_with_their_sources(client: PageClient) -> None:
    text = client.get(FRENCH).text()
    assert "Local food codes, licensed practice and your own test batch come first" in text
    assert "does not make a cake fit for a guest with an allergy" in text


def test_an_address_becomes_the_shape_that_the_api_takes() -> None:
    pairs = [("formulation", "swiss-butter"), ("avoid", ""), ("avoid", "vegan"), ("air_high_f", "86"), ("units", "us")]
    shape = asked_shape(pairs)
    assert shape == {"formulation": "swiss-butter", "avoid": ["vegan"], "brief": {"air_high_c": 30}}


ASKED: list[dict[str, Any]] = [
    {"formulation": "swiss-butter"},
    {"formulation": "american-half-shortening", "avoid": ["vegan", "soy-free"]},
    {"formulation": "french-butter", "avoid": ["egg-free"], "brief": {"setting": "indoors", "air_high_c": 24}},
]


@pytest.mark.parametrize("asked", ASKED)
def test_the_api_takes_and_gives_what_is_described(browser: FlaskClient, asked: dict[str, Any]) -> None:
    validator("SubstitutesIn").validate(asked)
    response = browser.post("/api/substitutes", json=asked)
    assert (response.status_code, response.mimetype) == (200, "application/json")
    validator("SubstitutesOut").validate(response.get_json())


def test_the_api_answers_the_same_by_address(browser: FlaskClient) -> None:
    by_address = browser.get("/api/substitutes?formulation=french-butter&avoid=egg-free&setting=indoors&air_high_c=24")
    assert by_address.get_json() == browser.post("/api/substitutes", json=ASKED[2]).get_json()


def test_a_way_of_the_api_asked_as_a_brief_is_advised_on(browser: FlaskClient) -> None:
    ways = browser.post("/api/substitutes", json=ASKED[1]).get_json()["ways"]
    brief = {"own_formulas": [ways[0]["own_formula"]], "diet": ["vegan", "soy-free"]}
    validator("Brief").validate(brief)
    assert browser.post("/api/advice", json=brief).status_code == 200


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({}, "formulation"),
        ({"formulation": "custard"}, "formulation"),
        ({"formulation": "swiss-butter", "avoid": ["luck"]}, "avoid.0"),
        ({"formulation": "swiss-butter", "brief": {"air_high_c": 99}}, "brief.air_high_c"),
    ],
)
def test_the_api_names_a_bad_field(browser: FlaskClient, asked: dict[str, Any], field: str) -> None:
    response = browser.post("/api/substitutes", json=asked)
    assert response.status_code == 422
    validator("ProblemsOut").validate(response.get_json())
    assert [problem["field"] for problem in response.get_json()["problems"]] == [field]


def test_the_api_refuses_what_is_no_json(browser: FlaskClient) -> None:
    assert browser.post("/api/substitutes", data="{}").status_code == 415
    assert {"415", "413", "422"} <= set(DOCUMENT["paths"]["/api/substitutes"]["post"]["responses"])
