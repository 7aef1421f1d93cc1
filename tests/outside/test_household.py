"""Household weights against the WEIGHT file of USDA SR28."""

from __future__ import annotations

import pytest

from tests.kitchen.recipe_cases import pantry
from tests.outside.test_composition import rows

FIGURES = rows("household_weights.csv")
WHOLE_EGGS = {row["measure"]: float(row["grams"]) for row in FIGURES if row["ingredient"] == "whole-egg"}
OURS = pantry().weights


@pytest.mark.parametrize(
    "figure",
    [row for row in FIGURES if row["ingredient"] != "whole-egg"],
    ids=lambda row: f"{row['ingredient']} {row['measure']}",
)
def test_a_household_weight_is_as_in_usda_sr28(figure: dict[str, str]) -> None:
    ours = OURS[figure["ingredient"], figure["measure"]]
    assert ours.grams == float(figure["grams"])
    assert f"NDB {figure['ndb']}" in ours.locator


def test_every_weight_said_to_be_a_standard_one_is_checked() -> None:
    checked = {(row["ingredient"], row["measure"]) for row in FIGURES}
    assert {key for key, weight in OURS.items() if weight.basis == "standard"} <= checked


@pytest.mark.parametrize(("id_", "large_g"), [("egg-white", 33), ("egg-yolk", 17)])
def test_parts_of_other_sizes_go_with_the_whole_egg(id_: str, large_g: float) -> None:
    """SR28 weighs white and yolk of large eggs alone; the other sizes are computed, to 0.1 g."""
    for size, whole_g in WHOLE_EGGS.items():
        if size != "large":
            expected = large_g * whole_g / WHOLE_EGGS["large"]
            assert OURS[id_, size].grams == pytest.approx(expected, abs=0.05)
            assert OURS[id_, size].basis == "computed"
