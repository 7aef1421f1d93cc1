from __future__ import annotations

import datetime as dt

import pytest

from webapp.units import MEASURES, METRIC, UK, US, Measures


@pytest.mark.parametrize(
    ("measures", "said"),
    [
        (METRIC, ("31 °C", "20 to 30 °C", "3 °C", "30 cm", "7 mm", "450 g", "1.2 kg")),
        (US, ("88 °F", "68 to 86 °F", "5 °F", "11 ¾ in", "¼ in", "1 lb", "2 lb 10 oz")),
        (UK, ("31 °C", "20 to 30 °C", "3 °C", "11 ¾ in", "7 mm", "450 g", "1.2 kg")),
    ],
    ids=lambda value: value.name if isinstance(value, Measures) else "",
)
def test_each_reader_has_every_kind_of_number_in_one_habit(measures: Measures, said: tuple[str, ...]) -> None:
    written = (
        measures.temperature(31),
        measures.temperatures(20, 30),
        measures.warming(3),
        measures.length(30),
        measures.thickness(7),
        measures.mass(450),
        measures.mass(1200),
    )
    assert written == said


def test_a_difference_of_temperature_has_no_offset() -> None:
    assert {measures.warming(0).split()[0] for measures in MEASURES.values()} == {"0"}


def test_a_range_never_shrinks_to_one_number_but_where_nothing_is_uncertain() -> None:
    assert METRIC.temperatures(20.2, 20.4) == "20 to 21 °C"
    assert METRIC.temperatures(19.6, 20.4) == "19 to 21 °C"
    assert METRIC.temperatures(4, 4) == "4 °C"
    assert (METRIC.warmings(2, 6), US.warmings(2, 6)) == ("2 to 6 °C", "4 to 11 °F")
    assert METRIC.warmings(-0.2, 0.2) == "-1 to 1 °C"


def test_every_habit_goes_by_the_name_that_is_remembered() -> None:
    assert all(name == measures.name for name, measures in MEASURES.items())


@pytest.mark.parametrize(
    ("measures", "said"),
    [
        (METRIC, ("16:15", "16:00", "Friday 25 June", "Friday 25 June 2027", "25 June 2027", "Fri 16:15")),
        (UK, ("16:15", "16:00", "Friday 25 June", "Friday 25 June 2027", "25 June 2027", "Fri 16:15")),
        (US, ("4:15 pm", "4 pm", "Friday, June 25", "Friday, June 25, 2027", "June 25, 2027", "Fri 4:15 pm")),
    ],
    ids=lambda value: value.name if isinstance(value, Measures) else "",
)
def test_each_reader_has_clocks_and_days_in_one_habit(measures: Measures, said: tuple[str, ...]) -> None:
    moment = dt.datetime(2027, 6, 25, 16, 15)
    written = (
        measures.clock(moment),
        measures.full_hour(16),
        measures.day(moment.date()),
        measures.full_day(moment.date()),
        measures.date(moment.date()),
        measures.moment(moment),
    )
    assert written == said
    assert measures.clock(moment.time()) == measures.clock(moment)


@pytest.mark.parametrize(
    ("time", "said"),
    [("00:05", "12:05 am"), ("11:59", "11:59 am"), ("12:00", "12:00 pm"), ("12:30", "12:30 pm"), ("23:00", "11:00 pm")],
)
def test_noon_and_midnight_are_twelve_on_a_clock_of_twelve_hours(time: str, said: str) -> None:
    assert US.clock(dt.time.fromisoformat(time)) == said


def test_a_scale_may_end_at_midnight() -> None:
    assert (METRIC.full_hour(24), US.full_hour(24), US.full_hour(12)) == ("00:00", "12 am", "12 pm")


def test_when_something_was_kept_can_be_sorted_by_eye_or_read() -> None:
    moment = dt.datetime(2027, 6, 5, 16, 15)
    assert (METRIC.stamp(moment), US.stamp(moment)) == ("5 Jun 2027, 16:15", "Jun 5, 2027, 4:15 pm")


@pytest.mark.parametrize(
    ("mm", "said"),
    [(0.5, "0 in"), (3, "⅛ in"), (5, "3/16 in"), (25.4, "1 in"), (35, "1 ⅜ in"), (41, "1 ⅝ in")],
)
def test_inches_are_mixed_numbers_as_a_ruler_has_them(mm: float, said: str) -> None:
    assert US.thickness(mm) == said


def test_so_much_for_each_degree_is_less_for_the_smaller_degree() -> None:
    assert (METRIC.each_degree(1.8), US.each_degree(1.8)) == (1.8, 1.0)
