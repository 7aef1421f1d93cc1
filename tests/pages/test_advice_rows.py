from __future__ import annotations

from flask import Flask

from tests.pages.sample_advice import garden_wedding
from webapp.advice.brief import Brief
from webapp.advice.contract import CautionOut, ExcludedOut, PartOut, PartsOut
from webapp.pages.advice_rows import (
    ALLERGENS,
    HANDLING,
    allergen_sources,
    food_safety,
    handling,
    parts_in_one,
    ruled_out,
    tied,
)


def _excluded(role: str, because: str) -> ExcludedOut:
    shape = {"formulation": "french-butter", "name": "French, all butter", "family": "french"}
    return ExcludedOut.model_validate(
        shape | {"role": role, "limit": "vegan", "because": because, "source": "common-practice"}
    )


def test_a_formulation_is_ruled_out_in_one_row_with_each_reason_once() -> None:
    rows = ruled_out([_excluded("coat", "Milk."), _excluded("coat", "Too soft."), _excluded("filling", "Milk.")])
    assert [(row.name, row.roles) for row in rows] == [("French, all butter", ["coat", "filling"])]
    assert [(reason.text, reason.roles) for reason in rows[0].reasons] == [
        ("Milk.", ["coat", "filling"]),
        ("Too soft.", ["coat"]),
    ]


def test_a_source_is_cited_once_and_the_law_on_allergens_below_all() -> None:
    # Seen to fail: the same law under every row, also as the source of what a product is usually made with.
    def row(formulation: str, limit: str, because: str, source: str) -> ExcludedOut:
        shape = {"formulation": formulation, "name": formulation, "family": "swiss", "role": "coat"}
        return ExcludedOut.model_validate(shape | {"limit": limit, "because": because, "source": source})

    excluded = [
        row("one", "egg-free", "Has egg.", "falcpa-2004"),
        row("one", "no-undercooked-egg", "Hot syrup alone.", "mcgee-2004"),
        row("two", "soy-free", "Usually made with soy.", "falcpa-2004"),
        row("two", "no-undercooked-egg", "Hot syrup alone.", "mcgee-2004"),
    ]
    cited = [reason.source for each in ruled_out(excluded) for reason in each.reasons]
    assert cited == ["", "mcgee-2004", "", ""]
    assert allergen_sources(excluded) == ["falcpa-2004"]


def test_the_limits_of_allergens_are_those_of_the_data(app: Flask) -> None:
    rules = app.extensions["catalogue"].rules.values()
    named = {rule.id for rule in rules if rule.kind == "limit" and rule.source in ("falcpa-2004", "fda-allergens-2025")}
    assert named == ALLERGENS


def test_every_caution_is_shown_once_and_a_new_one_as_food_safety() -> None:
    ids = ["hot-syrup-burns", "egg-cooking", "time-out", "planning-help", "never-seen-before"]
    cautions = [CautionOut(id=id_, text=id_, source="common-practice") for id_ in ids]
    safety = [caution.id for caution in food_safety(cautions)]
    assert safety == ["planning-help", "time-out", "egg-cooking", "never-seen-before"]
    assert [caution.id for caution in handling(cautions)] == ["hot-syrup-burns"]


def test_the_cautions_of_handling_are_those_of_the_data(app: Flask) -> None:
    assert HANDLING <= {rule.id for rule in app.extensions["catalogue"].rules.values() if rule.kind == "caution"}


def test_parts_that_all_keep_to_the_end_are_said_at_once_and_a_doubt_never_is() -> None:
    sure = PartOut(likely_h=12, low_h=12, chance=1.0, sentence="")
    told = "Coat, piping, filling and stack: each keeps 12 h or more, nearly always long enough."
    assert parts_in_one(PartsOut(coat=sure, detail=sure, filling=sure, stack=sure), 3) == told
    two = parts_in_one(PartsOut(coat=sure, detail=None, filling=sure, stack=None), 0)
    assert two == "Coat and filling: each keeps 12 h or more, nearly always in shape on arrival."
    # Seen to fail: each of the two conditions left out.
    for doubt in ({"low_h": 2.75}, {"chance": 0.9}):
        part = sure.model_copy(update=doubt)
        assert parts_in_one(PartsOut(coat=sure, detail=sure, filling=part, stack=None), 3) is None


def test_the_advised_pairing_is_not_its_own_tie() -> None:
    pairings = garden_wedding(Brief()).pairings
    first = pairings[0]
    others = tied(pairings, first.coat.formulation, first.filling.formulation)
    assert [(p.coat.family, p.filling.family) for p in others] == [("american", "french")]
