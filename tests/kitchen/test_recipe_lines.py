from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.kitchen.recipe_cases import cases
from webapp.kitchen.recipe_lines import LineProblemError, is_heading, parse_line
from webapp.kitchen.recipe_words import UNITS

SPELLINGS = sorted(UNITS)


def first_number(line: str) -> float:
    return parse_line(line).amounts[0].number


@pytest.mark.parametrize(
    ("text", "number"),
    [("1 1/2", 1.5), ("1½", 1.5), ("1-1/2", 1.5), ("1 ½", 1.5), ("1 and 1/2", 1.5), ("1⁄2", 0.5), ("¼", 0.25)]
    + [("0,5", 0.5), ("0.5", 0.5), (".5", 0.5), ("⅔", 2 / 3), ("half a", 0.5), ("two", 2), ("a", 1), ("a dozen", 12)],
)
def test_a_number_is_read_however_it_is_written(text: str, number: float) -> None:
    assert first_number(f"{text} cup milk") == pytest.approx(number)


def test_large_and_small_t_are_two_spoons() -> None:
    assert [parse_line(f"1 {t} milk").amounts[0].unit for t in ("T", "t", "Tbsp", "TSP")] == ["tbsp", "tsp"] * 2


def test_sifted_before_the_name_is_of_the_cup_and_after_it_is_not() -> None:
    assert parse_line("1 cup sifted icing sugar").state == "sifted"
    assert parse_line("1 cup icing sugar, sifted").state == ""


@pytest.mark.parametrize("text", ["For the syrup:", "  ", "", "Buttercream:"])
def test_headings_are_no_ingredients(text: str) -> None:
    assert is_heading(text)


def test_a_name_with_an_amount_after_a_colon_is_no_heading() -> None:
    assert not is_heading("butter: 200 g")


@given(number=st.integers(1, 900), unit=st.sampled_from(SPELLINGS), space=st.sampled_from(["", " ", "  "]))
def test_every_spelling_of_a_unit_is_read(number: int, unit: str, space: str) -> None:
    amount = parse_line(f"{number}{space}{unit} butter").amounts[0]
    assert (amount.number, amount.unit) == (number, UNITS[unit])


@given(
    whole=st.integers(1, 20),
    fraction=st.sampled_from([("1/4", "¼", 0.25), ("1/2", "½", 0.5), ("3/4", "¾", 0.75), ("1/3", "⅓", 1 / 3)]),
)
def test_a_mixed_number_means_the_same_in_every_form(whole: int, fraction: tuple[str, str, float]) -> None:
    plain, glyph, value = fraction
    forms = [f"{whole} {plain}", f"{whole}-{plain}", f"{whole}{glyph}", f"{whole} {glyph}", f"{whole} and {plain}"]
    assert [first_number(f"{form} cups milk") for form in forms] == pytest.approx([whole + value] * len(forms))


@given(low=st.integers(1, 30), more=st.integers(1, 30))
def test_of_a_range_the_middle_is_taken_and_told_or_it_is_asked_for(low: int, more: int) -> None:
    text = f"{low}-{low + more} g butter"
    if low + more > 3 * low:
        with pytest.raises(LineProblemError, match="no range"):
            parse_line(text)
    else:
        line = parse_line(text)
        assert line.amounts[0].number == low + more / 2
        assert "middle" in line.notes[0]


@given(text=st.text(alphabet="0123456789 /.,-½¼()[]:+=%gcuptbslxorandfiwhe\n\t–T~", max_size=40))
def test_whatever_is_typed_is_read_or_refused_as_a_line(text: str) -> None:
    try:
        line = parse_line(text)
    except LineProblemError as refused:
        assert refused.problem and refused.allowed
    else:
        assert all(amount.number > 0 for amount in line.amounts)


def test_there_are_lines_enough() -> None:
    assert len(cases("recipe_lines.csv")) >= 60
    assert len(cases("refused_lines.csv")) >= 40
