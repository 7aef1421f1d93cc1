from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.pages.open_shop import OWNER, STAFF, kept, open_shop, visitor
from tests.pages.page import Page, check_page
from tests.pages.visiting import send
from webapp.pages.shop import records_of
from webapp.records.outcomes import Note

SEEN = {
    "coat": "swiss-butter",
    "outcome": "softened",
    "hold_hours": "2.5",
    "setting": "shade",
    "air_high_c": "29",
    "humidity_pct": "60",
    "cloud_pct": "",
    "remark": "In the garden.\nFirst at the top edge.",
}


@pytest.fixture(scope="module")
def shop(app: Flask, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    made = open_shop(tmp_path_factory.mktemp("shop"), app.extensions["catalogue"])
    yield made
    records_of(made).close()


@pytest.fixture(scope="module")
def staff(shop: Flask) -> FlaskClient:
    return visitor(shop, STAFF)


@pytest.fixture
def page_of(shop: Flask) -> str:
    record = records_of(shop).consultations.duplicate(shop.extensions["consultation_id"])
    return f"/consultations/{record.id}/after"


def note(browser: FlaskClient, page_of: str, **changed: str) -> TestResponse:
    return send(browser, page_of, SEEN | changed, page=page_of)


def shown(response: TestResponse) -> Page:
    page = Page(response)
    check_page(page)
    return page


def plain(page: Page) -> str:
    return page.text().replace("\xa0", " ")


def test_the_form_begins_with_the_coat_and_the_weather_that_were_expected(staff: FlaskClient, page_of: str) -> None:
    page = shown(staff.get(page_of))
    sent = dict(page.form_pairs("after"))
    assert (sent["coat"], sent["setting"], sent["air_high_c"]) == ("american-half-shortening", "indoors", "24")
    assert "For this event: American, half butter and half high-ratio shortening." in plain(page)
    assert "outcome" not in sent and sent["hold_hours"] == ""


def test_a_look_that_was_lost_is_noted_with_the_coats_temperature_then(
    shop: Flask, staff: FlaskClient, page_of: str
) -> None:
    assert note(staff, page_of).status_code == 303
    (kept_note,) = records_of(shop).outcomes.of_consultation(page_of.split("/")[2])
    assert (kept_note.formulation, kept_note.look) == ("swiss-butter", "borders")
    assert (kept_note.softened_h, kept_note.held_h) == (2.5, None)
    assert kept_note.weather == {"setting": "shade", "air_high_c": 29, "humidity_pct": 60, "cloud_pct": 0}
    # Out of the fridge at 4 °C and in the air of a day that reaches 29 °C: between the two, and known to a few degrees.
    assert kept_note.coat_low_c and kept_note.coat_c and kept_note.coat_high_c
    assert 20 < kept_note.coat_low_c < kept_note.coat_c < kept_note.coat_high_c < 31
    text = plain(shown(staff.get(page_of)))
    assert "Borders of beads: lost after 2 h 30 min" in text
    assert "In the shade, up to 29 °C, humidity 60 %" in text
    assert "Estimated temperature of the coat at that time: " in text and "It was not measured." in text
    assert "First at the top edge." in text


def test_a_look_that_was_kept_is_noted_until_it_was_cut(shop: Flask, staff: FlaskClient, page_of: str) -> None:
    assert note(staff, page_of, outcome="held", hold_hours="3").status_code == 303
    (kept_note,) = records_of(shop).outcomes.of_consultation(page_of.split("/")[2])
    assert (kept_note.softened_h, kept_note.held_h) == (None, 3)
    assert "still there when it was cut after 3 h" in plain(shown(staff.get(page_of)))


def test_warmth_is_typed_in_the_readers_degrees(shop: Flask, page_of: str) -> None:
    staff = visitor(shop, STAFF)
    staff.set_cookie("units", "us", domain="cakes.example")
    page = shown(staff.get(page_of))
    assert page.value("air_high_f") == "75.2"
    fields = {name: text for name, text in SEEN.items() if name != "air_high_c"} | {"air_high_f": "86"}
    assert send(staff, page_of, fields, page=page_of).status_code == 303
    (kept_note,) = records_of(shop).outcomes.of_consultation(page_of.split("/")[2])
    assert kept_note.weather["air_high_c"] == 30


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("coat", "custard", "Choose the coat from the list."),
        ("outcome", "", "Choose whether its look was lost or kept."),
        ("outcome", "vanished", "Choose whether its look was lost or kept."),
        ("hold_hours", "", "Enter after how many hours on the table that was."),
        ("hold_hours", "40", "Enter the hours on the table as a number from 0 to 12."),
        ("air_high_c", "", "Enter the warmest air while it stood."),
        ("air_high_c", "hot", "Enter the warmest air as a number from -10 to 50 °C."),
        ("humidity_pct", "200", "Enter the humidity as a number from 5 to 100."),
        ("setting", "attic", "Choose where the cake stands from the list."),
        ("remark", "x" * 5000, "The remark has 5000 characters. Use at most 4000 characters."),
    ],
)
def test_what_is_wrong_is_told_and_what_was_typed_stays(
    shop: Flask, staff: FlaskClient, page_of: str, field: str, text: str, said: str
) -> None:
    before = kept(shop)["outcome"]
    response = note(staff, page_of, **{field: text})
    assert response.status_code == 422
    page = shown(response)
    assert said in page.text(page.by_id("problems")).replace("\xa0", " ").replace("−", "-")
    other = "humidity_pct" if field != "humidity_pct" else "hold_hours"
    assert page.value(other) == SEEN[other]
    assert kept(shop)["outcome"] == before


@pytest.mark.parametrize("weather", [[], None, {"setting": [], "air_high_c": "hot"}, {"humidity_pct": 1e308}])
def test_a_weather_of_an_archive_that_is_none_is_left_out(
    shop: Flask, staff: FlaskClient, page_of: str, weather: object
) -> None:
    # Seen to fail: this page and that of all events gave 500.
    seen = Note("swiss-butter", "smooth", weather, held_h=2.0)  # type: ignore[arg-type]
    id = records_of(shop).outcomes.add(page_of.split("/")[2], seen).id
    for where in (page_of, "/events"):
        assert "Place not noted" in plain(shown(staff.get(where)))
    records_of(shop).outcomes.remove(id)


def test_a_note_can_be_removed_from_its_own_event_alone(shop: Flask, staff: FlaskClient, page_of: str) -> None:
    note(staff, page_of)
    records = records_of(shop)
    (kept_note,) = records.outcomes.of_consultation(page_of.split("/")[2])
    other = f"/consultations/{shop.extensions['consultation_id']}/after/{kept_note.id}/remove"
    assert send(staff, other, page=page_of).status_code == 404
    assert send(staff, f"{page_of}/{kept_note.id}/remove", page=page_of).status_code == 303
    assert list(records.outcomes.of_consultation(page_of.split("/")[2])) == []


def test_notes_are_listed_by_formulation_ours_against_yours(staff: FlaskClient, page_of: str) -> None:
    note(staff, page_of, coat="french-butter")
    page = shown(staff.get("/events"))
    text = page.text(page.by_id("french-butter")).replace("\xa0", " ")
    assert "French, all butter" in text
    assert "Yours, from 1 event" in text
    # Seen to fail: with the ends of each range left out under its bar.
    ends = re.findall(r"<text [^>]*>([^<]*)</text>", page.html.replace("\xa0", " "))
    assert ends and all(re.fullmatch(r"\d+ to \d+ °C", each) for each in ends)
    assert len(ends) == 2 * page.html.count('class="taught"')
    assert "The advice uses ours" in text
    assert "An owner can switch this." in text


def test_without_notes_the_page_says_where_they_come_from(app: Flask) -> None:
    with app.test_client() as browser:
        assert "There is no note yet." in shown(browser.get("/events")).text()


def test_only_an_owner_switches_what_was_learnt_on(shop: Flask, staff: FlaskClient, page_of: str) -> None:
    note(staff, page_of, coat="italian-butter")
    before = kept(shop)["setting"]
    asked = {"formulation": "italian-butter", "use": "yours"}
    assert send(staff, "/events/use", asked, page=page_of).status_code == 403
    assert kept(shop)["setting"] == before
    owner = visitor(shop, OWNER)
    assert send(owner, "/events/use", asked, page="/events").status_code == 303
    page = shown(owner.get("/events"))
    assert "The advice uses yours" in page.text(page.by_id("italian-butter"))
    assert send(owner, "/events/use", asked | {"use": "ours"}, page="/events").status_code == 303
    page = shown(owner.get("/events"))
    assert "The advice uses ours" in page.text(page.by_id("italian-butter"))


def test_what_is_no_formulation_of_ours_cannot_be_switched_on(shop: Flask) -> None:
    owner = visitor(shop, OWNER)
    asked = {"formulation": "custard", "use": "yours"}
    assert send(owner, "/events/use", asked).status_code == 404
