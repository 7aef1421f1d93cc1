from __future__ import annotations

from dataclasses import replace

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.egg_heat import (
    Pour,
    decimal_time,
    is_extrapolated,
    mix_temperature,
    reached_temperature,
    slowest_kill,
)
from webapp.kitchen.syrup import specific_heat

CATALOGUE = load_catalogue(Config().data_dir)
FORMULAS = CATALOGUE.formulations
POUR = Pour(349, 0.86, 115, 150, 20, 3.91, 0.06, 4, 200, 21, 0.012)
RESISTANCES = [row for row in CATALOGUE.pathogens if row.organism == "salmonella"]


def test_the_mix_ends_between_what_went_in():
    assert POUR.egg_c < mix_temperature(POUR) < POUR.syrup_c


def test_heat_is_kept_where_nothing_is_lost():
    still = replace(POUR, left_share=0.0, stream_k=0.0, bowl_j_k=0.0, steam_share=0.0, egg_g=0.0)
    assert mix_temperature(still) == pytest.approx(115)


@pytest.mark.parametrize(
    ("field", "more", "sign"),
    [
        ("syrup_g", 400, 1),
        ("syrup_c", 121, 1),
        ("egg_g", 200, -1),
        ("egg_c", 8, -1),
        ("left_share", 0.12, -1),
        ("stream_k", 8, -1),
        ("bowl_j_k", 350, -1),
        ("steam_share", 0.02, -1),
    ],
)
def test_each_part_of_the_balance_works_the_way_it_does_in_a_kitchen(field, more, sign):
    change = mix_temperature(replace(POUR, **{field: more})) - mix_temperature(POUR)
    assert change * sign > 0


@pytest.mark.parametrize("id_", FORMULAS)
def test_a_temperature_is_reached_only_where_syrup_meets_egg(id_):
    formulation = FORMULAS[id_]
    has_syrup = any(line.stage == "syrup" for line in formulation.lines)
    has_egg = any(line.ingredient.egg_part != "none" for line in formulation.lines)
    reached = reached_temperature(formulation, CATALOGUE)
    assert (reached is not None) == (has_syrup and has_egg)
    if reached is not None:
        assert 50 < reached.low < reached.likely < reached.high < 80


@pytest.mark.parametrize("id_", [id_ for id_, f in FORMULAS.items() if f.egg_treatment == "syrup-cooked"])
def test_no_hot_syrup_of_ours_is_likely_to_bring_egg_to_71_degrees(id_):
    reached = reached_temperature(FORMULAS[id_], CATALOGUE)
    assert reached is not None
    assert reached.likely < 71.1


def test_syrup_boils_cooler_in_the_mountains_and_so_does_the_mix_end():
    sea, high = (reached_temperature(FORMULAS["italian-butter"], CATALOGUE, m) for m in (0, 2500))
    assert sea is not None and high is not None
    assert high.likely < sea.likely


@pytest.mark.parametrize("resistance", RESISTANCES, ids=lambda row: f"{row.medium} {row.temperature_c:g}")
def test_hotter_and_longer_kills_more_and_the_range_holds_the_likely(resistance):
    at = resistance.temperature_c
    cool, warm = (decimal_time(resistance, at + gap).likely for gap in (-2, 2))
    assert cool > resistance.d_min > warm
    found = decimal_time(resistance, at + 3)
    assert found.low <= found.likely <= found.high


def test_far_from_the_measured_temperature_it_is_said_to_be_carried_on():
    resistance = RESISTANCES[0]
    assert not is_extrapolated(resistance, resistance.temperature_c + 3)
    assert is_extrapolated(resistance, resistance.temperature_c + 3.1)


EGGS = ["swiss-butter", "italian-butter", "french-butter"]


@pytest.mark.parametrize("id_", EGGS)
@pytest.mark.parametrize("temperature_c", [55.0, 58.0, 60.0, 63.0, 71.1])
def test_no_study_of_the_same_egg_kills_slower_than_what_is_told(id_, temperature_c):
    told = slowest_kill(FORMULAS[id_], CATALOGUE.pathogens, temperature_c)
    assert told is not None
    of_part = [row for row in RESISTANCES if row.egg_part == told.study.egg_part and row.organism == "salmonella"]
    assert len(of_part) > 2
    for row in of_part:
        assert told.decimal_min.likely >= decimal_time(row, temperature_c).likely


@pytest.mark.parametrize(("id_", "factor"), [("swiss-butter", 1.2 / 0.55), ("french-butter", 10.0)])
def test_plain_figures_are_made_longer_by_what_sugar_did(id_, factor):
    told = [slowest_kill(FORMULAS[id_], CATALOGUE.pathogens, at) for at in (55.0, 58.0, 60.0, 63.0)]
    factors = {round(kill.sugar_factor, 6) for kill in told if kill is not None}
    assert factors <= {1.0, round(factor, 6)}
    assert round(factor, 6) in factors


@pytest.mark.parametrize("id_", EGGS)
def test_hotter_and_longer_kills_more(id_):
    kills = [slowest_kill(FORMULAS[id_], CATALOGUE.pathogens, at) for at in (55.0, 58.0, 60.0, 63.0, 66.0, 71.1)]
    times = [kill.decimal_min.likely for kill in kills if kill is not None]
    assert times == sorted(times, reverse=True)
    assert kills[0] is not None
    short, long = (kills[0].log_reduction(minutes) for minutes in (1, 3))
    assert long.likely == pytest.approx(3 * short.likely)
    assert short.low <= short.likely <= short.high
    assert kills[0].log_reduction(kills[0].decimal_min.likely).likely == pytest.approx(1)


def test_no_figures_are_taken_for_what_has_no_egg():
    assert slowest_kill(FORMULAS["american-butter"], CATALOGUE.pathogens, 60.0) is None


SWEET = [row for row in RESISTANCES if row.sugar_pct and row.egg_part in ("white", "yolk")]


@pytest.mark.parametrize("sweet", SWEET, ids=lambda row: row.medium)
def test_figures_measured_with_sugar_are_told_as_they_are(sweet):
    # Seen to fail: made longer once more.
    plain = next(row for row in RESISTANCES if row.egg_part == sweet.egg_part and not row.sugar_pct)
    formula = FORMULAS["swiss-butter" if sweet.egg_part == "white" else "french-butter"]
    for known in ([sweet], [sweet, replace(plain, d_min=1e-6)]):
        told = slowest_kill(formula, known, sweet.temperature_c)
        assert told is not None
        assert (told.study, told.sugar_factor) == (sweet, 1.0)
        assert told.decimal_min.likely == pytest.approx(sweet.d_min)


def test_steam_takes_the_latent_heat_of_boiling_water():
    # 2256.5 J/g at 100 °C (steam tables), from a hundredth of the syrup. Seen to fail: a tenth more.
    still = replace(POUR, left_share=0.0, stream_k=0.0, bowl_j_k=0.0, egg_g=0.0, steam_share=0.01)
    lost_j_g = (115 - mix_temperature(still)) * specific_heat(POUR.sugar_share, (115 + 65) / 2)
    assert lost_j_g == pytest.approx(22.565, rel=1e-3)
