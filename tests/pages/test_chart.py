from __future__ import annotations

import itertools

import pytest

from tests.pages.sample_advice import garden_wedding
from webapp.advice.brief import Brief
from webapp.advice.contract import CourseOut, HoldOut
from webapp.pages.chart import BOTTOM, LABEL_GAP, LEFT, RIGHT, TOP, course_rows, draw
from webapp.units import METRIC, US, Measures


@pytest.fixture
def course() -> CourseOut:
    given = garden_wedding(Brief()).course
    assert given is not None
    return given


@pytest.fixture
def hold() -> HoldOut:
    given = garden_wedding(Brief()).hold
    assert given is not None
    return given


@pytest.mark.parametrize("measures", [METRIC, US])
def test_everything_is_drawn_inside_the_frame(course: CourseOut, hold: HoldOut, measures: Measures) -> None:
    chart = draw(course, hold, measures)
    points = [point.strip("ML").split(" ") for point in chart.envelope.rstrip(" Z").split(" L")]
    assert all(LEFT <= float(x) <= RIGHT and TOP <= float(y) <= BOTTOM for x, y in points)
    assert TOP <= chart.softens_top <= chart.softens_y <= chart.softens_top + chart.softens_height <= BOTTOM


def test_needed_hours_are_marked_from_the_arrival(course: CourseOut, hold: HoldOut) -> None:
    chart = draw(course, hold, METRIC)
    hour = {tick.text: tick.at for tick in chart.hours}
    assert chart.needed_x == hour["0 h"]
    assert chart.needed_x + chart.needed_width == pytest.approx(hour["3 h"], abs=0.2)


def test_degrees_are_round_in_the_scale_of_the_reader(course: CourseOut, hold: HoldOut) -> None:
    for measures, step in ((METRIC, 5), (US, 10)):
        texts = [tick.text.rstrip("°") for tick in draw(course, hold, measures).degrees]
        marks = [int(text.replace("−", "-")) for text in texts]
        assert all(mark % step == 0 for mark in marks)
        assert len(marks) >= 3


def test_labels_never_cover_each_other(course: CourseOut, hold: HoldOut) -> None:
    flat = course.model_copy(update={"air_c": course.coat_c})
    labels = draw(flat, hold, METRIC).labels
    assert all(below.y - above.y >= LABEL_GAP - 0.2 for above, below in itertools.pairwise(labels))
    assert max(label.y for label in labels) <= BOTTOM


def test_the_table_shows_the_hours_and_the_end(course: CourseOut) -> None:
    rows = course_rows(course)
    assert [row[0] for row in rows[:3]] == [0.0, 1.0, 2.0]
    assert rows[-1][0] == int(course.hours[-1])
