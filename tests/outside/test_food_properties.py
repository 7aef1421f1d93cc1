"""Thermal properties against Choi & Okos figures worked out apart, and against IAPWS for water."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from CoolProp.CoolProp import PropsSI

from webapp.thermal.foods import aerated, gas_free

PARTS = ("water", "fat", "carbohydrate", "protein", "ash")


def rows(name):
    with (Path(__file__).parent / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


FOODS = {row["food"]: row for row in rows("food_properties.csv")}


def dense(food):
    return gas_free({part: float(FOODS[food][part]) for part in PARTS})


@pytest.mark.parametrize("food", FOODS)
def test_gas_free_food_has_the_published_mixture(food):
    found, row = dense(food), FOODS[food]
    # The last digit given.
    assert found.specific_heat / 1000 == pytest.approx(float(row["cp"]), abs=0.0015)
    assert found.conductivity == pytest.approx(float(row["k"]), abs=0.00035)
    assert found.density == pytest.approx(float(row["rho"]), abs=0.15)


@pytest.mark.parametrize("row", rows("aerated_foods.csv"), ids=lambda row: f"{row['food']} {row['air']}")
def test_air_lowers_the_conductivity_as_maxwell_eucken(row):
    solid = dense(row["food"])
    found = aerated(solid, (1 - float(row["air"])) * solid.density)
    # The last digit given.
    assert found.conductivity == pytest.approx(float(row["k"]), abs=0.001)
    assert found.density == pytest.approx(float(row["rho"]), abs=0.6)


def test_water_is_within_one_percent_of_steam_tables():
    water = gas_free({"water": 1.0})
    for found, name in ((water.conductivity, "L"), (water.density, "D"), (water.specific_heat, "C")):
        # 1 %: the polynomials are a fit over -40 to 150 °C.
        assert found == pytest.approx(PropsSI(name, "T", 293.15, "P", 101325, "Water"), rel=0.01)
