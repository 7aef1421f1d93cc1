from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.pages.brief_address import plain
from webapp.pages.pack_fields import in_grams, litre_g, litre_words, pack_example, pack_label, pack_name, pack_text
from webapp.units import METRIC, UK, US, Measures


@pytest.mark.parametrize(
    ("measures", "in_pieces", "name", "label"),
    [
        (METRIC, False, "pack-butter", "Pack (g)"),
        (UK, False, "pack-butter", "Pack (g)"),
        (US, False, "pack_oz-butter", "Pack (oz)"),
        (US, True, "pack-butter", "Eggs in a box"),
    ],
)
def test_a_pack_is_asked_for_in_the_readers_units(measures: Measures, in_pieces: bool, name: str, label: str) -> None:
    assert pack_name("butter", measures, in_pieces=in_pieces) == name
    assert pack_label(measures, in_pieces=in_pieces) == label


@pytest.mark.parametrize(
    ("typed", "taken"),
    [
        (("pack_oz-butter", "16"), ("pack-butter", "453.6")),
        (("pack_oz-butter", "8,8"), ("pack-butter", "249.4758")),
        (("pack_oz-butter", "a pound"), ("pack-butter", "a pound")),
        (("pack_oz-butter", ""), ("pack-butter", "")),
        (("pack-eggs", "12"), ("pack-eggs", "12")),
        (("cost-butter", "5"), ("cost-butter", "5")),
    ],
)
def test_ounces_become_grams_and_what_is_no_number_stays(typed: tuple[str, str], taken: tuple[str, str]) -> None:
    assert in_grams(typed) == taken


@given(st.integers(1, 9_999_990))
def test_grams_to_the_tenth_are_the_same_after_ounces(tenths: int) -> None:
    grams = plain(tenths / 10)
    shown = pack_text(grams, US, in_pieces=False)
    assert in_grams(("pack_oz-butter", shown)) == ("pack-butter", grams)


@given(st.integers(1, 99_999))
def test_ounces_to_the_tenth_are_shown_again_as_typed(tenths: int) -> None:
    ounces = plain(tenths / 10)
    _, grams = in_grams(("pack_oz-butter", ounces))
    assert pack_text(grams, US, in_pieces=False) == ounces
    assert pack_text(grams, METRIC, in_pieces=False) == grams


def test_an_example_is_short_and_pieces_stay_pieces() -> None:
    assert pack_example(250, US, in_pieces=False) == "8.8"
    assert pack_example(250, UK, in_pieces=False) == "250"
    assert pack_example(12, US, in_pieces=True) == "12"
    assert pack_text("12", US, in_pieces=True) == "12"


def test_a_litre_of_water_would_weigh_a_kilogram_and_a_quart_of_it_33_ounces() -> None:
    """A US quart is 946.352946 mL and an avoirdupois ounce 28.349523125 g; from memory."""
    assert litre_words(1000, METRIC) == "1 L weighs about 1000 g"
    assert litre_words(1000, US) == "1 qt weighs about 33 oz"
    assert litre_g(None) is None and litre_words(None, US) == ""
