from __future__ import annotations

import itertools
import json
import subprocess
import sys
from urllib.parse import urlsplit
from xml.etree import ElementTree

import numpy as np
import pytest
from flask.testing import FlaskClient

from tests.pages.page import PageClient
from tests.pages.sample_advice import garden_wedding
from webapp.advice.brief import Brief, read_brief
from webapp.advice.contract import Advice, TierCourseOut
from webapp.pages.picture_texts import course_picture, course_rows
from webapp.pages.pictures.course import draw_course
from webapp.pages.pictures.heat_map import doubt_key
from webapp.pages.pictures.sheet import spread
from webapp.units import METRIC, US, Measures

GARDEN = "setting=shade&air_high_c=31&hold_hours=3"
PICTURES = ("/advice/course.svg", "/advice/map.svg")
SVG = "{http://www.w3.org/2000/svg}"


def texts(svg: bytes) -> list[str]:
    return ["".join(text.itertext()).strip() for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def ids(svg: bytes) -> set[str]:
    return {element.get("id", "") for element in ElementTree.fromstring(svg).iter()}


def wedding(tiers: int = 1, **fields: object) -> Advice:
    """The sample advice with the courses of some tiers, each a little warmer than the one below."""
    advice = garden_wedding(read_brief(json.dumps({"hold_hours": 3, "travel_minutes": 45, **fields})))
    assert advice.course is not None
    names = [f"tier {n}" for n in range(1, tiers)] + [advice.course.tier]
    courses = [
        TierCourseOut(tier=name, coat_c=[c - 0.1 * (tiers - 1 - n) for c in advice.course.coat_c])
        for n, name in enumerate(names)
    ]
    return advice.model_copy(update={"course": advice.course.model_copy(update={"tiers": courses})})


@pytest.mark.parametrize("picture", PICTURES)
def test_a_picture_is_svg_with_real_text_and_its_own_policy(browser: FlaskClient, picture: str) -> None:
    response = browser.get(f"{picture}?{GARDEN}")
    assert (response.status_code, response.mimetype) == (200, "image/svg+xml")
    assert response.headers["Content-Security-Policy"] == "default-src 'none'; style-src 'unsafe-inline'"
    assert texts(response.data)
    assert b"<script" not in response.data and b"<image" not in response.data


@pytest.mark.parametrize("picture", PICTURES)
def test_a_phone_gets_a_narrow_drawing_of_the_same(browser: FlaskClient, picture: str) -> None:
    wide = browser.get(f"{picture}?{GARDEN}").data
    narrow = browser.get(f"{picture}?{GARDEN}&sheet=narrow").data
    sizes = [float(ElementTree.fromstring(svg).get("width", "").removesuffix("pt")) for svg in (wide, narrow)]
    assert sizes[1] < 0.6 * sizes[0]
    assert {"this event", "on the table 15:00"} & {*texts(narrow)}


@pytest.mark.parametrize("picture", PICTURES)
def test_the_same_brief_gives_the_same_picture_to_the_byte(browser: FlaskClient, picture: str) -> None:
    first, second = (browser.get(f"{picture}?{GARDEN}") for _ in range(2))
    assert first.data == second.data
    assert first.headers["ETag"] == second.headers["ETag"]
    kept = browser.get(f"{picture}?{GARDEN}", headers={"If-None-Match": first.headers["ETag"]})
    assert (kept.status_code, kept.data) == (304, b"")
    assert first.headers["Cache-Control"] == "private, max-age=300"


def test_another_process_draws_the_same_bytes() -> None:
    program = (
        "import sys; from tests.pages.test_pictures import wedding; from webapp.units import METRIC;"
        "from webapp.pages.pictures.course import draw_course;"
        "sys.stdout.buffer.write(draw_course(wedding(3), METRIC))"
    )
    drawn = subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)
    assert drawn.stdout == draw_course(wedding(3), METRIC)


@pytest.mark.parametrize("picture", PICTURES)
def test_degrees_are_those_named_in_the_address_or_else_the_readers(browser: FlaskClient, picture: str) -> None:
    metric = browser.get(f"{picture}?{GARDEN}&units=metric").data
    us = browser.get(f"{picture}?{GARDEN}&units=us").data
    assert "°C" in " ".join(texts(metric)) and "°F" not in " ".join(texts(metric))
    assert "°F" in " ".join(texts(us)) and "°C" not in " ".join(texts(us))
    browser.set_cookie("units", "us", domain="localhost")
    assert browser.get(f"{picture}?{GARDEN}").data == us
    assert browser.get(f"{picture}?{GARDEN}&units=metric").data == metric


@pytest.mark.parametrize("picture", PICTURES)
def test_a_picture_of_a_bad_brief_is_refused_in_words(browser: FlaskClient, picture: str) -> None:
    response = browser.get(f"{picture}?air_high_c=hot&hold_hours=40")
    assert (response.status_code, response.mimetype) == (422, "text/plain")
    assert "air_high_c" in response.text and "hold_hours" in response.text


def test_there_is_no_picture_of_nothing(browser: FlaskClient, client: PageClient) -> None:
    nothing = "diet=coconut-free&diet=soy-free&diet=vegan"
    assert browser.get(f"/advice/course.svg?{nothing}").status_code == 404
    assert browser.get(f"/advice/map.svg?{nothing}").status_code == 404
    assert "there is no map" in client.get(f"/advice/map?{nothing}").text()


def test_the_course_marks_the_whole_event() -> None:
    drawn = draw_course(wedding(3), METRIC)
    marks = {"mark-leaves", "mark-arrives", "mark-cut", "mark-cut-by", "travel"}
    assert {*marks, "softens-band", "softens", "envelope", "air", "coat", "tier-0", "tier-1"} <= ids(drawn)
    said = texts(drawn)
    for text in ("leaves 14:15", "on the table 15:00", "cut 18:00", "softens", "air", "local time", "16:00"):
        assert text in said


def test_without_a_drive_nothing_is_marked_before_the_arrival() -> None:
    assert not {"mark-leaves", "travel"} & ids(draw_course(wedding(travel_minutes=0), METRIC))


def test_a_late_event_goes_on_past_midnight() -> None:
    assert {"on the table 22:30", "cut 01:30"} <= {*texts(draw_course(wedding(start="22:30"), METRIC))}


@pytest.mark.parametrize("measures", [METRIC, US])
@pytest.mark.parametrize("tiers", range(1, 7))
def test_names_at_the_line_ends_never_cover_each_other(tiers: int, measures: Measures) -> None:
    root = ElementTree.fromstring(draw_course(wedding(tiers), measures))
    named = [text for text in root.iter(f"{SVG}text") if is_line_end("".join(text.itertext()))]
    heights = sorted(float(text.get("y", "nan")) for text in named)
    assert len(heights) == tiers + 2
    assert all(below - above >= 11 for above, below in itertools.pairwise(heights))


def is_line_end(text: str) -> bool:
    return text.strip() in ("softens", "air", "coat") or text.strip().startswith(("tier ", "Tier "))


def test_spreading_moves_as_little_as_may_be_and_keeps_the_order() -> None:
    assert spread([10.0, 50.0], 12.0, 0.0, 100.0) == [10.0, 50.0]
    assert spread([50.0, 50.0, 90.0], 12.0, 0.0, 100.0) == [44.0, 56.0, 90.0]
    assert spread([98.0, 99.0], 12.0, 0.0, 100.0) == [88.0, 100.0]
    assert spread([1.0, 0.0], 12.0, 0.0, 100.0) == [12.0, 0.0]


def test_the_map_names_the_regions_and_the_event(browser: FlaskClient) -> None:
    drawn = browser.get(f"/advice/map.svg?{GARDEN}").data
    assert "event" in ids(drawn)
    assert any(name.startswith("coat-american") for name in ids(drawn))
    said = " ".join(texts(drawn))
    assert "this event: 31 °C, 3 h" in said and "hours on display" in said and "American" in said


def test_the_key_names_the_lines_that_are_drawn_and_no_other() -> None:
    # Seen to fail: the full line named where every air leaves some coat in doubt.
    for low, high, key in (
        (0.2, 1.0, "dashed line: 9 in 10 hold; faded, to the full line: may not hold"),
        (0.6, 1.0, "dashed line: 9 in 10 hold; faded: may not hold"),
        (0.6, 0.8, "faded: may not hold"),
    ):
        assert doubt_key(np.linspace(low, high, 9).reshape(3, 3)) == key


def test_the_map_page_has_picture_words_and_table(client: PageClient) -> None:
    page = client.get(f"/advice/map?{GARDEN}")
    (image,) = page.all("img")
    assert urlsplit(image.get("src", "")).path == "/advice/map.svg"
    assert client.client.get(image.get("src", "")).status_code == 200
    assert image.get("alt", "").startswith("Map of air from 15 to 40")
    assert image.get("width") and image.get("height")
    text = page.text()
    assert "comes first" in text and "Keeps its look" in text
    assert len(page.all("tr")) == 7


def test_the_map_page_refuses_and_corrects_addresses_like_the_advice(client: PageClient, browser: FlaskClient) -> None:
    assert "Enter the warmest air" in client.get("/advice/map?air_high_c=hot", 422).text()
    moved = browser.get("/advice/map?air_high_f=68")
    assert (moved.status_code, moved.location) == (303, "/advice/map?air_high_c=20")


def test_the_advice_shows_the_course_and_leads_to_the_map(client: PageClient) -> None:
    page = client.get(f"/advice?{GARDEN}")
    image = next(image for image in page.all("img") if "course.svg" in image.get("src", ""))
    assert client.client.get(image.get("src", "")).status_code == 200
    assert "the coat softens at 30\xa0°C (27 to 33\xa0°C)" in image.get("alt", "")
    assert any(link.get("href", "") == f"/advice/map?{GARDEN}" for link in page.all("a"))


def test_the_table_shows_the_hours_the_local_times_and_the_end() -> None:
    advice = wedding(3)
    assert advice.course is not None
    rows = course_rows(advice.course, advice.brief.start_time, METRIC)
    assert [(row.hour, row.clock) for row in rows[:3]] == [(0.0, "15:00"), (1.0, "16:00"), (2.0, "17:00")]
    assert rows[-1].hour == int(advice.course.hours[-1])
    assert len(rows[0].others_c) == 2


def test_nothing_to_draw_has_no_address() -> None:
    nothing = wedding().model_copy(update={"course": None})
    assert course_picture(nothing, METRIC) is None
    with pytest.raises(ValueError):
        draw_course(nothing, METRIC)


def test_the_drawing_library_loads_with_the_first_picture_only() -> None:
    program = (
        "import sys; from webapp import create_app; from webapp.config import Config;"
        "client = create_app(Config()).test_client();"
        f"assert client.get('/advice?{GARDEN}').status_code == 200;"
        "assert not any(name.startswith('matplotlib') for name in sys.modules);"
        f"assert client.get('/advice/course.svg?{GARDEN}').status_code == 200;"
        "assert 'matplotlib' in sys.modules and 'matplotlib.pyplot' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_a_default_brief_can_be_drawn() -> None:
    assert texts(draw_course(garden_wedding(Brief()), METRIC))
