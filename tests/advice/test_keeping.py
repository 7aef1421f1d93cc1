from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.food_clock import food_clock, food_clock_sentence, likely_peak, on_top_sentence
from webapp.advice.heat import warm_cake
from webapp.advice.keeping import (
    Event,
    Keeping,
    guests_at_risk,
    keeping_card,
    keeping_of,
    out_of_fridge,
    warm_mix_sugar,
)
from webapp.advice.keeping_words import RULE_TITLES, SAYS
from webapp.catalogue.model import Catalogue
from webapp.kitchen.egg_heat import COOKED_C
from webapp.units import METRIC, US, Measures

ROOM = {"setting": "indoors", "air_high_c": 21.0, "hold_hours": 1.0, "travel_minutes": 30.0}
HOT = {"setting": "shade", "air_high_c": 34.0, "hold_hours": 2.0, "travel_minutes": 30.0}
SUN = {"setting": "sun", "air_high_c": 27.0, "hold_hours": 2.0}


def kept(catalogue: Catalogue, coat: str, filling: str = "", measures: Measures = METRIC, **fields: Any) -> Keeping:
    event = Event(asked(**fields), TODAY) if fields else None
    formulas = catalogue.formulations
    return keeping_of(formulas[coat], formulas[filling or coat], catalogue, measures, event)


def texts(keeping: Keeping) -> Iterator[str]:
    """Every sentence of ours in an answer."""
    yield keeping.told
    yield keeping.at_risk_told
    for card in keeping.cards:
        yield from (*card.egg.told, card.told)
        yield from (row.told for row in card.rules)
        yield from (row.rule.sentence for row in card.rules)
        yield from (note.sentence for note in card.notes)
    yield from (row.because for row in keeping.at_risk)
    yield from (rule.sentence for rule in keeping.cautions)
    if keeping.out is not None:
        yield from (row.told for row in keeping.out.rules)


@pytest.mark.parametrize("measures", [METRIC, US], ids=["metric", "us"])
def test_no_sentence_calls_any_buttercream_safe_and_each_is_whole(catalogue: Catalogue, measures: Measures) -> None:
    # Seen to fail with "so they are safe" put into the sentences on pasteurised egg.
    for id_ in catalogue.formulations:
        for text in texts(kept(catalogue, id_, measures=measures, **ROOM)):
            assert not re.search(r"\bsafe(r|st|ly)?\b", text.lower()), text
            assert re.match(r"[A-Z0-9]", text) and text[-1] in ".!", text
            assert not re.search(r"\bnan\b|\bNone\b|\binf\b|\{|  ", text), text


def test_hot_syrup_is_said_not_to_be_shown_to_pasteurise_with_its_range(catalogue: Catalogue) -> None:
    for id_ in ("italian-butter", "french-butter"):
        (card,) = kept(catalogue, id_).cards
        assert card.egg.reached is not None
        told = " ".join(card.egg.told)
        assert "not shown to be pasteurised" in told
        assert METRIC.temperature(card.egg.reached.likely) in told
        assert METRIC.temperatures(card.egg.reached.low, card.egg.reached.high) in told


def test_whites_over_a_bath_count_only_with_a_thermometer(catalogue: Catalogue) -> None:
    (card,) = kept(catalogue, "swiss-butter").cards
    assert card.egg.reached is None
    assert "71 °C" in card.egg.told[0]
    assert "thermometer" in card.egg.told[1]
    (card,) = kept(catalogue, "swiss-butter", measures=US).cards
    assert "160 °F" in card.egg.told[0]


@pytest.mark.parametrize("id_", ["american-butter", "swiss-aquafaba-plant", "french-pasteurised-yolks"])
def test_no_table_of_reductions_where_no_shell_egg_is_heated(catalogue: Catalogue, id_: str) -> None:
    (card,) = kept(catalogue, id_).cards
    assert card.egg.reductions == ()
    assert card.egg.reached is None


def test_reductions_rise_with_the_temperature_and_the_time(catalogue: Catalogue) -> None:
    (card,) = kept(catalogue, "french-butter").cards
    likely = [[each.likely for each in row.by_time] for row in card.egg.reductions]
    assert all(row == sorted(row) for row in likely)
    assert all(list(column) == sorted(column) for column in zip(*likely, strict=True))
    assert card.egg.reductions[-1].temperature_c == COOKED_C
    assert card.egg.reductions[-1].is_extrapolated


def test_the_warm_mix_has_far_more_sugar_than_the_published_figures(catalogue: Catalogue) -> None:
    for id_ in ("swiss-butter", "italian-butter", "french-butter"):
        assert warm_mix_sugar(catalogue.formulations[id_]) > 0.5
        (card,) = kept(catalogue, id_).cards
        assert card.egg.reductions
        assert all(row.study.sugar_pct <= 10 for row in card.egg.reductions)


def test_american_passes_one_rule_fails_another_and_both_are_shown(catalogue: Catalogue) -> None:
    (card,) = kept(catalogue, "american-butter").cards
    said = {row.rule.id: row.says for row in card.rules}
    assert (said["food-code-b"], said["kansas-sugar"]) == ("room", "fridge")
    assert card.followed == "fridge"
    assert card.sides[0] == "Food Code, table B: would let it stand out"
    assert "Kansas State on sugar by weight: asks for the fridge" in card.sides


def test_every_rule_is_shown_for_every_formula_with_its_source(catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        card = keeping_card(formulation, catalogue, METRIC)
        assert {row.rule.id for row in card.rules} == set(RULE_TITLES)
        for row in card.rules:
            assert row.rule.source in catalogue.sources
            assert row.says in SAYS


def test_a_rules_own_figures_stand_in_its_sentence(catalogue: Catalogue) -> None:
    (card,) = kept(catalogue, "american-butter").cards
    told = {row.rule.id: row.told for row in card.rules}
    assert "62.6 %" in told["kansas-sugar"] and "65 %" in told["kansas-sugar"]
    assert "0.84 (0.82 to 0.851)" in told["iowa-activity"]
    assert "pH 6.3" in told["food-code-b"]


def test_a_pairing_is_kept_as_its_stricter_half(catalogue: Catalogue) -> None:
    for coat, filling in product(("american-butter", "swiss-aquafaba-plant"), ("french-butter", "italian-butter")):
        both = kept(catalogue, coat, filling)
        assert len(both.cards) == 2
        assert both.followed == "fridge"
        assert both.fridge.low == min(card.fridge.low for card in both.cards)
        assert both.freezer.low == min(card.freezer.low for card in both.cards)


def test_a_dry_sugary_frosting_is_never_said_to_be_tested(catalogue: Catalogue) -> None:
    american = catalogue.formulations["american-butter"]
    sugar, butter, *_ = american.lines
    dry = replace(american, lines=(replace(sugar, grams=700), replace(butter, grams=240)))
    card = keeping_card(dry, catalogue, METRIC)
    assert {row.rule.id: row.says for row in card.rules}["kansas-sugar"] == "room"
    assert card.followed == "open"  # 0.851 is the upper end of what is measured of saturated sucrose
    assert card.told.startswith("Keep it in the fridge")
    assert "only a laboratory’s test of your own batch" in card.told


def test_the_timeline_is_the_briefs_with_the_set_up_before_the_display(catalogue: Catalogue) -> None:
    coat = catalogue.formulations["swiss-butter"]
    event = Event(asked(**ROOM, start="15:00"), TODAY, setup_h=0.5)
    out = out_of_fridge(coat, catalogue, METRIC, event)
    assert [(step.begins, step.ends) for step in out.steps] == [
        ("14:00", "14:30"),
        ("14:30", "15:00"),
        ("15:00", "16:00"),
    ]
    assert out.out_h == 2.0
    assert [row.is_enough for row in out.rules] == [True, True, True]
    assert {row.verdict for row in out.rules} == {"covers the hours counted above"}


def test_without_set_up_the_home_rule_says_what_the_advice_says(catalogue: Catalogue) -> None:
    coat = catalogue.formulations["swiss-butter"]
    for fields in (ROOM, HOT, SUN):
        brief = asked(**fields)
        warmest = likely_peak(warm_cake(brief, catalogue, 0, TODAY, (coat.family.id,)), coat.family.id)
        told = food_clock_sentence(food_clock(brief, catalogue, warmest), brief.start_time, brief.start_c, METRIC)
        assert out_of_fridge(coat, catalogue, METRIC, Event(brief, TODAY)).rules[0].told == told


def test_what_is_done_before_the_kitchen_is_left_is_said_to_come_on_top(catalogue: Catalogue) -> None:
    coat = catalogue.formulations["swiss-butter"]
    for setup_h in (0.0, 0.5):
        out = out_of_fridge(coat, catalogue, METRIC, Event(asked(**ROOM), TODAY, setup_h))
        assert out.on_top == on_top_sentence(setup_h, has_dowels=False)
        assert out.steps[0].name.startswith("Leaves the kitchen")
    stacked = asked(**ROOM, tiers=[{"width_cm": 25}, {"width_cm": 15}])
    assert out_of_fridge(coat, catalogue, METRIC, Event(stacked, TODAY)).on_top == on_top_sentence()


def test_above_90_fahrenheit_there_is_one_hour(catalogue: Catalogue) -> None:
    out = kept(catalogue, "swiss-butter", **HOT).out
    assert out is not None
    assert "1 h" in out.rules[0].told
    assert not out.rules[0].is_enough


def test_a_cake_that_was_not_in_the_fridge_has_no_time_left_that_is_known(catalogue: Catalogue) -> None:
    out = kept(catalogue, "swiss-butter", **ROOM, start_c=16.0).out
    assert out is not None
    assert [row.is_enough for row in out.rules] == [False, False, False]
    assert "began before" in out.rules[0].told
    assert "starts at 5 °C or colder" in out.rules[1].told
    # Seen to fail: "shorter than the hours counted above", six hours of a rule that is not open against four.
    closed = "not open to this event"
    assert [row.verdict for row in out.rules] == ["its time began before", closed, closed]
    assert out.steps[0].name.startswith("Leaves the kitchen")


def test_six_hours_end_where_the_coat_warms_past_70_fahrenheit(catalogue: Catalogue) -> None:
    cool, warm = ({**ROOM, "hold_hours": 3.0, "air_high_c": air} for air in (16.0, 27.0))
    for fields, is_enough in ((cool, True), (warm, False)):
        out = kept(catalogue, "swiss-butter", **fields).out
        assert out is not None
        assert out.rules[2].is_enough == is_enough
        assert "estimated to reach" in out.rules[2].told


def test_guests_at_risk_keep_what_has_no_egg_or_egg_that_is_cooked_or_bought_pasteurised(catalogue: Catalogue) -> None:
    rows = guests_at_risk(catalogue, METRIC, {})
    assert len(rows) == len(catalogue.formulations)
    for row in rows:
        assert row.remains == (row.formulation.egg_treatment != "syrup-cooked")
    assert [row.remains for row in rows] == sorted((row.remains for row in rows), reverse=True)


def test_in_the_mountains_hot_syrup_brings_egg_less_far(catalogue: Catalogue) -> None:
    sea, high = (
        {row.formulation.id: row.because for row in guests_at_risk(catalogue, METRIC, {}, altitude_m)}
        for altitude_m in (0.0, 2500.0)
    )
    assert sea["french-butter"] != high["french-butter"]


def test_what_the_brief_bars_does_not_remain_and_says_why(catalogue: Catalogue) -> None:
    rows = {row.formulation.id: row for row in guests_at_risk(catalogue, METRIC, {"american-butter": "Has butter."})}
    assert not rows["american-butter"].remains
    assert rows["american-butter"].because == "Has butter."


def test_of_two_that_do_not_ask_for_the_same_the_stricter_decides(catalogue: Catalogue) -> None:
    american, french = (catalogue.formulations[id_] for id_ in ("american-butter", "french-butter"))
    sugar, butter, *_ = american.lines
    dry = replace(american, lines=(replace(sugar, grams=700), replace(butter, grams=240)))
    told = keeping_of(dry, french, catalogue, METRIC).told
    assert told.startswith("French, all butter decides, as the stricter of the two. Keep it in the fridge")
    told = keeping_of(american, french, catalogue, METRIC).told
    assert told.startswith("Both buttercreams ask for the same. Keep it in the fridge")


def test_who_loves_french_is_told_which_french_remains(catalogue: Catalogue) -> None:
    told = kept(catalogue, "french-butter").at_risk_told
    assert told.startswith("French, all butter is not for them; ")
    assert told.endswith("of its family there is French, pasteurised yolks and butter.")
    assert kept(catalogue, "french-pasteurised-yolks").at_risk_told == "What you chose stands in the first list."


def test_cautions_are_those_of_the_egg_and_of_perishable_food(catalogue: Catalogue) -> None:
    ids = {id_: {rule.id for rule in kept(catalogue, id_).cautions} for id_ in catalogue.formulations}
    for id_, cautions in ids.items():
        assert {"planning-help", "time-out", "time-control", "allergens"} <= cautions
        has_egg = catalogue.formulations[id_].egg_treatment != "none"
        assert ("egg-cooking" in cautions) == has_egg == ("egg-code" in cautions)
    assert "hot-syrup-burns" in ids["italian-butter"]
    assert "aquafaba-legume" in ids["swiss-aquafaba-plant"]
    assert next(iter(kept(catalogue, "french-butter").cautions)).id == "planning-help"
