from __future__ import annotations

import json

import pytest

from webapp.advice.brief import read_brief
from webapp.advice.kitchen_plan import PlanOptions, plan_kitchen
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.pages import plan_words as words
from webapp.units import METRIC, UK, US

CATALOGUE = load_catalogue(Config().data_dir)


def plan(shape, coat="swiss-butter", filling="french-butter", **options):
    return plan_kitchen(read_brief(json.dumps(shape)), (coat, filling), CATALOGUE, PlanOptions(**options))


@pytest.mark.parametrize(
    ("grams", "said"),
    [(1150.2, "1 150 g"), (462, "462 g"), (20.4, "20 g"), (16.74, "16.5 g"), (4.62, "4.6 g"), (0.24, "0.2 g")],
)
def test_a_mass_is_written_as_a_scale_shows_it(grams, said):
    assert words.grams(grams) == said


@pytest.mark.parametrize(
    ("ml", "measures", "said"),
    [
        (2812, METRIC, "2.8 L"),
        (240, UK, "240 mL"),
        (946.4, US, "4 cups"),
        (59.1, US, "2.0 fl oz"),
    ],
)
def test_a_volume_in_the_readers_measures(ml, measures, said):
    assert words.volume(ml, measures) == said


def test_batches_alike_share_a_column():
    (making,) = plan({}, "swiss-butter", "swiss-butter", bowl_l=2.0).makings
    said = words.batch_words(making, plan({}), METRIC)
    assert all("whites" in title for title in said.titles)
    assert {len(weights) for _, weights in said.rows} == {len(said.titles)} == {len(said.makes)}
    # Water-bath and cooling have no amounts, so they are said once for all batches.
    assert [title for title, _ in said.steps] == [""]


def test_syrups_of_different_batches_are_told_apart():
    made = plan({"tiers": [{"width_cm": 30}]}, "italian-butter", "italian-butter", bowl_l=3.3)
    said = words.batch_words(made.makings[0], made, METRIC)
    assert len(said.titles) == 2
    assert [title for title, _ in said.steps] == list(said.titles)
    (_, first), (_, later) = said.steps
    assert len(first) > 1
    (only,) = later
    # Its own water and mass in the pan, and not a word of what is as before.
    assert "The pan then holds" in only and only.endswith("Then as for batch 1.")
    assert "Usually" in first[0] and "Usually" not in only


@pytest.mark.parametrize(
    ("amount", "currency", "said"), [(3.456, "EUR", "3.46 EUR"), (345.6, "JPY", "346 JPY"), (0.004, "GBP", "0.00 GBP")]
)
def test_money(amount, currency, said):
    assert words.money(amount, currency) == said


@pytest.mark.parametrize(("amount", "said"), [(1.5, "1.50 EUR more"), (-0.2, "0.20 EUR less"), (0.001, "the same")])
def test_a_difference_of_price(amount, said):
    assert words.difference(amount, "EUR") == said


def test_whites_left_over_are_named_with_how_long_they_keep():
    said = " ".join(words.egg_words(plan({}, "american-butter", "french-butter")))
    assert "whites over" in said and "2 days in the fridge, 12 months frozen" in said
    said = " ".join(words.egg_words(plan({}, "swiss-butter", "american-butter")))
    assert "yolks over" in said and "2 days in the fridge; freezes badly" in said
    assert words.egg_words(plan({}, "american-butter", "american-butter")) == []


def test_inches_where_the_reader_has_them():
    made = plan({"tiers": [{"width_cm": 30}, {"width_cm": 20}]})
    assert "in the bottom tier" in words.supports_words(made, US)
    assert " cm" not in words.supports_words(made, US)
    assert "in²" in words.amount_groups(made, US)[0].rows[0].follows


def test_slices_are_said_as_a_range_and_the_fewest_set_against_the_guests():
    # 8 in round, 4 in high: 201 cubic inches; 131 to 164 mL are 8 to 10 of them.
    cake = {"tiers": [{"width_cm": 20.32, "height_cm": 10.16}]}
    assert words.servings_words(plan(cake)) == "Cuts into 20 to 25 wedding slices."
    said = words.servings_words(plan(cake | {"cupcakes": 12}, guests=30))
    assert said.startswith("Cuts into 20 to 25 wedding slices; with 12 cupcakes it serves 32 to 37. Counted by the")
    assert "2 more than the 30 guests" in said
    assert "1 short of the 21 guests: bake 1 cupcake" in words.servings_words(plan(cake, guests=21))


def test_rosettes_on_the_side_are_followed_row_by_row():
    cake = {"tiers": [{"width_cm": 20}], "piping": "rosettes"}
    (group,) = words.amount_groups(plan(cake), METRIC)
    told = {row.what: row.follows for row in group.rows}
    assert told["Rosettes on the side"].startswith(
        "3 rows of 16 on the crumb coat, each 45 mm wide and 15 mm high, 12 mL"
    )
    assert told["Coat over it"].startswith("5 mm on the top")
    edge = words.amount_groups(plan(cake, rosettes="edge"), METRIC)[0]
    assert "Rosettes on the side" not in {row.what for row in edge.rows}


def test_prices_are_said_to_be_assumptions_until_they_are_ones_own():
    usual = plan({})
    assert "All prices below are assumptions" in words.prices_words(usual)
    bought = [each for each in usual.shopping.purchases if each.packs]
    prices = tuple(f"{each.wanted.id}:{each.wanted.pack.holds:g}:2" for each in bought)
    assert f"1 of the {len(bought)} prices" in words.prices_words(plan({}, price=prices[:1]))
    assert words.prices_words(plan({}, price=prices)) == "Every pack and price below is your own."


def test_servings_against_the_guests():
    assert words.servings_words(plan({"tiers": [], "cupcakes": 12})) == "Serves 12: 12 cupcakes."
    assert "3 short of the 15 guests: bake 3 cupcakes" in words.servings_words(
        plan({"tiers": [], "cupcakes": 12}, guests=15)
    )


@pytest.mark.parametrize(("holds", "said"), [(250, "250 g"), (1000, "1 kg"), (1500, "1.5 kg"), (454, "454 g")])
def test_a_pack_is_written_as_shops_print_it(holds, said):
    assert words.pack_size(holds) == said
