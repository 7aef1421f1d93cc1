from __future__ import annotations

import pytest

from tests.advice.asking import THREE_TIERS, asked
from webapp.advice.heat import tier_sizes
from webapp.advice.label import Card, OwnSponge, listed_by, make_card
from webapp.catalogue.model import Catalogue
from webapp.kitchen.servings import slices_of

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
    assert made.cake.serving.is_cupcake
    assert made.cake.serving.grams == pytest.approx(sum(part.grams for part in made.components) / 24)


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


def test_a_slice_is_that_of_the_kitchen_plan_or_as_said(card, catalogue: Catalogue) -> None:
    """All slices of the plan's size together weigh what the cake does, within the one that is cut short."""
    taken, said = card("swiss-butter", "swiss-butter"), card("swiss-butter", "swiss-butter", slice_g=120.0)
    cuts = slices_of(tier_sizes(asked(), catalogue)[0], catalogue.fact("slice:wedding", "volume").value)
    whole_g = sum(part.grams for part in taken.components)
    assert cuts <= whole_g / taken.cake.serving.taken_g < cuts + 1
    assert taken.cake.serving.low_g < taken.cake.serving.taken_g < taken.cake.serving.high_g
    assert (said.cake.serving.grams, said.cake.serving.taken_g) == (120.0, taken.cake.serving.taken_g)
    assert said.cake.per_slice.energy_kcal == pytest.approx(1.2 * said.cake.per_100_g.energy_kcal)


def test_cupcakes_beside_a_cake_do_not_change_its_slice(card) -> None:
    alone, beside = card("swiss-butter", "swiss-butter"), card("swiss-butter", "swiss-butter", cupcakes=48)
    assert beside.cake.serving.taken_g == pytest.approx(alone.cake.serving.taken_g)


def test_the_whole_lies_between_the_sponge_and_the_buttercream(card, catalogue: Catalogue) -> None:
    made = card("swiss-butter", "french-butter")
    sponge = catalogue.fact("sponge-nutrition", "energy").value
    assert sponge < made.cake.per_100_g.energy_kcal < made.icing_per_100_g.energy_kcal


def test_the_lists_are_as_long_as_the_laws_say(catalogue: Catalogue) -> None:
    assert [len(listed_by(law, catalogue)) for law in ("us", "eu")] == [9, 14]


def test_a_sponge_that_is_not_listed_leaves_the_buttercream_alone(card) -> None:
    made = card("swiss-butter", "swiss-butter", sponge=OwnSponge((), frozenset({"gluten"})))
    assert made.cake is None
    assert [part.name for part in made.components] == ["Buttercream"]
    assert [each.allergen for each in made.listed] == ["milk", "egg"]
    assert [each.allergen for each in made.ticked_without_list] == ["gluten"]


def test_a_line_that_speaks_of_an_allergen_asks_for_its_tick(card) -> None:
    sponge = OwnSponge(("Plain flour", "almonds, ground", "coconut", "EGGS", "buckwheat"), frozenset({"egg"}))
    made = card("swiss-butter", "swiss-butter", sponge=sponge)
    assert [(line, each.allergen) for line, each in made.unticked] == [
        ("Plain flour", "gluten"),
        ("almonds, ground", "tree-nut"),
    ]


@pytest.mark.parametrize(
    ("line", "law", "asks"),
    [
        ("casein", "us", "milk"),
        ("lactose", "eu", "milk"),
        ("buttermilk powder", "us", "milk"),
        ("crème fraîche", "eu", "milk"),
        ("dried albumen", "us", "egg"),
        ("3 yolks", "eu", "egg"),
        ("the white of two", "us", "egg"),
        ("mayonnaise", "us", "egg"),
        ("mayonnaise", "eu", "mustard"),
        *((grain, law, "gluten") for grain in ("durum", "farro", "einkorn", "triticale") for law in ("us", "eu")),
        *((grain, law, "gluten") for grain in ("kamut", "graham crumbs", "breadcrumbs") for law in ("us", "eu")),
        ("frangipane", "us", "tree-nut"),
        ("gianduja", "eu", "tree-nut"),
        ("pine kernels", "us", "tree-nut"),
        ("groundnut oil", "eu", "peanut"),
        ("lobster", "us", "crustacean"),
        ("mussels", "eu", "mollusc"),
        ("clam", "eu", "mollusc"),
        ("snail", "eu", "mollusc"),
        ("celeriac", "eu", "celery"),
    ],
)
def test_common_names_of_an_allergen_ask_for_its_tick(card, line: str, law, asks: str) -> None:
    made = card("swiss-butter", "swiss-butter", law, OwnSponge((line,), frozenset()))
    assert (line, asks) in [(said, each.allergen) for said, each in made.unticked]


@pytest.mark.parametrize("line", ["white sugar", "cream of tartar", "white vinegar", "pineapple"])
def test_a_word_that_names_something_else_is_not_asked_about(card, line: str) -> None:
    assert card("swiss-butter", "swiss-butter", sponge=OwnSponge((line,), frozenset())).unticked == ()


def test_the_kind_is_printed_or_its_place_left_open(card) -> None:
    held = frozenset({"gluten", "tree-nut"})
    blank = card("swiss-butter", "swiss-butter", "eu", OwnSponge(("flour", "nuts"), held))
    assert [each.allergen for each in blank.unsaid_kinds] == ["gluten", "tree-nut"]
    sponge = OwnSponge(("flour", "nuts"), held, {"gluten": ("wheat",), "tree-nut": ("hazelnut", "walnut")})
    said = card("swiss-butter", "swiss-butter", "eu", sponge)
    assert said.unsaid_kinds == ()
    assert said.words_of(held) == ("Cereals containing gluten (wheat)", "Nuts (hazelnut, walnut)")
