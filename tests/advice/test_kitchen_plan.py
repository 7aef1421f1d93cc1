from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.strategies import cakes, choices
from webapp.advice.brief import Piping, Sponge, read_brief
from webapp.advice.kitchen_plan import PlanOptions, plan_kitchen, read_options
from webapp.advice.plan_options import EggSize, Rosettes, Swirl
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.errors import BriefError

CATALOGUE = load_catalogue(Config().data_dir)
IDS = sorted(CATALOGUE.formulations)
USUAL_FILLING_MM = CATALOGUE.fact("cake", "filling_mm").value
GRAM = 0.5  # half a gram: what a kitchen scale rounds to


def plan(shape, coat="swiss-butter", filling="french-butter", options=None, **more):
    return plan_kitchen(
        read_brief(json.dumps(shape)), (coat, filling), CATALOGUE, PlanOptions(**(options or {})), **more
    )


def filling_of(shape):
    """Fillings that leave room for the layers; the usual one only where it does."""
    tiers = read_brief(json.dumps({"tiers": shape["tiers"], "cupcakes": 1})).tiers
    most = min((10 * tier.height_cm / tier.layers for tier in tiers), default=25)
    asked = st.floats(2, min(25, most))
    return st.one_of(st.none(), asked) if most >= USUAL_FILLING_MM else asked


@st.composite
def orders(draw):
    shape = {
        "tiers": draw(st.one_of(cakes(), st.just([]))),
        "piping": draw(choices(Piping)),
        "sponge": draw(choices(Sponge)),
        "coat_mm": draw(st.floats(3, 20)),
        "altitude_m": draw(st.floats(-400, 5000)),
    }
    shape["cupcakes"] = draw(st.integers(0 if shape["tiers"] else 1, 400))
    options = {
        "allowance_pct": draw(st.one_of(st.none(), st.floats(0, 60))),
        "filling_mm": draw(filling_of(shape)),
        "bowl_l": draw(st.one_of(st.none(), st.floats(1, 60))),
        "rosettes": draw(choices(Rosettes)),
        "swirl": draw(choices(Swirl)),
        "egg_size": draw(choices(EggSize)),
    }
    coat, filling = draw(st.sampled_from(IDS)), draw(st.sampled_from(IDS))
    return plan(shape, coat, filling, options, needs_dam=draw(st.booleans()))


@settings(max_examples=500)
@given(orders())
def test_mass_is_conserved_to_the_gram(made):
    # In: what is bought and used, eggs as cracked. Out: steam, the cake by its places, what stays behind, what is over.
    eggs = made.eggs
    bought = math.fsum(p.wanted.used for p in made.shopping.purchases if not p.wanted.in_pieces)
    weighed = bought + (eggs.eggs * (eggs.white_g + eggs.yolk_g) - eggs.over_g if eggs else 0)
    steam = math.fsum(
        step.boiled_off_g * batch.times for making in made.makings for batch, steps in making.batches for step in steps
    )
    on_cake = math.fsum(portion.ml * made.density_of(portion.role) for portion in made.portions)
    behind = on_cake * made.losses.whole
    over = math.fsum(making.over_g for making in made.makings)
    assert weighed - steam == pytest.approx(on_cake + behind + over, abs=GRAM)
    assert over >= -1e-6
    balance = made.balance
    assert balance.weighed_g == pytest.approx(weighed, abs=GRAM)
    assert balance.boiled_off_g == pytest.approx(steam, abs=GRAM)
    assert balance.on_cake_g == pytest.approx(on_cake, abs=GRAM)
    assert balance.bowl_g + balance.bag_g + balance.trimming_g == pytest.approx(behind, abs=GRAM)
    assert balance.over_g == pytest.approx(over, abs=GRAM)


@settings(max_examples=200)
@given(orders())
def test_only_whole_eggs_are_cracked_and_every_shell_part_is_in_them(made):
    if made.eggs is None:
        assert not any(p.wanted.in_pieces for p in made.shopping.purchases)
        return
    assert made.eggs.eggs == max(made.eggs.whites, made.eggs.yolks) >= 1
    assert made.eggs.white_over_g >= -1e-6 and made.eggs.yolk_over_g >= -1e-6
    (eggs,) = [p.wanted for p in made.shopping.purchases if p.wanted.in_pieces]
    assert eggs.used == made.eggs.eggs


@settings(max_examples=200)
@given(orders(), st.floats(0, 10), st.floats(0, 6), st.integers(0, 50))
def test_a_bigger_cake_never_needs_less(small, wider, taller, cupcakes):
    brief = small.brief
    tiers = [
        tier.model_copy(update={"width_cm": tier.width_cm + wider, "height_cm": tier.height_cm + taller})
        for tier in brief.tiers
    ]
    # Copied without reading it again: beyond 80 cm the brief would refuse it, the arithmetic does not.
    bigger = brief.model_copy(update={"tiers": tuple(tiers), "cupcakes": brief.cupcakes and brief.cupcakes + cupcakes})
    pair = small.coat.id, small.filling.id
    large = plan_kitchen(bigger, pair, CATALOGUE, small.options, needs_dam=small.needs_dam)
    needed = {p.wanted.id: (p.wanted.used, p.packs, p.price) for p in large.shopping.purchases}
    for purchase in small.shopping.purchases:
        used, packs, price = needed[purchase.wanted.id]
        assert used >= purchase.wanted.used - 1e-6
        assert packs >= purchase.packs
        assert price >= purchase.price - 1e-9
    assert all(more >= fewer for more, fewer in zip(large.servings.whole, small.servings.whole, strict=True))
    assert large.balance.on_cake_g >= small.balance.on_cake_g - 1e-6


def test_one_formulation_in_both_places_is_made_once():
    made = plan({}, "swiss-butter", "swiss-butter")
    (making,) = made.makings
    assert making.roles == ("coat", "filling")
    assert making.need.on_cake_g == pytest.approx(made.balance.on_cake_g)


def test_a_filling_without_a_place_is_not_made():
    made = plan({"tiers": [{"shape": "rectangle", "width_cm": 33, "depth_cm": 23, "height_cm": 5, "layers": 1}]})
    assert [making.formulation.id for making in made.makings] == ["swiss-butter"]


def test_whites_outside_and_yolks_inside_come_from_the_same_eggs():
    made = plan({})
    assert made.eggs.eggs == max(made.eggs.whites, made.eggs.yolks) < made.eggs.apart
    assert made.eggs.yolks > 0 < made.eggs.whites


def test_cupcakes_alone_are_filled_and_beside_a_cake_only_topped():
    alone, beside = plan({"tiers": [], "cupcakes": 12}), plan({"cupcakes": 12})
    assert "core" in {portion.kind for portion in alone.portions}
    assert "core" not in {portion.kind for portion in beside.portions}
    assert alone.stack is None
    assert alone.servings.whole == (12, 12)


def test_what_is_asked_for_overrides_what_is_usual():
    asked = plan({}, options={"allowance_pct": 0.0, "filling_mm": 12.0, "bowl_l": 20.0, "slice": "party"})
    usual = plan({})
    assert asked.balance.bowl_g == 0
    assert {p.thickness_mm for p in asked.portions if p.kind == "filling"} == {12}
    assert asked.servings.whole[1] < usual.servings.whole[0]
    assert sum(batch.times for making in asked.makings for batch, _ in making.batches) == 2


def test_a_small_bowl_makes_more_batches_of_no_more_eggs():
    small, usual = plan({}, options={"bowl_l": 1.5}), plan({})
    count = [sum(b.times for m in made.makings for b, _ in m.batches) for made in (small, usual)]
    assert count[0] > count[1]
    assert small.eggs.eggs == usual.eggs.eggs


def test_smaller_eggs_are_more():
    assert plan({}, options={"egg_size": "small"}).eggs.eggs > plan({}).eggs.eggs


def test_another_formulation_can_be_planned_than_the_advised():
    made = plan({}, options={"coat": "italian-butter", "filling": "american-butter"})
    assert (made.coat.id, made.filling.id) == ("italian-butter", "american-butter")


def test_the_next_two_pairings_are_compared_by_what_is_used():
    advised = ("swiss-butter", "french-butter")
    others = [advised, ("american-butter", "american-butter"), advised, ("italian-butter", "french-butter")]
    made = plan({}, others=[*others, ("swiss-butter", "swiss-butter")])
    assert [(o.coat.id, o.filling.id) for o in made.others] == [others[1], others[3]]
    alone = plan({}, *others[1])
    assert made.others[0].used_price == pytest.approx(alone.shopping.used_price)
    shown = [round(price, 2) for price in (alone.shopping.used_price, made.shopping.used_price)]
    assert made.others[0].difference == pytest.approx(shown[0] - shown[1])  # what stands on paper adds up


def test_cautions_follow_what_is_done():
    def told(*pair, **shape):
        return {rule.id for rule in plan(shape, *pair).cautions}

    stacked = {"tiers": [{"width_cm": 25}, {"width_cm": 15}]}
    assert {"hot-syrup-burns", "syrup-not-pasteurising"} <= told("italian-butter", "italian-butter")
    assert "hot-syrup-burns" not in told("american-butter", "american-butter")
    assert "egg-cooking" in told("swiss-butter", "swiss-butter")
    assert "syrup-not-pasteurising" not in told("italian-aquafaba-plant", "italian-aquafaba-plant")
    assert {"stacked-supports", "not-food"} <= told("swiss-butter", "swiss-butter", **stacked)
    assert "stacked-supports" not in told("swiss-butter", "swiss-butter")


@pytest.mark.parametrize(
    ("entered", "field"),
    [
        ({"allowance_pct": 70}, "allowance_pct"),
        ({"slice": "huge"}, "slice"),
        ({"guests": 0}, "guests"),
        ({"price": ["butter"]}, "price"),
        ({"price": ["butter:0:3"]}, "price"),
        ({"work_from": "7 o'clock"}, "work_from"),
        ({"icing": 1}, "icing"),
    ],
)
def test_a_bad_option_is_named(entered, field):
    with pytest.raises(BriefError) as refused:
        read_options(json.dumps(entered))
    assert [problem.field for problem in refused.value.problems] == [field]


@pytest.mark.parametrize("options", [{"coat": "royal"}, {"filling": "royal"}, {"price": ("gold:1:9",)}])
def test_what_is_not_in_the_book_is_refused(options):
    with pytest.raises(BriefError) as refused:
        plan({}, options=options)
    assert [problem.field for problem in refused.value.problems] == [*options]


def test_ones_own_price_changes_the_cost_by_hand():
    usual, asked = plan({}), plan({}, options={"price": ("butter:500:10.00",)})
    (butter,) = [p for p in usual.shopping.purchases if p.wanted.id == "butter"]
    expected = usual.shopping.used_price - butter.used_price + butter.wanted.used / 500 * 10
    assert asked.shopping.used_price == pytest.approx(expected)
    assert asked.slice_price == pytest.approx(expected / asked.servings.whole[0])


@pytest.mark.parametrize("role", ["coat", "filling"])
@pytest.mark.parametrize(
    ("diet", "named", "said"),
    [
        ("vegan", "french-butter", "nothing from animals"),
        ("dairy-free", "american-butter", "no dairy"),
        ("no-undercooked-egg", "italian-butter", "not shown"),
    ],
)
def test_what_the_briefs_diet_bars_is_not_planned(role, diet, named, said):
    with pytest.raises(BriefError) as refused:
        plan({"diet": [diet]}, "american-plant", "american-plant", {role: named})
    (problem,) = refused.value.problems
    assert problem.field == role
    assert said in problem.problem
    assert "american-plant" in problem.allowed and named not in problem.allowed.split(", ")


def test_fillings_that_are_thicker_than_their_tier_are_not_planned():
    flat = {"tiers": [{"width_cm": 30, "height_cm": 12}, {"width_cm": 20, "height_cm": 4, "layers": 10}]}
    for options, most in (({"filling_mm": 25}, "4"), ({}, "4")):
        with pytest.raises(BriefError) as refused:
            plan(flat, options=options)
        (problem,) = refused.value.problems
        assert problem.field == "filling_mm"
        assert f"at most {most} mm" in problem.allowed
    assert plan(flat, options={"filling_mm": 4}).portions


@pytest.mark.parametrize("date", ["0001-01-01", "1899-12-31", "9999-12-31"])
def test_a_day_at_the_end_of_the_calendar_is_refused(date):
    with pytest.raises(BriefError) as refused:
        plan({"date": date})
    assert [problem.field for problem in refused.value.problems] == ["date"]


def test_days_long_past_and_far_ahead_are_planned():
    assert plan({"date": "1900-01-01"}).portions and plan({"date": "2999-12-31"}).portions
