from __future__ import annotations

import pytest

from tests.advice.asking import THREE_TIERS, asked
from webapp.advice.label import Card, OwnSponge, listed_by, make_card
from webapp.catalogue.model import Catalogue

PLAIN = OwnSponge(("wheat flour", "sugar", "eggs", "butter"), frozenset({"gluten", "egg", "milk"}))


@pytest.fixture
def card(catalogue: Catalogue):
    def made(coat: str, filling: str, law="us", sponge: OwnSponge = PLAIN, handled=(), slice_g=None, **fields) -> Card:
        formulas = catalogue.formulations
        return make_card(catalogue, asked(**fields), formulas[coat], formulas[filling], law, sponge, handled, slice_g)

    return made


def test_parts_fall_by_weight_and_the_masses_are_those_of_the_cake(card, catalogue: Catalogue) -> None:
    made = card("american-butter", "swiss-butter", tiers=THREE_TIERS)
    masses = [part.grams for part in made.components]
    assert masses == sorted(masses, reverse=True)
    assert [part.name for part in made.components] == ["Sponge", "Buttercream outside", "Buttercream inside"]
    assert made.components[0].own_ingredients == PLAIN.ingredients


def test_the_coat_is_its_volume_times_its_density(card, catalogue: Catalogue) -> None:
    """One round tier of 20 x 12 cm under 7 mm: a ring and a lid, 641 mL by hand."""
    made = card("american-butter", "swiss-butter")
    coat = next(part for part in made.components if part.name == "Buttercream outside")
    by_hand_ml = 3.14159 * (10.7**2 - 10**2) * 12.7 + 3.14159 * 10**2 * 0.7
    assert coat.grams == pytest.approx(by_hand_ml * catalogue.fact("american", "density").value, rel=0.005)


def test_one_buttercream_in_both_places_is_named_once(card) -> None:
    assert [part.name for part in card("swiss-butter", "swiss-butter").components] == ["Sponge", "Buttercream"]


def test_cupcakes_have_no_filling_and_are_the_serving(card) -> None:
    made = card("american-butter", "swiss-butter", tiers=[], cupcakes=24)
    assert "Buttercream inside" not in [part.name for part in made.components]
    assert made.serving.is_cupcake
    assert made.serving.grams == pytest.approx(sum(part.grams for part in made.components) / 24)


def test_allergens_are_those_of_the_law_in_its_order(card) -> None:
    us, eu = (card("swiss-butter", "american-plant", law) for law in ("us", "eu"))
    assert [each.words for each in us.listed] == ["Milk", "Egg", "Wheat", "Soybeans"]
    assert [each.words for each in eu.listed] == ["Cereals containing gluten", "Eggs", "Soybeans", "Milk"]


def test_coconut_is_on_neither_list_and_told_all_the_same(card) -> None:
    for law in ("us", "eu"):
        made = card("american-plant", "american-plant", law)
        assert made.unlisted == ("coconut",)
        assert "coconut" not in {each.allergen for each in made.listed}
        assert made.words_of({"coconut"}) == ()


def test_what_else_is_handled_leaves_out_what_is_in_the_cake(card) -> None:
    made = card("swiss-butter", "swiss-butter", handled=("milk", "peanut", "sesame"))
    assert [each.allergen for each in made.handled] == ["peanut", "sesame"]


def test_labels_to_read_are_those_that_may_hold_an_allergen(card) -> None:
    made = card("american-plant", "swiss-butter")
    assert {each.ingredient.id for each in made.to_check} == {"plant-block", "powdered-sugar"}


def test_a_slice_is_a_wedding_slice_of_this_cake_or_as_said(card, catalogue: Catalogue) -> None:
    taken, said = card("swiss-butter", "swiss-butter"), card("swiss-butter", "swiss-butter", slice_g=120.0)
    assert 50 < taken.serving.grams < 90  # 131 mL of a cake between the density of sponge and of buttercream
    assert (said.serving.grams, said.serving.taken_g) == (120.0, taken.serving.grams)
    assert said.per_slice.energy_kcal == pytest.approx(1.2 * said.per_100_g.energy_kcal)


def test_the_whole_lies_between_the_sponge_and_the_buttercream(card, catalogue: Catalogue) -> None:
    made = card("swiss-butter", "french-butter")
    sponge = catalogue.fact("sponge-nutrition", "energy").value
    assert sponge < made.per_100_g.energy_kcal < made.icing_per_100_g.energy_kcal


def test_the_lists_are_as_long_as_the_laws_say(catalogue: Catalogue) -> None:
    assert [len(listed_by(law, catalogue)) for law in ("us", "eu")] == [9, 14]


def test_no_sponge_is_no_fault(card) -> None:
    made = card("swiss-butter", "swiss-butter", sponge=OwnSponge((), frozenset()))
    assert [each.allergen for each in made.listed] == ["milk", "egg"]


def test_a_line_that_speaks_of_an_allergen_asks_for_its_tick(card) -> None:
    sponge = OwnSponge(("Plain flour", "almonds, ground", "coconut", "EGGS", "buckwheat"), frozenset({"egg"}))
    made = card("swiss-butter", "swiss-butter", sponge=sponge)
    assert [(line, each.allergen) for line, each in made.unticked] == [
        ("Plain flour", "gluten"),
        ("almonds, ground", "tree-nut"),
    ]
