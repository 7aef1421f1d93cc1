from __future__ import annotations

import itertools
import json
import re
import subprocess
import sys
from urllib.parse import urlsplit
from xml.etree import ElementTree

import numpy as np
import pytest
from flask import Flask, render_template
from flask.testing import FlaskClient

from tests.pages.page import PageClient
from tests.pages.sample_advice import garden_wedding
from webapp.advice.brief import Brief, read_brief
from webapp.advice.contract import Advice, TierCourseOut
from webapp.advice.event_wording import MELTED_C
from webapp.pages.picture_texts import course_picture, course_rows
from webapp.pages.pictures.course import draw_course
from webapp.pages.pictures.heat_map import doubt_key, settings_of
from webapp.pages.pictures.sheet import spread, width_pt
from webapp.pages.pictures.size import Sheet
from webapp.units import METRIC, US, Measures

GARDEN = "setting=shade&air_high_c=31&hold_hours=3"
KINDS = ("coat", "label", "key")
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


@pytest.mark.parametrize("sheet", ["wide", "narrow"])
@pytest.mark.parametrize("fields", [{}, {"travel_minutes": 0}, {"hold_hours": 1.5}, {"travel_minutes": 20}])
def test_each_moments_text_begins_at_its_own_line_and_no_line_crosses_one(
    fields: dict[str, object], sheet: Sheet
) -> None:
    # Seen to fail: "on the table 15:00" centred over its line; "leaves 14:15" crossed by the line of the arrival.
    root = ElementTree.fromstring(draw_course(wedding(3, **fields), METRIC, sheet))
    lines = {mark: line_of(root, f"mark-{mark}") for mark in ("leaves", "arrives", "cut", "cut-by")}
    starts = ("leaves ", "on the table ", "cut ", "cut by ")
    said = [(float(t.get("x", "nan")), float(t.get("y", "nan")), text_of(t)) for t in root.iter(f"{SVG}text")]
    told = {
        mark: next((x, y, text) for x, y, text in said if re.match(f"{begin}[0-9]", text))
        for mark, begin in zip(lines, starts, strict=True)
        if lines[mark]
    }
    assert len(told) >= 3
    for mark, (x, y, text) in told.items():
        own = lines[mark]
        assert own is not None
        at, top = own
        assert 0 < x - at < 6 and top <= y
        for line in filter(None, lines.values()):
            other, reach = line
            assert not (x < other < x + width_pt(text) and reach < y)


def line_of(root: ElementTree.Element, name: str) -> tuple[float, float] | None:
    """Return the place and the upper end of an upright line [pt]."""
    found = next((each for each in root.iter() if each.get("id") == name), None)
    if found is None:
        return None
    numbers = [float(n) for n in re.findall(r"-?[0-9.]+", next(found.iter(f"{SVG}path")).get("d", ""))]
    return numbers[0], min(numbers[1::2])


def text_of(text: ElementTree.Element) -> str:
    return "".join(text.itertext()).strip()


def test_of_a_coat_that_does_not_hold_no_time_is_marked_as_promised() -> None:
    # Seen to fail: "cut by 18:05" under "No coat holds".
    advice = wedding(1)
    assert "mark-cut-by" in ids(draw_course(advice, METRIC))
    assert "mark-cut-by" not in ids(draw_course(advice.model_copy(update={"verdict": "no-coat-holds"}), METRIC))


def test_cupcakes_are_served_in_the_picture_as_in_the_text() -> None:
    advice = wedding(1)
    cupcakes = read_brief(json.dumps({"hold_hours": 3, "tiers": [], "cupcakes": 24}))
    said = texts(draw_course(advice.model_copy(update={"brief": cupcakes}), METRIC))
    assert "served 18:00" in said
    assert any(text.startswith("serve by ") for text in said)
    assert not any(text.startswith("cut ") for text in said)


def test_it_is_said_where_the_coat_runs_off_only_if_it_may(keeping: Flask) -> None:
    # Seen to fail: a level curve without a word of why; and the same words of a coat that stays below.
    for hottest, is_told in ((44.9, False), (MELTED_C, True)):
        advice = wedding(2)
        assert advice.course is not None
        hot = {"coat_c": [hottest - 1.0], "low_c": [hottest - 2.0], "high_c": [hottest]}
        course = advice.course.model_copy(update=hot | {"hours": [0.0], "air_c": [30.0], "tiers": []})
        with keeping.test_request_context():
            said = render_template(
                "_course.html",
                advice=advice.model_copy(update={"course": course}),
                brief=advice.brief,
                measures=US,
                course_picture=course_picture(advice, US),
                course_rows=course_rows(course, advice.brief.start_time, US),
                other_tiers=[],
                map_address="/advice/map",
            )
        assert ("Level along the top: it has run off." in said.replace("\xa0", " ")) == is_told


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


STRIPS = "setting=shade&air_high_c=31&hold_hours=3&travel_minutes=45&tiers-0-width_cm=30&sweetness=2&piping=rosettes"


@pytest.mark.parametrize("sheet", ["wide", "narrow"])
def test_every_coat_on_the_map_is_named_on_it_or_in_a_key_that_shows_its_filling(
    browser: FlaskClient, sheet: str
) -> None:
    # Seen to fail: a strip named only as one of "the narrow unlabelled strips", with no filling to know it by.
    drawn = browser.get(f"/advice/map.svg?{STRIPS}&sheet={sheet}").data
    kinds = {kind: {i.removeprefix(f"{kind}-") for i in ids(drawn) if i.startswith(f"{kind}-")} for kind in KINDS}
    assert kinds["key"]  # else it shows nothing
    assert kinds["coat"] == (kinds["label"] | kinds["key"]) - {"none-holds"}
    assert not kinds["label"] & kinds["key"]
    assert "unlabelled" not in " ".join(texts(drawn))


@pytest.mark.parametrize(
    "name", ["Italian buttercream (all butter)", "American buttercream (all high-ratio shortening)"]
)
def test_a_name_on_the_map_breaks_at_its_bracket_first(name: str) -> None:
    # Seen to fail: "buttercream (all" with "butter)" below it, and "(all" alone on a line.
    for text, _ in settings_of(name):
        lines = text.split("\n")
        assert "(all" not in lines
        assert len(lines) == 1 or all(not line.rpartition(" (")[1] for line in lines)


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
