from __future__ import annotations

import re

import pytest

from webapp.advice.keeping_words import (
    FOLLOWED,
    SAYS,
    egg_name,
    egg_told,
    finding_told,
    percent_spread,
    reduction_text,
    sides_told,
    spread,
    syrup_told,
)
from webapp.catalogue.model import Catalogue
from webapp.kitchen.keeping import STRICTEST, Says, findings
from webapp.kitchen.water_activity import Range, estimate_water
from webapp.units import METRIC, US


def test_powers_of_ten_beyond_what_was_counted_are_not_claimed() -> None:
    assert reduction_text(Range(9, 8, 12)) == "over 7"
    assert reduction_text(Range(9, 2, 12)) == "over 7 (2.0 to over 7)"
    assert reduction_text(Range(0.05, 0.02, 0.06)) == "0.05 (0.02 to 0.06)"


def test_ends_that_round_to_the_number_are_left_out() -> None:
    assert spread(Range(0.9201, 0.9199, 0.9204)) == "0.92"
    assert spread(Range(0.92, 0.87, 0.93)) == "0.92 (0.87 to 0.93)"
    assert percent_spread(Range(0.626, 0.626, 0.626)) == "62.6 %"
    assert percent_spread(Range(0.532, 0.532, 0.64)) == "53.2 % (53.2 to 64.0)"


def test_what_lies_beside_its_limit_is_not_written_as_the_limit() -> None:
    # Seen to fail with two decimals throughout: "0.84 (0.82 to 0.85), to be at most 0.85" of what cannot be told.
    assert spread(Range(0.84, 0.82, 0.851), 0.85) == "0.84 (0.82 to 0.851)"
    assert spread(Range(0.84, 0.82, 0.8502), 0.85) == "0.84 (0.82 to 0.8502)"
    assert spread(Range(0.84, 0.82, 0.85), 0.85) == "0.84 (0.82 to 0.85)"
    assert spread(Range(0.851, 0.851, 0.851), 0.85) == "0.851"
    assert percent_spread(Range(0.66, 0.6503, 0.67), 0.65) == "66.0 % (65.03 to 67.0)"


def test_each_rule_that_cannot_tell_shows_an_end_on_either_side_of_its_limit(catalogue: Catalogue) -> None:
    seen = 0
    for formulation in catalogue.formulations.values():
        water, ph = estimate_water(formulation, catalogue), catalogue.formulation_fact(formulation, "ph")
        for finding in findings(formulation, water, catalogue):
            if finding.says == "open" and finding.rule in ("iowa-activity", "minnesota"):
                told = finding_told(finding, water, ph)
                (low, high) = re.findall(r"\((0\.\d+) to (0\.\d+)\)", told)[-1]
                assert float(low) <= 0.85 < float(high), told
                seen += 1
    assert seen > 1


@pytest.mark.parametrize(
    ("id_", "name"), [("swiss-butter", "whites"), ("french-butter", "yolks"), ("american-butter", "egg")]
)
def test_the_egg_is_called_by_its_part(catalogue: Catalogue, id_: str, name: str) -> None:
    assert egg_name(catalogue.formulations[id_]) == name


def test_each_treatment_is_told_in_its_own_words(catalogue: Catalogue) -> None:
    told = {f.egg_treatment: egg_told(f, None, METRIC) for f in catalogue.formulations.values()}
    assert set(told) == {"none", "heated-71c", "syrup-cooked", "pasteurised"}
    assert len({*told.values()}) >= 4
    assert "not shown to be pasteurised" in told["syrup-cooked"][-1]


def test_syrup_boils_by_the_sea_and_at_altitude_in_the_readers_degrees(catalogue: Catalogue) -> None:
    french = catalogue.formulations["french-butter"]
    assert syrup_told(french, METRIC, 0) == "Its syrup of 86 % sugar boils at 115 °C at sea level."
    assert syrup_told(french, US, 1609) == "Its syrup of 86 % sugar boils at 229 °F at this altitude."


def test_rules_that_agree_are_not_said_to_disagree() -> None:
    said: list[tuple[str, Says]] = [("One", "fridge"), ("Two", "open"), ("Three", "other")]
    assert sides_told(said, "fridge") == ()
    assert sides_told([("One", "room"), ("Two", "other")], "room") == ()


def test_rules_that_disagree_are_listed_each_with_what_it_says() -> None:
    said: list[tuple[str, Says]] = [("One", "fridge"), ("Two", "room"), ("Three", "open"), ("Four", "other")]
    assert sides_told(said, "fridge") == (
        "Two: would let it stand out",
        "Three: cannot be told, so it is kept cold",
        "One: asks for the fridge",
    )


def test_every_thing_that_a_rule_can_say_has_its_words() -> None:
    assert set(SAYS) == set(FOLLOWED) == set(STRICTEST)
