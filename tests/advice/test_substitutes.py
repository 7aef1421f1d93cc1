from __future__ import annotations

import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.candidates import situation_of
from webapp.advice.service import Advisor
from webapp.advice.substitutes import AVOIDABLE, FIDELITIES, Substitutes, Way, doubts, find_substitutes, offences
from webapp.catalogue.composition import compose
from webapp.catalogue.model import Catalogue
from webapp.decision.limits import screen


@pytest.fixture
def find(advisor: Advisor, catalogue: Catalogue):
    def found(formulation: str, *avoid, **fields) -> Substitutes:
        brief = asked(**fields) if fields else None
        return find_substitutes(advisor, catalogue.formulations[formulation], avoid, brief, TODAY)

    return found


def ids(found: Substitutes) -> list[tuple[str, ...]]:
    return [tuple(each.swap.id for each in way.swaps) for way in found.ways]


def by(found: Substitutes, *swaps: str) -> Way:
    return found.ways[ids(found).index(swaps)]


def test_dairy_in_american_is_swapped_in_grams(find) -> None:
    way = by(find("american-butter", "dairy-free"), "butter-to-high-ratio", "milk-to-water")
    butter, milk = way.swaps
    assert (butter.out_g, butter.in_g, butter.water_g) == pytest.approx((280, 227.1, 50.2), abs=0.1)
    assert (milk.out_g, milk.in_g, milk.water_g) == pytest.approx((30, 26.4, 0), abs=0.1)
    assert (way.fidelity, way.brings, way.takes_away) == ("workable", {"soy"}, {"milk"})


def test_a_chain_reaches_the_formula_that_is_shipped(find, catalogue: Catalogue) -> None:
    way = by(find("american-butter", "vegan"), "butter-to-high-ratio", "milk-to-water")
    ours = catalogue.formulations["american-shortening"]
    made = {line.ingredient.id: line.grams for line in way.formulation.lines}
    for line in ours.lines:
        assert made[line.ingredient.id] == pytest.approx(line.grams, abs=2)


def test_ways_come_the_most_faithful_first_and_a_chain_is_as_good_as_its_worst(find) -> None:
    for avoid in ("dairy-free", "vegan", "no-undercooked-egg"):
        for formulation in ("american-butter", "italian-butter", "french-butter"):
            ways = find(formulation, avoid).ways
            ranks = [FIDELITIES.index(way.fidelity) for way in ways]
            assert ranks == sorted(ranks)
            for way in ways:
                each = [FIDELITIES.index(weighed.swap.faithful) for weighed in way.swaps]
                assert FIDELITIES.index(way.fidelity) == max(each)


def test_yolks_have_no_equal_and_the_nearest_family_is_offered(find) -> None:
    found = find("french-butter", "egg-free")
    assert [way.fidelity for way in found.ways] == ["different-icing"]
    assert found.ways[0].formulation.family.id == "italian"
    assert not found.has_close_way
    families = [near.way.formulation.family.id for near in found.nearby]
    assert families == ["italian", "swiss", "american"]
    assert all(not offences(near.way.formulation, found.avoid) for near in found.nearby)


def test_the_nearest_keeps_the_fat_that_need_not_go(find) -> None:
    # Seen to fail by distance alone: every nearest to French without egg had lost its butter.
    found = find("french-butter", "egg-free")
    for near in found.nearby:
        assert "butter" in {line.ingredient.id for line in near.way.formulation.lines}, near.origin.id
        assert near.lost == frozenset()
    assert find("french-butter", "vegan").nearby[0].lost == frozenset()  # there the butter has to go
    hot = find("french-butter", "egg-free", setting="shade", air_high_c=33, hold_hours=5)
    assert hot.nearby[0].lost == {"butter"} and hot.nearby[0].way.fit.order == 0


def test_the_nearest_is_compared_with_what_was_asked_about(find, advisor: Advisor, catalogue: Catalogue) -> None:
    french = catalogue.formulations["french-butter"]
    for near in find("french-butter", "egg-free").nearby:
        effects = {effect.name: effect for effect in near.effects}
        assert effects["sweetness"].before.likely == pytest.approx(compose(french).sweetness)
        assert effects["sweetness"].after.likely == pytest.approx(compose(near.way.formulation).sweetness)
        for name in ("smoothness", "piping_detail", "minutes"):
            assert effects[name].before.likely == catalogue.formulation_fact(french, name).value
            assert effects[name].after == near.way.effect(name).after
        assert effects["softens"].before.likely == pytest.approx(advisor.softness.of(french).softens.mean(), abs=1)
        assert (near.takes_away, near.brings) == ({"egg"}, set())


def test_no_more_water_is_left_out_than_a_formula_has(find) -> None:
    # Seen to fail: 2 g less of water in a Swiss that has none, and from the water that stays in a syrup.
    for formulation in ("swiss-butter", "italian-butter"):
        (swap,) = by(find(formulation, "dairy-free"), "butter-to-plant-block").swaps
        assert swap.water_g == 0
    way = by(find("american-half-shortening", "soy-free"), "high-ratio-to-plain-block")
    assert -25 <= way.swaps[0].water_g < 0


def test_the_nearest_fits_the_event_that_is_carried_along(find) -> None:
    mild = find("french-butter", "vegan", setting="indoors", air_high_c=20)
    hot = find("french-butter", "vegan", setting="shade", air_high_c=33, hold_hours=5)
    for found in (mild, hot):
        orders = [near.way.fit.order for near in found.nearby]
        assert orders == sorted(orders)
        assert orders[0] <= 1
    assert hot.nearby[0].way.formulation.family.id == "american"
    assert mild.nearby[0].way.formulation.family.id in ("swiss", "italian")


def test_pasteurised_yolks_keep_french_for_guests_at_risk(find) -> None:
    found = find("french-butter", "no-undercooked-egg")
    assert ids(found)[0] == ("yolk-to-pasteurised",)
    assert (found.ways[0].fidelity, found.ways[0].formulation.egg_treatment) == ("faithful", "pasteurised")
    assert found.nearby == ()


def test_egg_that_was_heated_or_pasteurised_is_not_undercooked(find) -> None:
    for formulation in ("swiss-butter", "italian-pasteurised-whites", "american-butter"):
        assert find(formulation, "no-undercooked-egg").is_free


def test_strict_vegans_get_another_sugar(find) -> None:
    found = find("swiss-aquafaba-plant", "vegan", "bone-char-free")
    assert ids(found) == [("granulated-to-beet",)]
    assert found.ways[0].effect("sweetness").after == found.ways[0].effect("sweetness").before
    assert find("swiss-aquafaba-plant", "vegan").is_free


@pytest.mark.parametrize("formulation", ["american-plant", "swiss-butter", "italian-aquafaba-plant"])
def test_vegan_without_soy_and_coconut_is_no_dead_end(find, formulation: str) -> None:
    found = find(formulation, "vegan", "soy-free", "coconut-free", "tree-nut-free", "gluten-free", "bone-char-free")
    assert found.has_close_way


def test_what_a_label_may_hold_is_told_and_can_be_swapped_to_be_surer(find) -> None:
    found = find("american-butter", "gluten-free")
    assert found.is_free
    assert [doubt.ingredient.id for doubt in found.doubts] == ["powdered-sugar"]
    assert ("powdered-to-beet",) in ids(found)
    assert all(not way.doubts for way in found.ways)
    nuts = find("swiss-butter", "tree-nut-free")
    assert (nuts.is_free, nuts.doubts, nuts.ways) == (True, (), ())


def test_nothing_to_avoid_changes_nothing(find) -> None:
    found = find("swiss-butter")
    assert (found.is_free, found.ways, found.nearby) == (True, (), ())


def test_sweetness_is_computed_and_softening_too(find, advisor: Advisor) -> None:
    way = by(find("american-butter", "dairy-free"), "butter-to-high-ratio", "milk-to-water")
    sweet, soft = way.effect("sweetness"), way.effect("softens")
    assert sweet.after.likely == pytest.approx(compose(way.formulation).sweetness)
    assert (sweet.basis, soft.basis) == ("computed", "computed")
    # Common practice, no source: all butter near 27 °C, all shortening about 37 °C or more.
    assert soft.before.likely == pytest.approx(27, abs=1)
    assert 36 <= soft.after.likely <= 42
    assert soft.after.low < soft.after.likely < soft.after.high


def test_a_plant_block_softens_earlier_than_butter(find) -> None:
    soft = by(find("swiss-butter", "dairy-free"), "butter-to-plant-block").effect("softens")
    assert soft.after.likely < soft.before.likely


@pytest.mark.parametrize(
    ("formulation", "swaps", "avoid", "shipped"),
    [
        ("american-butter", ("butter-to-high-ratio", "milk-to-water"), "vegan", "american-shortening"),
        ("american-butter", ("butter-to-plant-block", "milk-to-water"), "vegan", "american-plant"),
        ("swiss-butter", ("white-to-aquafaba", "butter-to-plant-block"), "vegan", "swiss-aquafaba-plant"),
        ("italian-butter", ("white-to-aquafaba", "butter-to-plant-block"), "vegan", "italian-aquafaba-plant"),
        ("french-butter", ("butter-to-plant-block",), "dairy-free", "french-plant"),
    ],
)
def test_what_is_judged_agrees_with_what_is_known_of_the_shipped_formula(
    find, catalogue: Catalogue, formulation: str, swaps: tuple[str, ...], avoid, shipped: str
) -> None:
    """Each judged range holds the number that the data give for the formula that the swaps lead to."""
    way = by(find(formulation, avoid), *swaps)
    for name in ("smoothness", "piping_detail", "minutes"):
        known = catalogue.formulation_fact(catalogue.formulations[shipped], name)
        after = way.effect(name).after
        assert after.low <= known.value <= after.high, name


def test_a_scale_is_not_left(find) -> None:
    for formulation in ("american-half-shortening", "french-butter"):
        for way in find(formulation, "vegan", "soy-free").ways:
            for name in ("smoothness", "piping_detail"):
                after = way.effect(name).after
                assert 0 <= after.low <= after.likely <= after.high <= 10


def test_a_result_has_an_id_of_its_own(find, advisor: Advisor) -> None:
    found = find("american-butter", "vegan", "soy-free")
    names = [way.formulation.id for way in found.ways]
    assert len({*names}) == len(names)
    assert not {*names} & {*advisor.catalogue.formulations}


def test_an_event_needs_its_day(advisor: Advisor, catalogue: Catalogue) -> None:
    with pytest.raises(ValueError, match="the day"):
        find_substitutes(advisor, catalogue.formulations["swiss-butter"], ("vegan",), asked())


def test_a_result_is_tried_with_the_limits_of_the_brief(find) -> None:
    way = find("swiss-butter", "vegan", setting="indoors", equipment=[]).ways[0]
    assert (way.fit.may_coat, way.fit.may_fill, way.fit.order) == (False, False, 3)


def test_what_offends_is_what_the_limits_of_the_advice_bar(advisor: Advisor, catalogue: Catalogue) -> None:
    """The two are written apart; they must not drift."""
    _, _, decision = advisor.judge(asked(), TODAY)
    every = decision.screening.coats
    assert len(every) == len(catalogue.formulations)
    for diet in AVOIDABLE[:-1]:
        left = screen(every, situation_of(asked(diet=[diet]), catalogue), catalogue.rules).coats
        free = [c.id for c in every if not offences(c.formulation, (diet,))]
        assert [candidate.id for candidate in left] == free, diet


def test_a_doubt_is_never_also_an_offence(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        for wish in AVOIDABLE:
            wrong = {each.ingredient.id for each in offences(formulation, (wish,))}
            assert not wrong & {each.ingredient.id for each in doubts(formulation, (wish,))}
