from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.advice.asking import THREE_TIERS
from webapp.advice.cautions import cautions_for
from webapp.advice.contract import Advice
from webapp.advice.service import Record
from webapp.catalogue.model import Catalogue

SWISS = {"air_high_c": 20.0, "piping": "none"}
FRENCH = {**SWISS, "sweetness": 1, "hold_hours": 0, "importance": {"richness": 5}}
AMERICAN = {"equipment": []}
PLANT = {"diet": ["vegan"]}
AQUAFABA = {**PLANT, "air_high_c": 18, "hold_hours": 0, "sweetness": 1, "piping": "none"}
NOTHING = {"diet": ["dairy-free", "soy-free"]}


@pytest.mark.parametrize(
    ("applies_to", "yes", "no"),
    [
        ("egg", SWISS, AMERICAN),
        ("syrup", FRENCH, SWISS),
        ("perishable", AMERICAN, NOTHING),
        ("heat", AMERICAN, NOTHING),
        ("stacked", {"tiers": THREE_TIERS}, {}),
        ("piped-flowers", {"piping": "fine"}, {"piping": "rosettes"}),
        ("diet", {"diet": ["gluten-free"]}, {}),
        ("label", {**AMERICAN, "diet": ["gluten-free"]}, AMERICAN),
        ("aquafaba", AQUAFABA, {**PLANT, "equipment": []}),
    ],
)
def test_a_caution_comes_where_it_applies_and_only_there(
    record: Callable[..., Record],
    catalogue: Catalogue,
    applies_to: str,
    yes: dict[str, Any],
    no: dict[str, Any],
) -> None:
    cautions = [rule for rule in catalogue.rules.values() if rule.kind == "caution"]
    rules = {rule.id for rule in cautions if rule.applies_to == applies_to}
    assert rules
    assert rules <= {rule.id for rule in cautions_for(record(**yes))}
    assert not rules & {rule.id for rule in cautions_for(record(**no))}


def test_local_codes_and_allergens_are_always_named(record: Callable[..., Record]) -> None:
    for fields in (SWISS, AMERICAN, NOTHING):
        assert {"planning-help", "allergens"} <= {rule.id for rule in cautions_for(record(**fields))}


def test_stacked_cakes_are_warned_of_with_and_without_supports(record: Callable[..., Record]) -> None:
    for supported in (True, False):
        given = cautions_for(record(tiers=THREE_TIERS, supported=supported))
        assert "stacked-supports" in {rule.id for rule in given}


def test_every_caution_of_the_data_comes_with_some_cake(record: Callable[..., Record], catalogue: Catalogue) -> None:
    warned = set[str]()
    for fields in (SWISS, FRENCH, AMERICAN, {"tiers": THREE_TIERS, "piping": "fine"}, AQUAFABA):
        warned |= {rule.id for rule in cautions_for(record(**fields))}
    assert warned == {rule.id for rule in catalogue.rules.values() if rule.kind == "caution"}


@pytest.mark.parametrize("diet", ["tree-nut-free", "soy-free", "coconut-free", "gluten-free", "dairy-free", "vegan"])
def test_labels_are_to_be_read_where_powdered_sugar_or_a_made_fat_meets_a_diet(
    record: Callable[..., Record], diet: str
) -> None:
    assert "label-check" in {rule.id for rule in cautions_for(record(diet=[diet], equipment=[]))}


def test_no_label_is_to_be_read_for_a_meringue_with_butter(record: Callable[..., Record]) -> None:
    given = record(**SWISS, diet=["gluten-free"])
    assert "label-check" not in {rule.id for rule in cautions_for(given)}


def test_each_caution_carries_a_source_that_is_cited(advice: Callable[..., Advice]) -> None:
    given = advice(**FRENCH)
    assert all(caution.source in given.sources for caution in given.cautions)


def test_how_long_it_keeps_its_shape_is_never_called_safe(advice: Callable[..., Advice]) -> None:
    given = advice(**FRENCH)
    assert "safe" not in given.model_dump_json(exclude={"cautions", "sources"}).lower()
