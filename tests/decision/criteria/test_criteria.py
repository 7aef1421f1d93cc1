"""Each criterion: just better and just worse, what it reads, what it says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.decision.builders import (
    BUTTER,
    CRITERIA_SPECS,
    REQUIREMENTS,
    WHITE,
    YOLK,
    candidate,
    fact,
    formulation,
    hold,
    situation,
)
from webapp.decision.criteria import CRITERIA, Names, needs_dam, value_between
from webapp.decision.model import Assessment, Candidate
from webapp.units import METRIC, US

NAMES = Names("Swiss", "French")
PLAIN = candidate("american-plain")


def assess(id_: str, coat: Candidate = PLAIN, filling: Candidate = PLAIN, **brief: Any) -> Assessment:
    return CRITERIA[id_].assess(CRITERIA_SPECS[id_], situation(**brief), coat, filling)


def say(assessment: Assessment, names: Names = NAMES, measures: Any = METRIC) -> str:
    return CRITERIA[assessment.criterion].say(assessment, names, measures)


def coat(**properties: float) -> Candidate:
    return candidate("swiss-c", **properties)


def filling(**properties: float) -> Candidate:
    return candidate("french-f", **properties)


def held(**numbers: float) -> Candidate:
    return candidate("swiss-c", hold(**numbers))


BETTER_AND_WORSE: list[Any] = [
    ("heat", {"coat": held(margin_k=2)}, {"coat": held(margin_k=1.9)}, {}),
    ("heat", {"coat": held(margin_k=-1)}, {"coat": held(margin_k=-1.1)}, {}),
    ("hold_time", {"coat": held(likely_h=3.1)}, {"coat": held(likely_h=3.0)}, {}),
    ("hold_time", {"coat": held(likely_h=0.1, needed_h=0)}, {"coat": held(likely_h=0, needed_h=0)}, {}),
    ("sweetness", {"coat": coat(sweetness=40)}, {"coat": coat(sweetness=41)}, {}),
    ("sweetness", {"filling": filling(sweetness=40)}, {"filling": filling(sweetness=41)}, {}),
    ("sweetness", {"coat": coat(sweetness=11)}, {"coat": coat(sweetness=10)}, {}),
    ("piping", {"coat": coat(piping_detail=7.1)}, {"coat": coat(piping_detail=7)}, {"piping": "fine"}),
    ("piping", {"coat": coat(piping_detail=3.1)}, {"coat": coat(piping_detail=3)}, {}),
    ("finish", {"coat": coat(smoothness=8.1)}, {"coat": coat(smoothness=8)}, {}),
    ("finish", {"coat": coat(smoothness=8.1)}, {"coat": coat(smoothness=8)}, {"finish": "textured"}),
    ("stacking", {"filling": filling(firmness=3)}, {"filling": filling(firmness=2.9)}, {}),
    (
        "stacking",
        {"filling": filling(firmness=5.1)},
        {"filling": filling(firmness=5)},
        {"load_kpa": 0.5, "is_supported": False},
    ),
    ("colour", {"coat": coat(whiteness=7.1)}, {"coat": coat(whiteness=7)}, {}),
    ("colour", {"coat": coat(takes_colour=6.1)}, {"coat": coat(takes_colour=6)}, {"colour": "deep"}),
    ("colour", {"coat": coat(takes_colour=6.1)}, {"coat": coat(takes_colour=6)}, {"colour": "dark"}),
    ("colour", {"coat": coat(whiteness=7.1)}, {"coat": coat(whiteness=7)}, {"colour": "pastel"}),
    ("colour", {"coat": coat(takes_colour=6.1)}, {"coat": coat(takes_colour=6)}, {"colour": "pastel"}),
    ("richness", {"filling": filling(richness=6.1)}, {"filling": filling(richness=6)}, {}),
    ("richness", {"coat": coat(richness=6.1)}, {"coat": coat(richness=6)}, {}),
    ("effort", {"filling": filling(minutes=40)}, {"filling": filling(minutes=41)}, {}),
    ("effort", {"coat": coat(minutes=40)}, {"coat": coat(minutes=41)}, {}),
]


@pytest.mark.parametrize(("id_", "better", "worse", "brief"), BETTER_AND_WORSE)
def test_a_little_better_is_worth_a_little_more(id_, better, worse, brief):
    assert assess(id_, **better, **brief).value > assess(id_, **worse, **brief).value


def test_criteria_are_those_of_the_data_in_role_and_unit():
    assert list(CRITERIA) == list(CRITERIA_SPECS)
    for id_, criterion in CRITERIA.items():
        assert (criterion.role, criterion.unit) == (CRITERIA_SPECS[id_].role, CRITERIA_SPECS[id_].unit)


def test_every_value_function_rises_or_falls_within_0_to_1_and_uses_both_sides():
    for spec in CRITERIA_SPECS.values():
        x, y = zip(*spec.points, strict=True)
        assert list(x) == sorted(set(x))
        assert 0 <= min(y) <= 0.5 < max(y) == 1
        assert 0 <= spec.weight <= 5


@pytest.mark.parametrize("piping", ["none", "borders", "rosettes", "fine"])
@pytest.mark.parametrize("finish", ["smooth", "textured"])
@pytest.mark.parametrize("colour", ["white", "pastel", "deep", "dark"])
@pytest.mark.parametrize("id_", CRITERIA)
def test_every_criterion_says_one_sentence_in_words_of_the_kitchen(id_, piping, finish, colour):
    sentence = say(assess(id_, piping=piping, finish=finish, colour=colour))
    assert sentence.endswith(".")
    assert len(sentence) < 160
    for word in ("value", "score", "criterion", "weight", "None", "nan", "piping:"):
        assert word not in sentence


@given(
    st.sampled_from(list(CRITERIA)),
    st.fixed_dictionaries(
        {
            name: st.floats(0, 10)
            for name in ("smoothness", "piping_detail", "whiteness", "takes_colour", "firmness", "richness")
        }
        | {"minutes": st.floats(5, 180), "density": st.floats(0.3, 1.3), "sweetness": st.floats(0, 70)}
    ),
    st.floats(-40, 40),
    st.floats(0, 12),
    st.floats(0, 12),
)
def test_values_lie_between_0_and_1(id_, properties, margin_k, likely_h, needed_h):
    any_coat = candidate("swiss-c", hold(likely_h, needed_h, margin_k=margin_k), **properties)
    assert 0 <= assess(id_, any_coat, any_coat).value <= 1


def test_spread_is_half_the_change_of_the_value_signed_by_which_way_is_better():
    wide = candidate("swiss-c", half={"smoothness": 1, "minutes": 5})
    finish = assess("finish", wide)
    low, high = (assess("finish", coat(smoothness=s)).value for s in (7, 9))
    assert finish.spread == {("swiss-c", "smoothness"): pytest.approx((high - low) / 2)}
    assert assess("effort", wide, wide).spread["swiss-c", "minutes"] < 0


def test_a_fact_read_of_coat_and_filling_alike_counts_once_with_both_effects():
    one = candidate("swiss-c", half={"richness": 1})
    other = candidate("french-f", half={"richness": 1})
    apart = assess("richness", one, other).spread
    assert assess("richness", one, one).spread["swiss-c", "richness"] == pytest.approx(sum(apart.values()))


def test_one_batch_has_the_whole_doubt_of_its_minutes():
    one = candidate("swiss-c", minutes=80, half={"minutes": 5})
    low, high = (assess("effort", coat(minutes=m), coat(minutes=m)).value for m in (75, 85))
    assert assess("effort", one, one).spread["swiss-c", "minutes"] == pytest.approx((high - low) / 2)


def test_an_assessment_keeps_the_facts_it_read():
    facts = assess("sweetness", coat(), filling()).facts
    assert {(f.subject, f.name) for f in facts} == {
        ("swiss-c", "sweetness"),
        ("swiss-c", "density"),
        ("french-f", "sweetness"),
        ("french-f", "density"),
        ("sponge-sweetness:3", "sweetness"),
        ("forkful-sweetness:3", "sweetness"),
    }


def test_the_forkful_is_mixed_by_mass():
    light, dense = coat(sweetness=60, density=0.5), coat(sweetness=60, density=1.0)
    brief = {"sponge_g": 1000, "coat_ml": 1000, "filling_ml": 0}
    assert assess("sweetness", light, **brief).measured == pytest.approx((26_000 + 30_000) / 1500 - 28)
    assert assess("sweetness", dense, **brief).measured == pytest.approx((26_000 + 60_000) / 2000 - 28)


def test_sweetness_off_by_as_much_either_way_is_worth_the_same():
    brief = {"sponge_g": 0.0, "coat_ml": 1000, "filling_ml": 0}
    sweeter, plainer = (assess("sweetness", coat(sweetness=28 + off), **brief) for off in (6, -6))
    assert sweeter.value == pytest.approx(plainer.value)
    assert "sweeter than asked" in say(sweeter)
    assert "less sweet than asked" in say(plainer)
    assert "as sweet as asked" in say(assess("sweetness", coat(sweetness=28), **brief))


def test_without_piping_all_coats_are_equal():
    for detail in (0, 10):
        assessment = assess("piping", coat(piping_detail=detail), piping="none")
        assert (assessment.value, assessment.facts, assessment.spread) == (1, (), {})


def test_smoothness_hardly_matters_under_a_texture():
    def gap(finish):
        smooth, rough = (assess("finish", coat(smoothness=s), finish=finish).value for s in (9, 6))
        return smooth - rough

    assert 0 < gap("textured") < gap("smooth") / 3


def test_a_cake_cut_at_once_asks_only_that_the_coat_holds_at_all():
    assert assess("hold_time", held(likely_h=0.1, needed_h=0)).value == 1
    assert assess("hold_time", held(likely_h=0.0, needed_h=0)).value == 0
    assert "cut at once" in say(assess("hold_time", held(needed_h=0)))
    assert assess("hold_time", held(likely_h=3, needed_h=5e-324)).value == 1


def test_with_supports_no_more_firmness_is_needed_than_without_tiers():
    loaded = {"tier_count": 3, "load_kpa": 2.0}
    soft = filling(firmness=3)
    alone = assess("stacking", filling=soft)
    assert assess("stacking", filling=soft, is_supported=True, **loaded).value == alone.value
    assert assess("stacking", filling=soft, is_supported=False, **loaded).value < alone.value


def test_a_filling_softer_than_its_load_needs_a_dam_and_the_sentence_says_so():
    loaded = situation(tier_count=2, load_kpa=0.5, is_supported=False)
    assert not needs_dam(filling(firmness=5), loaded)
    assert needs_dam(filling(firmness=4.9), loaded)
    soft = CRITERIA["stacking"].assess(CRITERIA_SPECS["stacking"], loaded, coat(), filling(firmness=4.9))
    assert say(soft) == "French is soft for the tiers standing on it: it needs a dam, a firmer ring around each layer."


def test_a_filling_that_asks_for_a_remedy_never_speaks_for_a_choice():
    # Seen to fail: "soft for the layers of this cake" among the reasons for it.
    loaded = {"tier_count": 2, "load_kpa": 0.1, "is_supported": False}
    for firmness, is_gain in ((6, True), (1, False)):
        assessment = assess("stacking", filling=filling(firmness=firmness), **loaded)
        assert (assessment.measured >= 0) == is_gain
        assert CRITERIA["stacking"].is_gain(assessment) == is_gain
    assert CRITERIA["heat"].is_gain(assess("heat", held(margin_k=-5)))


@pytest.mark.parametrize(("humidity_pct", "is_gain"), [(50, True), (58, True), (59, False), (95, False)])
def test_a_crust_speaks_for_a_choice_only_where_it_keeps_off_dust(humidity_pct, is_gain):
    # 0.8 of a full crust up to 50 %, 0.6 at 58 %. Seen to fail: "forms no crust: keep dust away" among the reasons for.
    crusting = candidate("american-a", crusts=0.8)
    found = assess("humidity", crusting, humidity_pct=humidity_pct)
    assert CRITERIA["humidity"].is_gain(found) == is_gain
    assert not CRITERIA["humidity"].is_gain(assess("humidity", coat(crusts=0), humidity_pct=humidity_pct))


def test_a_swirl_has_no_borders_no_sides_and_no_layers():
    # Seen to fail: "takes piped borders with ease", "even, satiny sides", "the layers of this cake" of a cupcake.
    names = Names("Swiss", "French", has_tiers=False)
    firm = filling(firmness=9)
    assert say(assess("piping", coat(piping_detail=9)), names) == "Swiss takes a piped swirl with ease."
    for smoothness, looks in ((9, "pipes to an even, satiny surface"), (7, "pipes fairly smooth")):
        assert say(assess("finish", coat(smoothness=smoothness)), names) == f"Swiss {looks}."
    assert say(assess("stacking", filling=firm), names) == "French is firm enough for the middle of a cupcake."


@pytest.mark.parametrize(
    ("fat", "melts"), [(0, "melt cleanly on"), (1.5, "melt a little slowly on"), (9, "leave a film")]
)
def test_what_the_mix_does_is_not_said_of_one_half(fat, melts):
    # Seen to fail: a plain filling "under" a rich coat, a film of fat that only the coat leaves.
    two = (coat(waxy_fat=fat), filling(waxy_fat=fat))
    assert say(assess("mouthfeel", *two)).startswith(f"eaten together, Swiss and French {melts}")
    for richness, tastes in ((9, "eat rich and silky"), (5, "are moderately rich"), (2, "are plain rather than rich")):
        pair = (coat(richness=richness), filling(richness=richness))
        assert say(assess("richness", *pair)) == f"eaten together, Swiss and French {tastes}."


def test_richness_is_tasted_mostly_in_the_filling():
    rich, plain = coat(richness=9), coat(richness=4)
    assert assess("richness", plain, rich).value > assess("richness", rich, plain).value


def test_two_batches_cost_more_than_one_and_less_than_each_alone():
    same, other = coat(minutes=40), filling(minutes=40)
    one, two = assess("effort", same, same).measured, assess("effort", same, other).measured
    assert one == 40
    assert one < two < 80


def test_the_quicker_of_two_batches_is_the_one_made_cheaper():
    quick, slow = coat(minutes=20), filling(minutes=60)
    share = REQUIREMENTS["second-batch", "minutes_share"].value
    assert assess("effort", quick, slow).measured == pytest.approx(60 + share * 20)
    assert assess("effort", slow, quick).measured == pytest.approx(60 + share * 20)


def test_using_both_parts_of_the_same_eggs_saves_a_little():
    whites = candidate(formulation("swiss-c", WHITE, BUTTER))
    yolks = candidate(formulation("french-f", YOLK, BUTTER))
    more_whites = candidate(formulation("italian-f", WHITE, BUTTER))
    shared, apart = assess("effort", whites, yolks), assess("effort", whites, more_whites)
    assert apart.measured - shared.measured == REQUIREMENTS["shared-eggs", "saves_minutes"].value


def test_heat_speaks_in_the_readers_degrees():
    assert say(assess("heat", held(margin_k=5))) == (
        "Swiss reaches 20 °C and loses its look only at 25 °C: room to spare."
    )
    assert say(assess("heat", held(margin_k=-5)), measures=US) == (
        "Swiss reaches 68 °F and loses its look at 59 °F: too warm."
    )


@pytest.mark.parametrize(
    ("margin_k", "said"),
    [
        (4, "reaches 18 to 22 °C and loses its look only at 23 to 25 °C: room to spare."),
        (3, "reaches 18 to 22 °C and loses its look only at 22 to 24 °C: just enough."),
        (2, "reaches 18 to 22 °C and loses its look at 21 to 23 °C: close, the two overlap."),
        (-2, "reaches 18 to 22 °C and loses its look at 17 to 19 °C: likely too warm."),
        (-4, "reaches 18 to 22 °C and loses its look at 15 to 17 °C: too warm."),
        (-9, "gets far warmer than the 10 to 12 °C at which it loses its look."),
    ],
)
def test_heat_says_both_ranges_and_whether_they_meet(margin_k, said):
    unsure = replace(hold(margin_k=margin_k, range_k=1), peak_low_c=18, peak_high_c=22)
    assert say(assess("heat", candidate("swiss-c", unsure))) == f"Swiss {said}"


def test_minutes_and_sweetness_are_said_with_their_ranges():
    one = candidate("swiss-c", minutes=40, half={"minutes": 10})
    assert say(assess("effort", one, one), Names("Swiss", "Swiss")) == (
        "Swiss does for both: 30 to 50 min to make a batch, piping not counted."
    )
    brief = {"sponge_g": 0.0, "coat_ml": 1000, "filling_ml": 0}
    sweet = candidate("swiss-c", sweetness=36, half={"sweetness": 3})
    wish = fact("forkful-sweetness:3", "sweetness", 28, 4)
    assert "sweeter than asked, by 3 to 13 g of sugar" in say(
        assess("sweetness", sweet, wanted_sweetness=wish, **brief)
    )
    plain = candidate("swiss-c", sweetness=24, half={"sweetness": 3})
    assert "less sweet than asked, by 0 to 9 g of sugar" in say(
        assess("sweetness", plain, wanted_sweetness=wish, **brief)
    )


def test_the_range_of_a_measured_number_adds_independent_doubts_by_squares():
    wish = fact("forkful-sweetness:3", "sweetness", 28, 4)
    brief = {"sponge_g": 0.0, "coat_ml": 1000, "filling_ml": 0, "wanted_sweetness": wish}
    assessment = assess("sweetness", candidate("swiss-c", sweetness=36, half={"sweetness": 3}), **brief)
    assert (assessment.low, assessment.high) == pytest.approx((8 - 5, 8 + 5))
    certain = assess("sweetness", coat(sweetness=36))
    assert certain.low == certain.measured == certain.high


def test_the_values_between_two_measured_numbers_include_the_best_on_the_way():
    spec = CRITERIA_SPECS["sweetness"]
    best = max(y for _, y in spec.points)
    least, most = value_between(spec, -10, 10)
    assert most == best == 1
    assert least == value_between(spec, -10, -10)[0] < most


def test_hold_time_gives_the_range_and_the_need():
    wide = candidate("swiss-c", replace(hold(likely_h=4, needed_h=3), low_h=2.5, high_h=6))
    assert say(assess("hold_time", wide)) == ("Swiss keeps its look 4 h (2 h 30 min to 6 h); it must last 3 h.")
    assert say(assess("hold_time", held(likely_h=4, needed_h=3))) == ("Swiss keeps its look 4 h; it must last 3 h.")


def test_a_coat_that_never_lasts_is_said_to_be_soft_on_arrival():
    assert say(assess("hold_time", held(likely_h=0, needed_h=3))) == "Swiss is soft on arrival; it must last 3 h."


def test_one_name_is_not_said_twice():
    both = Names("Swiss", "Swiss")
    assert say(assess("effort"), both).count("Swiss") == 1
    assert say(assess("sweetness"), both).count("Swiss") == 1
    assert say(assess("richness"), both).count("Swiss") == 1


def test_the_wish_and_its_range_are_shared_and_signed():
    wish = fact("forkful-sweetness:1", "sweetness", 20, 2)
    spread = assess("sweetness", wanted_sweetness=wish).spread
    assert spread["forkful-sweetness:1", "sweetness"] > 0


def test_the_filling_counts_by_its_own_mass():
    light, dense = filling(sweetness=60, density=0.5), filling(sweetness=60, density=1.0)
    brief = {"sponge_g": 1000, "coat_ml": 0, "filling_ml": 1000}
    assert assess("sweetness", filling=light, **brief).measured == pytest.approx(56_000 / 1500 - 28)
    assert assess("sweetness", filling=dense, **brief).measured == pytest.approx(86_000 / 2000 - 28)


def test_tiers_are_spoken_of_only_where_the_filling_carries_them():
    loaded = {"tier_count": 2, "load_kpa": 0.1, "filling": filling(firmness=6)}
    assert "tiers standing on it" in say(assess("stacking", is_supported=False, **loaded))
    assert "the layers of this cake" in say(assess("stacking", is_supported=True, **loaded))


@pytest.mark.parametrize(
    ("finish", "read"), [("smooth", ["smoothness"]), ("textured", ["smoothness", "smoothness_share"])]
)
def test_how_far_smoothness_counts_is_read_under_a_texture_alone(finish, read):
    # Seen to fail: for both, for none.
    one = candidate("swiss-a")
    found = CRITERIA["finish"].assess(CRITERIA_SPECS["finish"], situation(finish=finish), one, one)
    assert [fact.name for fact in found.facts] == read


@pytest.mark.parametrize(("humidity_pct", "crust"), [(30, 0.8), (50, 0.8), (58, 0.6), (66, 0.4), (82, 0.0), (95, 0.0)])
def test_a_crust_fades_straight_from_the_humidity_where_it_is_full_to_that_where_it_is_none(humidity_pct, crust):
    # 0.8 of a full crust in air of 50 % or less, none from 82 %: by hand. Seen to fail: without its ends, always full.
    one = candidate("american-a", crusts=0.8)
    found = CRITERIA["humidity"].assess(CRITERIA_SPECS["humidity"], situation(humidity_pct=humidity_pct), one, one)
    assert found.measured == pytest.approx(crust)


@pytest.mark.parametrize(
    ("colour", "read"),
    [
        ("white", ["whiteness"]),
        ("pastel", ["whiteness", "takes_colour", "whiteness_share"]),
        ("deep", ["takes_colour"]),
        ("dark", ["takes_colour"]),
    ],
)
def test_what_is_read_for_a_colour_is_what_counts_for_it(colour, read):
    # Seen to fail: a pastel that reads only how well the coat takes colour.
    one = candidate("swiss-a")
    found = CRITERIA["colour"].assess(CRITERIA_SPECS["colour"], situation(colour=colour), one, one)
    assert [fact.name for fact in found.facts] == read
