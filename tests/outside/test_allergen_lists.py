"""The allergens that food law names, typed here from the laws and not from the data.

US: Federal Food, Drug, and Cosmetic Act, section 201(qq), as amended by the FASTER Act of 2021 (sesame from
2023-01-01); tree nuts after the FDA's Questions and Answers Regarding Food Allergens, Edition 5, 2025-01-06.
EU: Regulation (EU) No 1169/2011, Annex II; the UK keeps the same list in the Food Information Regulations 2014.
"""

from __future__ import annotations

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config

CATALOGUE = load_catalogue(Config().data_dir)
US = {"milk", "egg", "fish", "crustacean shellfish", "tree nuts", "wheat", "peanuts", "soybeans", "sesame"}
EU = {
    "cereals containing gluten",
    "crustaceans",
    "eggs",
    "fish",
    "peanuts",
    "soybeans",
    "milk",
    "nuts",
    "celery",
    "mustard",
    "sesame",
    "sulphur dioxide and sulphites",
    "lupin",
    "molluscs",
}


@pytest.mark.parametrize(("law", "published"), [("us", US), ("eu", EU)])
def test_the_list_is_the_published_one(law: str, published: set[str]) -> None:
    ours = [each.words.lower() for each in CATALOGUE.allergens.values() if each.law == law]
    assert len(ours) == len(published)
    assert set(ours) == published


# The US tree nuts are those of the FDA's edition 5; the EU's nuts and cereals those of Annex II.
KINDS = {
    ("us", "tree-nut"): {
        "almond",
        "black walnut",
        "brazil nut",
        "california walnut",
        "cashew",
        "hazelnut",
        "heartnut",
        "macadamia nut",
        "pecan",
        "pine nut",
        "pistachio",
        "walnut",
    },
    ("eu", "tree-nut"): {
        "almond",
        "hazelnut",
        "walnut",
        "cashew",
        "pecan nut",
        "brazil nut",
        "pistachio nut",
        "macadamia nut",
    },
    ("eu", "gluten"): {"wheat", "rye", "barley", "oats"},
}


def test_the_kinds_are_the_published_ones() -> None:
    ours = {key: {kind.lower() for kind in each.kinds} for key, each in CATALOGUE.allergens.items() if each.kinds}
    assert ours == KINDS


def test_the_kind_is_asked_for_where_the_law_wants_it() -> None:
    """US: section 403(w)(2), tree nuts, fish and crustaceans; EU: Annex II names cereals and nuts one by one."""
    asks = {key for key, each in CATALOGUE.allergens.items() if each.asks}
    assert asks == {*KINDS, ("us", "fish"), ("us", "crustacean")}


def test_coconut_is_named_by_neither() -> None:
    assert not [each for each in CATALOGUE.allergens.values() if each.allergen == "coconut"]


def test_sesame_is_named_by_both() -> None:
    assert {each.law for each in CATALOGUE.allergens.values() if each.allergen == "sesame"} == {"us", "eu"}


def test_every_allergen_of_an_ingredient_but_coconut_is_on_both_lists() -> None:
    used = set().union(*(each.allergens | each.may_hold for each in CATALOGUE.ingredients.values()))
    for law in ("us", "eu"):
        listed = {each.allergen for each in CATALOGUE.allergens.values() if each.law == law}
        assert used - listed == {"coconut", "bone-char"}
