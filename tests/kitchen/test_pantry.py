from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.kitchen.recipe_cases import cases, pantry
from webapp.kitchen.pantry import COUNTED_AS
from webapp.kitchen.recipe_lines import LineProblemError

IDS = sorted(pantry().ingredients)


@pytest.mark.parametrize("case", cases("recipe_lines.csv"), ids=lambda case: case["line"])
def test_a_line_is_understood_as_it_is_meant(case: dict[str, str]) -> None:
    """To a tenth of a percent: the cases give figures as a baker would write them."""
    line = pantry().read(case["line"])
    assert line.ingredient.id == case["ingredient"]
    assert line.grams == pytest.approx(float(case["grams"]), rel=1e-3)
    assert line.rule


@pytest.mark.parametrize("case", cases("refused_lines.csv"), ids=lambda case: case["line"])
def test_a_line_that_cannot_be_meant_is_refused_with_what_would_do(case: dict[str, str]) -> None:
    with pytest.raises(LineProblemError) as refused:
        pantry().read(case["line"])
    assert refused.value.kind == case["kind"]
    assert case["says"] in str(refused.value)
    assert refused.value.text == " ".join(case["line"].split())
    assert refused.value.allowed


@pytest.mark.parametrize("id_", IDS)
def test_every_ingredient_is_known_by_its_own_name(id_: str) -> None:
    line = pantry().read(f"12.5 g {pantry().ingredients[id_].name}")
    assert (line.ingredient.id, line.grams) == (id_, 12.5)


@pytest.mark.parametrize("words", sorted(pantry().names), ids=" ".join)
def test_every_name_leads_to_its_ingredient_or_to_a_choice(words: tuple[str, ...]) -> None:
    meant = pantry().names[words]
    try:
        assert (pantry().read(f"100 g {' '.join(words)}").ingredient.id,) == meant
    except LineProblemError as refused:
        assert refused.kind == "ambiguous"
        assert refused.options == meant and len(meant) > 1


def test_a_choice_in_square_brackets_settles_the_line() -> None:
    with pytest.raises(LineProblemError) as refused:
        pantry().read("2 cups sugar")
    for id_ in refused.value.options:
        name = pantry().ingredients[id_].name
        line = pantry().read(f"2 cups sugar [{name.lower()}]")
        assert line.ingredient.id == id_
        assert line.notes == ()


def test_what_is_counted_as_something_else_says_so() -> None:
    assert "its allergens too" in pantry().read("100 g cultured spread [butter]").notes[0]


@given(count=st.integers(1, 40), unit=st.sampled_from(["cup", "tbsp", "tsp", "mL", "g", "oz", "stick"]))
def test_grams_grow_with_the_amount(count: int, unit: str) -> None:
    one = pantry().read(f"1 {unit} butter").grams
    assert pantry().read(f"{count} {unit} butter").grams == pytest.approx(count * one)


def test_ounces_of_a_liquid_are_told_from_fluid_ounces() -> None:
    assert "fl oz" in pantry().read("2 oz milk").notes[0]
    assert pantry().read("2 oz butter").notes == ()
    assert pantry().read("2 oz milk").grams < pantry().read("2 fl oz milk").grams


@pytest.mark.parametrize(
    ("line", "lost"),
    [
        ("100 g peanut butter [unsalted butter]", "peanut"),
        ("200 g butter [high-ratio shortening]", "butter"),
        ("30 g tahini [vanilla extract]", "tahini"),
        ("100 g almonds, ground [powdered sugar]", "almond"),
        ("50 g egg yolk powder [powdered sugar]", "egg"),
    ],
)
def test_square_brackets_do_not_count_an_allergen_away(line: str, lost: str) -> None:
    with pytest.raises(LineProblemError) as refused:
        pantry().read(line)
    assert lost in refused.value.problem
    assert refused.value.allowed


@pytest.mark.parametrize(
    ("line", "counted"),
    [
        ("200 g my vegan butter [plant butter]", "plant-block"),
        ("200 g soya butter [plant butter]", "plant-block"),
        ("2 cups sugar [powdered sugar]", "powdered-sugar"),
    ],
)
def test_square_brackets_still_count_a_name_of_the_same_allergens(line: str, counted: str) -> None:
    assert pantry().read(line).ingredient.id == counted


@pytest.mark.parametrize(
    "line", ["1 cup almond milk", "1 cup milk, almond", "1 cup ewe milk", "3 tbsp soy butter", "2 cups sugar, lemony"]
)
def test_no_ingredient_is_offered_that_would_be_refused(line: str) -> None:
    # Seen to fail: whole milk was offered for almond milk, and then refused as it would lose the nuts.
    with pytest.raises(LineProblemError) as refused:
        pantry().read(line)
    for id_ in refused.value.options:
        name = pantry().ingredients[id_].name.lower()
        assert pantry().read(f"{line} [{name}]").ingredient.id == id_


def test_the_example_of_another_name_reads() -> None:
    with pytest.raises(LineProblemError):
        pantry().read(COUNTED_AS.partition(" [")[0])
    assert pantry().read(COUNTED_AS).ingredient.id == "butter"


@pytest.mark.parametrize("line", ["1 cup (8 oz / 227 g) butter", "1 cup (227 g / 8 oz) butter"])
def test_of_two_weights_on_a_line_the_metric_one_counts(line: str) -> None:
    # 8 oz are 226.8 g: the scale shows the grams. Seen to fail: the first that stands there.
    assert pantry().read(line).grams == 227


def test_two_amounts_of_a_line_may_be_half_as_much_again_apart_and_no_more() -> None:
    # A cup of butter is 227 g: 340 g are 1.498 times as much, 341 g 1.502 times. Seen to fail: 1.65 times.
    assert pantry().read("1 cup (340 g) butter").grams == 340
    with pytest.raises(LineProblemError, match="two amounts differ"):
        pantry().read("1 cup (341 g) butter")


def test_more_than_fifty_kilograms_of_anything_is_taken_for_a_slip() -> None:
    # Seen to fail: 55 kg.
    assert pantry().read("50 kg butter").grams == 50_000
    with pytest.raises(LineProblemError):
        pantry().read("51 kg butter")
