from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.advice.brief import Brief, Tier
from webapp.pages.brief_fields import bounds_of
from webapp.pages.quantities import METRIC_NAME, QUANTITY_OF, US_NAME, name_in
from webapp.units import US

FIELDS = sorted(QUANTITY_OF)


@given(field=st.sampled_from(FIELDS), cents=st.integers(-100_000, 500_000))
def test_a_metric_number_survives_the_way_to_us_units_and_back(field: str, cents: int) -> None:
    quantity, metric = QUANTITY_OF[field], cents / 100
    assert quantity.read(quantity.show(metric, US)) == metric


@given(field=st.sampled_from(FIELDS), cents=st.integers(-100_000, 500_000))
def test_a_us_number_survives_the_way_to_metric_and_back(field: str, cents: int) -> None:
    quantity, typed = QUANTITY_OF[field], cents / 100
    assert quantity.show(quantity.read(typed), US) == pytest.approx(typed, abs=0.005)


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
