from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import briefs
from webapp.advice.brief import Brief
from webapp.pages.brief_address import brief_of, number, pairs_of, plain, renumbered


@given(brief=briefs())
def test_an_address_means_the_brief_it_was_made_of(brief: Brief) -> None:
    pairs = pairs_of(brief)
    again = brief_of(pairs)
    assert again.model_dump() == brief.model_dump()
    assert again.model_fields_set >= brief.model_fields_set - {"importance"}
    assert pairs_of(again) == pairs


def test_what_is_left_empty_is_not_given() -> None:
    empty = ("air_high_c", "setting", "tiers-0-width_cm", "importance-heat")
    assert brief_of([(name, " ") for name in empty]).model_fields_set == set()


def test_an_empty_list_differs_from_a_list_not_given() -> None:
    assert brief_of([("equipment", "")]).equipment == ()
    assert brief_of([]).equipment == ("stand-mixer", "thermometer")
    assert brief_of([("tiers", ""), ("cupcakes", "12")]).tiers == ()


def test_tier_rows_left_empty_do_not_count() -> None:
    brief = brief_of([("tiers-0-width_cm", "30"), ("tiers-1-width_cm", ""), ("tiers-5-width_cm", "20")])
    assert [tier.width_cm for tier in brief.tiers] == [30, 20]


def test_rows_keep_their_order_when_renumbered() -> None:
    pairs = [("tiers-9-width_cm", "1"), ("tiers-2-width_cm", "2"), ("start", "12:00")]
    assert renumbered(pairs, drop_empty=False) == [
        ("tiers-1-width_cm", "1"),
        ("tiers-0-width_cm", "2"),
        ("start", "12:00"),
    ]


@pytest.mark.parametrize(
    ("text", "value"),
    [("21", 21), (" 21,5 ", 21.5), ("-3.0", -3), ("−3", -3), (".5", 0.5), ("1e99", None), ("NaN", None)]
    + [("", None), ("1,000.5", None), ("٣", None), ("0x10", None), ("9" * 20, None), ("21 °C", None)],
)
def test_numbers_are_read_as_people_type_them(text: str, value: float | None) -> None:
    assert number(text) == value


@given(value=st.floats(min_value=-5000, max_value=5000))
def test_a_number_written_reads_back_the_same(value: float) -> None:
    assert number(plain(value)) == value
