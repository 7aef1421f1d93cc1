from __future__ import annotations

import re
from urllib.parse import urlencode

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.pages.page import PageClient
from webapp import create_app
from webapp.config import Config
from webapp.pages.plan_options import choices_in
from webapp.units import METRIC, UK, US, Measures

WEDDING = [
    ("setting", "shade"), ("air_high_c", "31"), ("start", "15:00"), ("hold_hours", "4"), ("travel_minutes", "45"),
    ("date", "2027-06-25"), ("place", "Austin, US"), ("tiers-0-width_cm", "30"), ("tiers-1-width_cm", "20"),
]  # fmt: skip
HOT = [*WEDDING[3:], ("setting", "sun"), ("air_high_c", "38"), ("start", "13:30")]
CLOCK_OF_24_HOURS = re.compile(r"\b(?:1[3-9]|2[0-3]):[0-5]\d\b")
DAY_BEFORE_MONTH = re.compile(r"\b\d{1,2} (?:January|February|March|April|May|June|July|August|September|October)\b")


@pytest.mark.parametrize(("page", "mark"), [("/advice", 'name="air_high_f"'), ("/advice/map", "units=us")])
def test_an_address_may_name_the_measures(client: PageClient, page: str, mark: str) -> None:
    query = "setting=shade&air_high_c=31"
    assert mark in client.get(f"{page}?{query}&units=us").html.split("<main", 1)[1]
    assert mark not in client.get(f"{page}?{query}").html.split("<main", 1)[1]


def test_a_redirect_keeps_the_measures(browser: FlaskClient) -> None:
    response = browser.get("/advice?air_high_f=86&units=us")
    assert (response.status_code, response.location) == (303, "/advice?air_high_c=30&units=us")


def test_the_switch_overrules_the_measures_of_an_address(browser: FlaskClient) -> None:
    response = browser.post("/units", data={"units": "metric", "back": "/advice?units=us&air_high_c=30"})
    assert response.location == "/advice?air_high_c=30"
    assert browser.post("/units", data={"back": "/advice?units=us"}).location == "/advice"


@pytest.mark.parametrize(
    ("units", "asks", "example"),
    [
        ("metric", "wind in m/s", "14:00, 30, 55, 4"),
        ("uk", "wind in mph", "14:00, 30, 55, 8"),
        ("us", "wind in mph", "2 pm, 86, 55, 8"),
    ],
)
def test_the_forecast_asks_for_wind_as_the_field_above_it_does(
    client: PageClient, units: str, asks: str, example: str
) -> None:
    page = client.get(f"/?units={units}")
    assert asks in page.text() and example in page.text()
    unit = asks.rpartition(" ")[2]
    assert re.search(rf'id="wind_(mps|mph)"[^>]*>\s*<span class="unit">{unit}<', page.html)


@pytest.mark.parametrize(("units", "sugar"), [("metric", "powdered"), ("us", "powdered"), ("uk", "icing")])
def test_sugar_is_called_as_the_readers_shops_call_it(client: PageClient, units: str, sugar: str) -> None:
    html = client.get(f"/own-formula?units={units}").html
    other = {"powdered": "icing", "icing": "powdered"}[sugar]
    assert f"1\u00a01/2\u00a0cups {sugar} sugar" in html and f"4 cups {sugar} sugar" in html
    assert f"cups {other} sugar" not in html


@pytest.mark.parametrize(
    ("measures", "slices", "swirls"), [(METRIC, "2.5 × 5", "20 mm"), (UK, "1 × 2", "20 mm"), (US, "1 × 2", "¾ in")]
)
def test_sizes_to_choose_from_begin_with_the_readers_measures(measures: Measures, slices: str, swirls: str) -> None:
    assert choices_in(measures, "slice")["wedding"].startswith(f"Wedding: {slices}")
    assert choices_in(measures, "swirl")["low"] == f"Low, about {swirls}"
    for name in ("slice", "swirl"):
        assert choices_in(measures, name).keys() == choices_in(METRIC, name).keys()


@pytest.fixture(scope="module")
def advising(app: Flask) -> FlaskClient:
    """A browser of the app with the advisor itself, whose sentences these tests read."""
    return create_app(Config(), app.extensions["catalogue"]).test_client()


# Seen to fail: with the slice of the ingredient card in grams.
@pytest.mark.parametrize(
    "page",
    ["/", "/advice", "/plan", "/plan/shopping", "/label", "/own-formula", "/substitutes", "/keeping", "/shop/prices"],
)
def test_us_readers_are_asked_for_no_metric_number(advising: FlaskClient, page: str) -> None:
    answer = advising.get(f"{page}?{urlencode([*WEDDING, ('units', 'us')])}", follow_redirects=True)
    assert answer.status_code == 200
    html = answer.get_data(as_text=True)
    assert answer.request.path == page
    beside = {unit.strip() for unit in re.findall(r'<span class="unit">([^<]*)</span>', html)}
    assert not beside & {"°C", "mm", "cm", "m", "km", "m/s", "g", "kg", "mL", "L"}
    assert not re.findall(r"<label[^>]*>[^<]*\((?:°C|mm|cm|m|m/s|g|kg|mL|L)\)", html)
    assert not re.findall(r'<input(?![^>]*type="hidden")[^>]*name="[^"]*_(?:c|mm|cm|m|mps|g|kg|ml|l)"', html)


# Seen to fail: with ``Measures.clock`` as metric readers have it, on the brief, the advice, its course, the plan and
# keeping, the others having no clock; with ``Measures.day`` as they have it, on the plan.
@pytest.mark.parametrize("event", [WEDDING, HOT], ids=["wedding", "hot"])
@pytest.mark.parametrize(
    "page",
    [
        "/",
        "/advice",
        "/advice/course.svg",
        "/advice/map",
        "/advice/map.svg",
        "/plan",
        "/plan/shopping",
        "/keeping",
        "/label",
    ],
)
def test_no_page_for_readers_of_us_measures_has_the_clock_of_24_hours(
    advising: FlaskClient, page: str, event: list[tuple[str, str]]
) -> None:
    answer = advising.get(f"{page}?{urlencode([*event, ('units', 'us')])}", follow_redirects=True)
    assert answer.status_code == 200
    text = _visible(answer.get_data(as_text=True))
    assert not CLOCK_OF_24_HOURS.findall(text)
    assert not DAY_BEFORE_MONTH.findall(text)


def _visible(html: str) -> str:
    """Leave what a reader sees or hears: no element of style or script, no tag with its addresses and values."""
    return " ".join(
        re.sub(r"<(style|script)\b.*?</\1>|<[^>]*>", " ", html, flags=re.DOTALL).replace("\xa0", " ").split()
    )
