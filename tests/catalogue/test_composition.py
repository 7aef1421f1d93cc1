from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.catalogue.conftest import DATA
from webapp.catalogue.checks import COMPOSITION
from webapp.catalogue.composition import allergens, batch_mass, compose, fat_blend
from webapp.catalogue.loader import read_folder
from webapp.catalogue.model import Catalogue, FormulaLine, Formulation

NAMES = [row.cells["id"] for row in read_folder(DATA)["ingredients.csv"].rows]
BUTTER = ("american-butter", "swiss-butter", "italian-butter", "french-butter")
PLANT = (
    "american-shortening",
    "american-plant",
    "american-plant-shortening",
    "swiss-aquafaba-plant",
    "italian-aquafaba-plant",
)


Amounts = list[tuple[str, float]]
amounts = st.lists(st.tuples(st.sampled_from(NAMES), st.floats(0.5, 5000)), min_size=1, max_size=8)


def mixed(catalogue: Catalogue, amounts: Amounts) -> Formulation:
    lines = tuple(FormulaLine(catalogue.ingredients[name], grams, "beat") for name, grams in amounts)
    return Formulation("any", "Any", catalogue.families["swiss"], "none", frozenset(), lines, "")


@given(amounts)
def test_shares_add_up_to_100(catalogue: Catalogue, amounts: Amounts) -> None:
    formulation = mixed(catalogue, amounts)
    composition = compose(formulation)
    total = sum(getattr(composition, name) for name in COMPOSITION)
    assert total == pytest.approx(100, abs=1)  # the data allow an ingredient 99 to 101
    assert composition.sugar_share == pytest.approx(composition.sugar / 100)


@given(amounts, st.floats(0.01, 100))
def test_the_size_of_the_batch_changes_nothing(catalogue: Catalogue, amounts: Amounts, factor: float) -> None:
    formulation = mixed(catalogue, amounts)
    lines = tuple(replace(line, grams=line.grams * factor) for line in formulation.lines)
    scaled = replace(formulation, lines=lines)
    before, after = compose(formulation), compose(scaled)
    for name in (*COMPOSITION, "sweetness", "energy_kcal", "gas_free_density"):
        assert getattr(after, name) == pytest.approx(getattr(before, name), rel=1e-9, abs=1e-9)
    assert (after.animal, after.allergens) == (before.animal, before.allergens)
    assert fat_blend(scaled) == pytest.approx(fat_blend(formulation))


@given(amounts)
def test_a_mixture_lies_between_its_ingredients(catalogue: Catalogue, amounts: Amounts) -> None:
    formulation = mixed(catalogue, amounts)
    composition = compose(formulation)
    for name, of in (("fat", "fat"), ("energy_kcal", "energy_kcal"), ("gas_free_density", "density_g_ml")):
        values = [getattr(line.ingredient, of) for line in formulation.lines]
        assert min(values) - 1e-9 <= getattr(composition, name) <= max(values) + 1e-9


@given(amounts)
def test_fat_shares_add_up_to_one_or_there_is_none(catalogue: Catalogue, amounts: Amounts) -> None:
    blend = fat_blend(mixed(catalogue, amounts))
    assert not blend or sum(blend.values()) == pytest.approx(1)


def test_one_ingredient_is_itself(catalogue: Catalogue) -> None:
    formulation = mixed(catalogue, [("butter", 250)])
    composition = compose(formulation)
    assert composition.fat == pytest.approx(81.11)
    assert composition.sweetness == pytest.approx(0.06 * 0.16)
    assert composition.gas_free_density == pytest.approx(0.93)
    assert (composition.animal, composition.allergens) == (True, frozenset({"milk"}))
    assert fat_blend(formulation) == {"milk-fat": 1.0}


def test_yolk_fat_is_no_part_of_the_crystal_network(catalogue: Catalogue) -> None:
    assert fat_blend(catalogue.formulations["french-butter"]) == {"milk-fat": 1.0}
    assert fat_blend(catalogue.formulations["french-plant"]) == {"plant-block-fat": 1.0}


@pytest.mark.parametrize(
    "formulation", ["american-half-shortening", "swiss-butter-shortening", "italian-butter-shortening"]
)
def test_half_of_the_fat_is_shortening_where_the_name_says_so(catalogue: Catalogue, formulation: str) -> None:
    assert fat_blend(catalogue.formulations[formulation])["high-ratio-shortening"] == pytest.approx(
        0.5, abs=0.01
    )


def test_a_swap_at_equal_fat_keeps_fat_and_water(catalogue: Catalogue) -> None:
    for family in ("swiss", "italian"):
        plain = compose(catalogue.formulations[f"{family}-butter"])
        swapped = compose(catalogue.formulations[f"{family}-butter-shortening"])
        assert swapped.fat == pytest.approx(plain.fat, abs=0.5)
        assert swapped.water == pytest.approx(plain.water, abs=0.5)


def test_a_batch_is_of_a_size_that_a_home_mixer_takes(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        assert 700 <= batch_mass(formulation) <= 1200


def test_allergens_follow_from_the_ingredients(catalogue: Catalogue) -> None:
    expected = {
        "american-butter": {"milk"},
        "american-shortening": {"soy"},
        "swiss-butter": {"milk", "egg"},
        "swiss-aquafaba-plant": {"coconut", "soy"},
        "french-plant": {"egg", "coconut", "soy"},
    }
    assert {name: allergens(catalogue.formulations[name]) for name in expected} == expected


def test_only_these_have_no_animal_ingredient(catalogue: Catalogue) -> None:
    free = [name for name, item in catalogue.formulations.items() if not compose(item).animal]
    assert free == list(PLANT)


def test_egg_is_in_the_formula_exactly_where_its_treatment_matters(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        assert ("egg" in allergens(formulation)) == (formulation.egg_treatment != "none")


def test_pasteurised_egg_is_called_so(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        has = any(line.ingredient.id.endswith("-pasteurised") for line in formulation.lines)
        assert has == (formulation.egg_treatment == "pasteurised")


# Facts of the trade: common practice, no source.


def test_sugar_falls_american_swiss_italian_french(catalogue: Catalogue) -> None:
    sugar = [compose(catalogue.formulations[name]).sugar for name in BUTTER]
    assert sugar == sorted(sugar, reverse=True) and len(set(sugar)) == 4


def test_sweetness_falls_in_the_same_order(catalogue: Catalogue) -> None:
    sweetness = [compose(catalogue.formulations[name]).sweetness for name in BUTTER]
    assert sweetness == sorted(sweetness, reverse=True) and len(set(sweetness)) == 4


def test_french_is_less_sweet_than_any_other_family(catalogue: Catalogue) -> None:
    sweetness = {name: compose(item).sweetness for name, item in catalogue.formulations.items()}
    french = [value for name, value in sweetness.items() if name.startswith("french")]
    others = [value for name, value in sweetness.items() if not name.startswith("french")]
    assert max(french) < min(others)


def test_a_third_of_a_meringue_buttercream_is_sugar_and_two_thirds_of_an_american(
    catalogue: Catalogue,
) -> None:
    assert compose(catalogue.formulations["swiss-butter"]).sugar == pytest.approx(33, abs=2)
    assert compose(catalogue.formulations["american-butter"]).sugar == pytest.approx(63, abs=2)


def test_american_needs_neither_mixer_nor_thermometer_and_the_others_both(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        expected = set() if formulation.family.id == "american" else {"stand-mixer", "thermometer"}
        assert formulation.equipment == expected


def test_air_only_makes_a_buttercream_lighter(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        whipped = catalogue.formulation_fact(formulation, "density")
        assert whipped.high < compose(formulation).gas_free_density


def test_a_syrup_keeps_about_a_seventh_of_its_mass_as_water(catalogue: Catalogue) -> None:
    """Syrup at 115 °C is about 86 % sugar."""
    for formulation in catalogue.formulations.values():
        syrup = [line for line in formulation.lines if line.stage == "syrup"]
        if syrup:
            sugar = sum(line.grams for line in syrup if line.ingredient.id == "granulated-sugar")
            assert sugar / sum(line.grams for line in syrup) == pytest.approx(0.86, abs=0.005)


def forkful(catalogue: Catalogue, formulation: str, sponge_level: int) -> float:
    """Sweetness of a cake of 20 x 12 cm, three layers, 7 mm coat and 6 mm fillings [g/100 g]."""
    footprint_cm2 = 314.2
    filling_ml = 2 * 0.6 * footprint_cm2
    coat_ml = 3.1416 * 10.7**2 * 12.7 - footprint_cm2 * 12
    sponge_g = (footprint_cm2 * 12 - filling_ml) * catalogue.fact("sponge:butter", "density").value / 1000
    icing = catalogue.formulations[formulation]
    icing_g = (filling_ml + coat_ml) * catalogue.formulation_fact(icing, "density").value
    sponge = catalogue.fact(f"sponge-sweetness:{sponge_level}", "sweetness").value
    return (sponge_g * sponge + icing_g * compose(icing).sweetness) / (sponge_g + icing_g)


def test_a_middling_cake_with_meringue_buttercream_is_as_sweet_as_middling_means(
    catalogue: Catalogue,
) -> None:
    wanted = catalogue.fact("forkful-sweetness:3", "sweetness").value
    for formulation in ("swiss-butter", "italian-butter"):
        assert forkful(catalogue, formulation, 3) == pytest.approx(wanted, abs=1.5)


def test_a_middling_cake_with_american_is_very_sweet(catalogue: Catalogue) -> None:
    wanted = catalogue.fact("forkful-sweetness:5", "sweetness").value
    assert forkful(catalogue, "american-butter", 3) == pytest.approx(wanted, abs=1.5)
