from __future__ import annotations

import pytest

from webapp.advice.keeping_words import (
    FOLLOWED,
    SAYS,
    egg_name,
    egg_told,
    followed_told,
    percent_spread,
    reduction_text,
    spread,
    syrup_told,
)
from webapp.catalogue.model import Catalogue
from webapp.kitchen.keeping import STRICTEST, Says
from webapp.kitchen.water_activity import Range
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
    assert followed_told(said, "fridge") == (FOLLOWED["fridge"],)


def test_rules_that_disagree_are_named_on_either_side() -> None:
    said: list[tuple[str, Says]] = [("One", "room"), ("Two", "room"), ("Three", "open"), ("Four", "other")]
    told, followed = followed_told(said, "open")
    assert told.startswith("The rules do not agree: by One and Two it could stand out; by Three it could not")
    assert followed == FOLLOWED["open"]


def test_every_thing_that_a_rule_can_say_has_its_words() -> None:
    assert set(SAYS) == set(FOLLOWED) == set(STRICTEST)
