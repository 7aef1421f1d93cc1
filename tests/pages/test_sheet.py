from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.pages.open_shop import CLIENT, OWNER, STAFF, event_of, kept, new_token, open_shop, visitor
from tests.pages.page import Page, check_page
from tests.pages.visiting import send
from tests.records.samples import Clock
from webapp.advice.brief import Brief, Tier
from webapp.pages.cutaway.words import dowel_words
from webapp.pages.link_tokens import signed
from webapp.pages.sheet_words import allergens_of, without_rule
from webapp.pages.shop import records_of
from webapp.records.columns import utc_now
from webapp.records.links import Links

TOKEN = re.compile(r"https://cakes\.example/s/([\w.-]+)")


@pytest.fixture
def shop(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    made = open_shop(tmp_path / "shop", app.extensions["catalogue"])
    yield made
    records_of(made).close()


@pytest.fixture
def staff(shop: Flask) -> FlaskClient:
    return visitor(shop, STAFF)


@pytest.fixture
def page_of(shop: Flask) -> str:
    return f"/consultations/{shop.extensions['consultation_id']}"


def make_link(browser: FlaskClient, page_of: str, days: str = "30") -> TestResponse:
    return send(browser, f"{page_of}/links", {"days": days}, page=f"{page_of}/sheet")


def token_in(response: TestResponse) -> str:
    found = TOKEN.search(response.get_data(as_text=True))
    assert found
    return found[1]


def shown(response: TestResponse) -> Page:
    page = Page(response)
    check_page(page)
    return page


def test_the_sheet_says_what_a_client_needs(staff: FlaskClient, page_of: str) -> None:
    text = shown(staff.get(f"{page_of}/sheet")).text().replace("\xa0", " ")
    for needed in (
        f"For {CLIENT}",
        "American, half butter and half high-ratio shortening",
        "Swiss, all butter",
        "The American coat is expected to keep its look",
        "For food safety, serve the cake by 16:35. The plan to cut it at 18:00 is too late",
        "a cake that leaves the fridge at 14:35: talk to the shop.",
        "keeps its look longer, but that does not make it safe to eat.",
        "If it gets warmer than 32 °C (90 °F), the limit is 1 h. US Department of Agriculture",
        "set it down at 15:00, still in its box; open the box at 15:40",
        "Until 14:35 it stays in the fridge; getting it ready and setting it up take until 15:00.",
        "Serve it by 16:35.",
        "Throw away whatever was still out of the fridge at 16:35.",
        "High-ratio shortening is a solid white fat.",
        "On the day",
        "Contains: milk, egg, soybeans (US, EU and UK lists)",
        "May also hold gluten, depending on the maker of the powdered sugar with corn starch: ask the shop",
        "Egg in “Swiss, all butter”: heated to 71 °C (160 °F) with the sugar. Heating does not remove the allergen.",
        "ask the shop for the whole list",
        "Pregnant guests",
    ):
        assert needed in text, needed
    for strange in ("as planned", "test batch", "kitchen plan", "of this project", "common practice"):
        assert strange not in text, strange


def test_a_cake_whose_time_is_over_on_arrival_is_not_set_down_served_and_thrown_away(shop: Flask) -> None:
    # Seen to fail: the client was told to open the box, to serve it by then and to throw away what stood out then.
    brief = Brief(tiers=(Tier(width_cm=20),), air_high_c=24, travel_minutes=150)
    id_ = records_of(shop).consultations.add(event_of(brief)).id
    text = shown(visitor(shop, STAFF).get(f"/consultations/{id_}/sheet")).text().replace("\xa0", " ")
    for needed in (
        "This plan breaks the food rule: change it before you hand it over.",
        "before it can be served: settle another plan with the shop first.",
        "Indoors, planned from 15:00.",
        "On the road (2 h 30 min)",
        "Throw away what was out of it for longer than the rule allows.",
    ):
        assert needed in text, needed
    for strange in ("set it down", "open the box", "Serve it by", "Stand it", "still out of the fridge at", "Until "):
        assert strange not in text, strange


def test_one_hour_is_told_with_its_cause_be_it_the_air_or_the_coat(shop: Flask) -> None:
    # Seen to fail: "because it gets warmer than 32 °C; in cooler air it is 2 h", of a hot coat in cooler air.
    content = event_of(Brief(tiers=(Tier(width_cm=20),), setting="shade", air_high_c=27))
    hot = content.advice | {"food_clock": content.advice["food_clock"] | {"limit_h": 1}}
    id_ = records_of(shop).consultations.add(replace(content, advice=hot)).id
    text = shown(visitor(shop, STAFF).get(f"/consultations/{id_}/sheet")).text().replace("\xa0", " ")
    assert "That short as the air or the coat gets warmer than 32 °C (90 °F); else it is 2 h." in text


def test_a_warning_stands_before_what_is_praised(shop: Flask, page_of: str) -> None:
    # Seen to fail: it stood two panels further down.
    text = shown(visitor(shop, STAFF).get(f"{page_of}/sheet")).text()
    assert text.index("For food safety, serve the cake by") < text.index("Your buttercream")


def test_the_readers_degrees_come_first_on_the_whole_sheet(shop: Flask) -> None:
    # Seen to fail: 32 °C before 90 °F where the food's time is told.
    token = new_token(shop, shop.extensions["consultation_id"])
    text = shown(visitor(shop).get(f"/s/{token}?units=us")).text().replace("\xa0", " ")
    for needed in ("warmer than 90 °F (32 °C)", "heated to 160 °F (71 °C)"):
        assert needed in text, needed


def test_links_are_told_apart(staff: FlaskClient, page_of: str) -> None:
    make_link(staff, page_of)
    page = shown(make_link(staff, page_of))
    told = [page.text(item).replace("\xa0", " ") for item in page.all("li") if "made" in page.text(item)]
    assert [line.partition(":")[0] for line in told] == ["Link 2", "Link 1"]
    assert all("Revoke link" in line and "UTC" in line for line in told)


def test_the_client_is_shown_no_crumb_with_a_face(shop: Flask, page_of: str) -> None:
    page = shown(visitor(shop, STAFF).get(f"{page_of}/sheet"))
    assert "cut-sponge" in page.html
    assert "cut-face" not in page.html and "crumb on the table" not in page.html


def test_the_client_sees_neither_costs_nor_internals_nor_a_way_on(shop: Flask, page_of: str) -> None:
    token = new_token(shop, shop.extensions["consultation_id"])
    page = shown(visitor(shop).get(f"/s/{token}"))
    assert page.status == 200
    assert [link.get("href") for link in page.all("a") + page.all("form") + page.all("button")] == []
    assert {link.get("href") for link in page.all("link")} == {"/static/mark.svg", "/static/style.css"}
    text = page.text().lower()
    for hidden in (
        "points of",
        "weight",
        "grams",
        "price",
        "cost",
        "revoke",
        "chance",
        "thermometer",
        "warmth",
        "rule of thumb",
    ):
        assert hidden not in text, hidden
    assert page_of not in page.html


def test_the_link_is_not_kept_by_caches_nor_found_by_searching(shop: Flask) -> None:
    token = new_token(shop, shop.extensions["consultation_id"])
    response = visitor(shop).get(f"/s/{token}")
    assert response.headers["Cache-Control"] == "no-store"
    assert response.headers["X-Robots-Tag"] == "noindex, nofollow"


def test_a_new_link_is_shown_once_and_opens_for_nobody_in_particular(
    shop: Flask, staff: FlaskClient, page_of: str
) -> None:
    made = make_link(staff, page_of)
    shown(made)
    token = token_in(made)
    assert token not in staff.get(f"{page_of}/sheet").get_data(as_text=True)
    assert CLIENT in visitor(shop).get(f"/s/{token}").get_data(as_text=True)


def test_a_link_made_in_other_units_opens_in_them(shop: Flask, staff: FlaskClient, page_of: str) -> None:
    staff.set_cookie("units", "uk", domain="cakes.example")
    made = make_link(staff, page_of).get_data(as_text=True)
    assert "?units=uk" in made
    token = new_token(shop, shop.extensions["consultation_id"])
    assert "7\xa0⅞\xa0in" in visitor(shop).get(f"/s/{token}?units=uk").get_data(as_text=True)


def test_all_measures_are_the_readers_whatever_was_kept(shop: Flask) -> None:
    # Seen to fail: with the degrees, and lengths with them, of the scale in which the sentences were kept.
    token = new_token(shop, shop.extensions["consultation_id"])
    text = shown(visitor(shop).get(f"/s/{token}?units=us")).text().replace("\xa0", " ")
    for needed in ("up to 75 °F", "Round 7 ⅞ in", "Serve it by 4:35 pm.", "Saturday, June 26, 2027"):
        assert needed in text, needed
    assert "24 °C" not in text and " cm" not in text and "16:35" not in text


def _another(letter: str) -> str:
    return "B" if letter == "A" else "A"


def altered(token: str) -> list[str]:
    name, _, secret = token.partition(".")
    return [
        f"{name}.{secret[:5]}{_another(secret[5])}{secret[6:]}",
        f"{name}.{secret[:-1]}",
        f"{name}.{secret}x",
        f"{name}.",
        name,
        f"{_another(name[0])}{name[1:]}.{secret}",
        f".{secret}",
        secret,
        token.swapcase(),
        "%00",
        "é.é",
        "a" * 5000,
    ]


def test_a_tampered_link_opens_nothing(shop: Flask) -> None:
    # Seen to fail: with the signature and the comparison of digests in the links left out.
    token = new_token(shop, shop.extensions["consultation_id"])
    for wrong in altered(token):
        response = visitor(shop).get(f"/s/{wrong}")
        assert response.status_code in (404, 414), wrong
        assert CLIENT not in response.get_data(as_text=True)
    assert visitor(shop).get(f"/s/{token}").status_code == 200


def test_a_link_that_is_over_opens_nothing_and_says_no_more_than_a_wrong_one(shop: Flask) -> None:
    records, clock = records_of(shop), Clock(utc_now() - dt.timedelta(days=8))
    made = Links(records.storage, clock).make(shop.extensions["consultation_id"], dt.timedelta(days=7))
    with shop.app_context():
        token = signed(made.token)
    over, wrong = (visitor(shop).get(f"/s/{each}") for each in (token, "a.b"))
    assert over.status_code == wrong.status_code == 404
    assert over.get_data() == wrong.get_data()
    page = shown(over)
    assert "Ask the shop for a new one." in page.text()
    assert page.all("a") == []


def test_a_revoked_link_opens_nothing_and_is_told_so_to_the_shop(shop: Flask, staff: FlaskClient, page_of: str) -> None:
    token = token_in(make_link(staff, page_of))
    name = token.partition(".")[0]
    response = send(staff, f"{page_of}/links/{name}/revoke", page=f"{page_of}/sheet")
    assert response.status_code == 303
    assert visitor(shop).get(f"/s/{token}").status_code == 404
    assert "; revoked" in shown(staff.get(f"{page_of}/sheet")).text()


def test_a_deleted_consultation_closes_its_links(shop: Flask) -> None:
    records, id_ = records_of(shop), shop.extensions["consultation_id"]
    token = new_token(shop, id_)
    records.consultations.delete(id_)
    assert visitor(shop).get(f"/s/{token}").status_code == 404


def test_the_holder_of_a_link_reaches_nothing_else(shop: Flask, page_of: str) -> None:
    token = new_token(shop, shop.extensions["consultation_id"])
    holder = visitor(shop)
    assert holder.get(f"/s/{token}").status_code == 200
    before = kept(shop)
    for address in ("/", "/consultations", page_of, f"{page_of}/sheet", f"{page_of}/after", "/events", "/api/schema"):
        response = holder.get(address)
        assert response.status_code in (303, 401), address
        assert CLIENT not in response.get_data(as_text=True)
    for address in (f"{page_of}/links", f"{page_of}/after", "/events/use", f"/s/{token}"):
        assert holder.post(address, data={"days": "7"}).status_code in (401, 403, 405), address
    assert kept(shop) == before


def test_a_link_of_one_event_cannot_be_revoked_from_another(shop: Flask, staff: FlaskClient, page_of: str) -> None:
    other = records_of(shop).consultations.duplicate(shop.extensions["consultation_id"]).id
    token = new_token(shop, other)
    response = send(staff, f"{page_of}/links/{token.partition('.')[0]}/revoke", page=f"{page_of}/sheet")
    assert response.status_code == 404
    assert visitor(shop).get(f"/s/{token}").status_code == 200


def test_a_time_that_is_not_on_the_list_is_refused(staff: FlaskClient, page_of: str) -> None:
    response = make_link(staff, page_of, days="99999")
    assert response.status_code == 422
    assert "Choose from the list" in shown(response).text()
    assert not TOKEN.search(response.get_data(as_text=True))


def test_the_sheet_is_about_the_pairing_that_was_chosen(shop: Flask, page_of: str) -> None:
    records = records_of(shop)
    record = records.consultations.get(shop.extensions["consultation_id"])
    records.consultations.choose(record.id, "american-half-shortening", "french-butter", record.revision)
    text = shown(visitor(shop, OWNER).get(f"{page_of}/sheet")).text()
    assert "French, all butter" in text
    assert "You chose it over American, half butter and half high-ratio shortening with Swiss, all butter" in text
    assert "Egg in “French, all butter”: hot syrup only: counts as undercooked." in text


def test_a_coat_that_does_not_hold_is_not_promised_anything(shop: Flask, page_of: str) -> None:
    records = records_of(shop)
    record = records.consultations.get(shop.extensions["consultation_id"])
    records.consultations.choose(record.id, "swiss-butter", "french-butter", record.revision)
    text = shown(visitor(shop, OWNER).get(f"{page_of}/sheet")).text()
    assert "The Swiss coat is not expected to keep its look" in text
    assert "No time is promised for its look" in text
    assert "Cut at 18:00 as planned" not in text


@pytest.mark.parametrize("widths", [(30, 20), (30, 22, 15)])
def test_dowels_are_told_without_the_rule_that_gives_their_number(widths: tuple[float, ...]) -> None:
    # Seen to fail: with the rule's words as the pictures had them before.
    told = dowel_words(Brief(tiers=tuple(Tier(width_cm=width) for width in widths)))
    assert "rule of thumb" in told and "rule of thumb" not in without_rule(told)


def test_allergens_of_what_is_not_known_any_more_are_not_guessed(app: Flask) -> None:
    catalogue = app.extensions["catalogue"]
    assert allergens_of(["american-butter"], catalogue) is not None
    assert allergens_of(["american-butter", "no-such-thing"], catalogue) is None
