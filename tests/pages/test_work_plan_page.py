from __future__ import annotations

import datetime as dt
from dataclasses import replace
from xml.etree.ElementTree import Element

import pytest
from flask import Flask, render_template

from tests.pages.page import Page, check_page
from tests.pages.work import ADDRESS, LATE, advisor, wedding
from webapp import create_app
from webapp.config import Config
from webapp.pages.guard import may
from webapp.pages.work_plan_page import calendar_response
from webapp.pages.work_timeline import WIDTH, timeline_of
from webapp.units import METRIC, US

PAGE = """{% extends "base.html" %}{% block title %}Plan{% endblock %}
{% block main %}<h1>Plan</h1>{% include "_work_plan.html" %}{% endblock %}"""


@pytest.fixture(scope="module")
def bench() -> Flask:
    """The app with two pages that show nothing but a work plan."""
    made = create_app(Config(), catalogue=advisor().catalogue)

    def shown(work):
        return may("anyone")(lambda: render_template(made.jinja_env.from_string(PAGE), work=work))

    made.add_url_rule("/try/fits", view_func=shown(wedding()), endpoint="fits")
    made.add_url_rule("/try/late", view_func=shown(wedding(now=LATE)), endpoint="late")
    return made


def fetched(bench: Flask, name: str) -> Page:
    page = Page(bench.test_client().get(f"/try/{name}"))
    assert page.status == 200
    check_page(page)
    return page


def drawn(page: Page, tag: str, kind: str) -> list[Element]:
    """List the shapes of a picture by their tag and part of their class."""
    return [e for e in page.root.iter() if str(e.tag).endswith("}" + tag) and kind in e.get("class", "")]


def test_every_row_is_in_the_table_of_its_day(bench):
    page = fetched(bench, "fits")
    text = page.text()
    for day in wedding().days:
        assert day.title in text
        for row in day.rows:
            assert row.clock in text
            assert all(step.title[1:] in text and step.minutes in text for step in row.steps)
            assert all(wait.text[1:] in text for wait in row.then)


def test_slack_is_said_where_there_is_some_and_its_column_left_out_where_not(bench):
    """Seen to fail: "not earlier" on every row of the last day, beside a column of dashes."""
    page = fetched(bench, "fits")
    text = page.text()
    assert "not earlier" not in text
    tables = page.all("table")
    heads = [[page.text(cell) for cell in table.iter("th") if cell.get("scope") == "col"] for table in tables]
    for day, head in zip(wedding().days, heads, strict=False):
        assert ("Can start" in head) == any(row.earliest_text for row in day.rows)
        assert ("Then" in head) == any(row.then for row in day.rows)
        assert all(f"Can start {row.earliest_text}" in text for row in day.rows if row.earliest_text)


def test_cautions_stand_with_their_source(bench):
    page = fetched(bench, "fits")
    text = page.text(page.by_id("work")).replace(" , ", ", ")  # author and work are parts of their own
    for caution in wedding().cautions:
        assert caution.text in text
        assert advisor().catalogue.sources[caution.source].citation in text


def test_the_picture_says_the_same_as_the_table(bench):
    page = fetched(bench, "fits")
    (picture,) = drawn(page, "svg", "timeline")
    said = page.text(picture)
    for row in wedding().rows:
        assert f"{row.start:%H:%M}" in said
    assert "On display until 18:00" in said


def test_kinds_of_bars_differ_by_pattern_and_the_hint_names_them(bench):
    page = fetched(bench, "fits")
    bars = drawn(page, "rect", "timeline-bar")
    kinds = {bar.get("class", "").split("timeline-")[-1] for bar in bars}
    assert {"hands", "waiting", "fridge", "display"} <= kinds
    hatched = [bar for bar in bars if "timeline-fridge" in bar.get("class", "")]
    assert all(bar.get("fill") == "url(#timeline-cold)" for bar in hatched)
    assert "Hatched: in the fridge" in page.text()


def test_what_does_not_fit_shows_no_plan_but_what_cannot_be_done(bench):
    page = fetched(bench, "late")
    late = wedding(now=LATE)
    assert not late.fits
    text = page.text(page.by_id("work"))
    assert late.headline in text
    assert all(line in text for line in (*late.cannot, *late.changes))
    assert not [table for table in page.all("table") if table.get("class") == "work-table"]
    assert not drawn(page, "svg", "timeline")


def test_everything_in_the_picture_lies_on_its_sheet():
    scene = timeline_of(wedding(), METRIC)
    assert scene is not None
    for panel in scene.panels:
        assert all(0 <= tick.x <= WIDTH for tick in panel.ticks)
        for line in panel.lines:
            assert panel.axis_y < line.y < panel.bottom <= scene.height
            assert all(0 <= bar.x and bar.x + bar.width <= WIDTH for bar in line.bars)


def test_bars_are_to_the_scale_of_the_clock():
    scene = timeline_of(wedding(), METRIC)
    assert scene is not None
    lasting = list[float]()
    rows = wedding().days[0].rows
    for row, line in zip(rows, scene.panels[0].lines, strict=True):
        own = line.bars[: len(line.bars) - len(row.then)]
        hours = (row.end - row.start) / dt.timedelta(hours=1)
        lasting.append(sum(bar.width for bar in own) / hours)
    assert lasting == pytest.approx([lasting[0]] * len(lasting), rel=0.03)  # to the tenth of a pixel


def test_a_wait_within_a_row_is_drawn_as_one():
    """Seen to fail: 10:00 to 13:30 solid as hands, though 2 h 40 min of it the sponge is in the oven."""
    scene = timeline_of(wedding(), METRIC)
    assert scene is not None
    hands, oven = scene.panels[0].lines[0].bars[:2]
    assert (hands.kind, oven.kind) == ("hands", "waiting")
    mix, bake = wedding().rows[0].steps
    assert oven.x == pytest.approx(hands.x + hands.width, abs=0.2)
    assert oven.width / hands.width == pytest.approx(bake.length / mix.length, rel=0.02)


def test_no_title_of_the_picture_is_cut():
    """Seen to fail: "Bottom tier: spread the coat, wait for …", three times."""
    for measures in (METRIC, US):
        scene = timeline_of(wedding(), measures)
        assert scene is not None
        assert not [line.title for panel in scene.panels for line in panel.lines if "…" in line.title]


def test_an_overnight_wait_is_marked_as_going_on():
    scene = timeline_of(wedding(), METRIC)
    assert scene is not None
    cold = [bar for line in scene.panels[0].lines for bar in line.bars if bar.kind == "fridge"]
    assert cold[-1].goes_on and not cold[0].goes_on


def test_the_axis_and_the_rows_have_the_readers_clock():
    scene = timeline_of(wedding(), US)
    assert scene is not None
    texts = [tick.text for panel in scene.panels for tick in panel.ticks]
    clocks = [line.clock for panel in scene.panels for line in panel.lines]
    assert all(text.endswith((" am", " pm")) for text in (*texts, *clocks))


def test_a_plan_that_does_not_fit_has_no_picture():
    assert timeline_of(wedding(now=LATE), METRIC) is None


def test_the_calendar_is_a_download(bench):
    with bench.test_request_context():
        response = calendar_response(wedding(), ADDRESS)
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert response.headers["Content-Disposition"] == 'attachment; filename="work-plan-2026-06-20.ics"'
    assert response.get_data().startswith(b"BEGIN:VCALENDAR\r\n")


def test_there_is_no_calendar_of_what_cannot_be_done(bench):
    with bench.test_request_context():
        response = calendar_response(wedding(now=LATE), ADDRESS)
    assert response.status_code == 409
    assert "This cannot be done" in response.get_data(as_text=True)


def test_a_calendar_that_nothing_brings_about_says_to_ask_for_less(bench):
    with bench.test_request_context():
        answer = calendar_response(replace(wedding(now=LATE), changes=()), ADDRESS)
    assert answer.status_code == 409
    assert "Ask for less" in answer.get_data(as_text=True)


def test_there_is_no_calendar_of_an_assumed_day(bench):
    with bench.test_request_context():
        answer = calendar_response(replace(wedding(), assumed_day="The day was assumed."), ADDRESS)
    assert answer.status_code == 409
    assert "The day was assumed." in answer.get_data(as_text=True)
