from __future__ import annotations

import pytest

from webapp.catalogue.cells import Between, Cell, Choice, Day, Name, Number, Points, listed, read_band, read_points


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (Number(0, 10), "0"),
        (Number(0, 10), "10"),
        (Number(-5, 10), "-4.25"),
        (Choice(("milk", "egg")), "egg"),
        (Choice(("milk", "egg"), is_several=True), "egg milk"),
        (Day(), "2024-02-29"),
        (Name(), "sponge-sweetness:3"),
        (Points(), "-2:0 0:0.5 4:1"),
        (Between(), "<0.88"),
        (Between(), "<=4.6"),
        (Between(), "0.88-0.90"),
        (Between(), ">0.92-0.95"),
        (Between(), ">5.0"),
    ],
)
def test_a_sound_text_has_no_problem(cell: Cell, text: str) -> None:
    assert cell.problem(text) is None


@pytest.mark.parametrize(
    ("cell", "text", "problem"),
    [
        (Number(0, 10), "10.01", "10.01 is not plausible"),
        (Number(0, 10), "-0.01", "-0.01 is not plausible"),
        (Number(0, 10), "nan", "'nan' is not a number"),
        (Number(0, 10), "1e1", "'1e1' is not a number"),
        (Number(0, 10), "1,5", "'1,5' is not a number"),
        (Number(0, 10), "٣", "'٣' is not a number"),
        (Day(), "２０２6-05-31", "'２０２6-05-31' is not a date"),
        (Choice(("milk", "egg")), "Egg", "'Egg' is not known"),
        (Choice(("milk", "egg"), is_several=True), "egg, milk", "'egg,' is not known"),
        (Choice(("milk", "egg"), is_several=True), "egg egg", "'egg egg' repeats a word"),
        (Day(), "2023-02-29", "'2023-02-29' is not in the calendar"),
        (Day(), "31/05/2026", "'31/05/2026' is not a date"),
        (Name(), "French Butter", "'French Butter' is not a name"),
        (Points(), "0:0", "there is only one pair"),
        (Between(), "0.88", "'0.88' is not a band"),
        (Between(), "<0.88-0.9", "'<0.88-0.9' is not a band"),
        (Between(), "0.9-0.88", "'0.9-0.88' runs backwards"),
        (Between(), "about 5", "'about 5' is not a band"),
        (Points(), "0:0 0:1", "x does not rise"),
        (Points(), "0:0 5:1.2", "a y is outside 0 to 1"),
        (Points(), "0-0 5-1", "'0-0 5-1' is not made of pairs of numbers"),
    ],
)
def test_what_is_wrong_is_said(cell: Cell, text: str, problem: str) -> None:
    assert cell.problem(text) == problem


def test_points_are_read_in_order() -> None:
    assert read_points("-2:0 0:0.5 4:1") == ((-2.0, 0.0), (0.0, 0.5), (4.0, 1.0))


def test_a_very_long_list_is_shortened() -> None:
    assert listed(tuple(str(n) for n in range(43))).endswith("39 and 3 more")


@pytest.mark.parametrize(
    ("text", "inside", "outside"),
    [
        ("<0.88", (0.5, 0.8799), (0.88, 1.0)),
        ("<=4.6", (1.0, 4.6), (4.601,)),
        ("0.88-0.90", (0.88, 0.9), (0.8799, 0.9001)),
        (">0.92-0.95", (0.921, 0.95), (0.92, 0.951)),
        (">5.0", (5.01, 14.0), (5.0, 4.0)),
    ],
)
def test_a_band_holds_the_ends_that_it_names(
    text: str, inside: tuple[float, ...], outside: tuple[float, ...]
) -> None:
    band = read_band(text)
    assert all(band.meets(number, number) for number in inside)
    assert not any(band.meets(number, number) for number in outside)


def test_a_range_meets_a_band_where_they_overlap() -> None:
    band = read_band(">0.92-0.95")
    assert band.meets(0.9, 0.93) and band.meets(0.94, 0.99) and band.meets(0.8, 1.0)
    assert not band.meets(0.8, 0.92) and not band.meets(0.951, 0.99)
