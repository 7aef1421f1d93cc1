from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.advice.brief import Brief, Tier
from webapp.pages.brief_address import in_measures, in_metric, plain
from webapp.pages.brief_fields import bounds_of
from webapp.pages.quantities import METRIC_NAME, QUANTITY_OF, US_NAME, name_in
from webapp.units import MEASURES, UK, US, Measures

FIELDS = sorted(QUANTITY_OF)


HABITS = sorted(MEASURES.values(), key=lambda measures: measures.name)


@given(field=st.sampled_from(FIELDS), cents=st.integers(-100_000, 500_000), measures=st.sampled_from(HABITS))
def test_a_metric_number_survives_the_way_to_any_habit_and_back(
    field: str, cents: int, measures: Measures
) -> None:
    quantity, metric = QUANTITY_OF[field], cents / 100
    shown = quantity.show(metric, measures)
    assert (quantity.read(shown) if measures.is_customary(quantity.kind) else shown) == metric


@given(field=st.sampled_from(FIELDS), cents=st.integers(-100_000, 500_000))
def test_a_us_number_survives_the_way_to_metric_and_back(field: str, cents: int) -> None:
    quantity, typed = QUANTITY_OF[field], cents / 100
    assert quantity.show(quantity.read(typed), US) == pytest.approx(typed, abs=0.005)


@pytest.mark.parametrize(("here", "there"), list(permutations(HABITS, 2)), ids=lambda measures: measures.name)
@given(field=st.sampled_from(FIELDS), cents=st.integers(-100_000, 500_000))
def test_switching_there_and_back_means_the_same(
    here: Measures, there: Measures, field: str, cents: int
) -> None:
    typed = in_measures([(field, plain(cents / 100))], here)
    again = in_measures(in_measures(typed, there), here)
    assert [name for name, _ in again] == [name_in(here, field)]
    assert in_metric(again) == in_metric(in_measures(typed, there)) == in_metric(typed)


def test_a_forecast_keeps_its_degrees_between_habits_that_share_them() -> None:
    table = "14:00, 30\n15:00, 31"
    assert in_measures([("weather", table)], UK) == [("weather", table)]
    assert in_measures([("weather_f", "14:00, 86")], UK) == [("weather", "14:00, 86F")]
    assert in_measures([("weather", "14:00, 30")], US) == [("weather_f", "14:00, 30C")]


def test_no_us_name_is_taken_twice_or_by_another_field() -> None:
    assert len(METRIC_NAME) == len(US_NAME)
    assert not set(METRIC_NAME) & (set(Brief.model_fields) | set(Tier.model_fields))


@pytest.mark.parametrize("field", FIELDS)
def test_what_us_readers_are_told_is_allowed_is_allowed(field: str) -> None:
    low, high = bounds_of(field)
    for shown in QUANTITY_OF[field].bounds(low, high, US):
        assert low <= QUANTITY_OF[field].read(shown) <= high


def test_fields_without_a_unit_keep_their_name() -> None:
    assert name_in(US, "hold_hours") == "hold_hours"
    assert name_in(US, "air_high_c") == "air_high_f"
    assert [
        name_in(UK, field) for field in ("air_high_c", "width_cm", "coat_mm", "wind_mps", "altitude_m")
    ] == [
        "air_high_c",
        "width_in",
        "coat_mm",
        "wind_mph",
        "altitude_m",
    ]
