from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.thermal.foods import (
    AIR_CONDUCTIVITY,
    CHOI_OKOS,
    ThermalProperties,
    aerated,
    gas_free,
    melting_heat,
)

FAT = gas_free({"fat": 1.0})
WATER = gas_free({"water": 1.0})


def test_pure_part_at_zero_has_its_constants():
    found = gas_free({"fat": 1.0}, 0.0)
    assert (found.conductivity, found.density, found.specific_heat) == pytest.approx(
        (0.18071, 925.59, 1984.2)
    )


def test_mixture_by_hand():
    # 60 % fat, 40 % water at 0 °C: volumes 0.6/925.59 and 0.4/997.18 L/kg, conductivity by volume.
    fat, water = 0.6 / 925.59, 0.4 / 997.18
    found = gas_free({"fat": 0.6, "water": 0.4}, 0.0)
    assert found.density == pytest.approx(1 / (fat + water))
    assert found.conductivity == pytest.approx((fat * 0.18071 + water * 0.57109) / (fat + water))
    assert found.specific_heat == pytest.approx(0.6 * 1984.2 + 0.4 * 4176.2)


def test_shares_in_grams_or_percent_give_the_same_food():
    assert gas_free({"fat": 30, "water": 70}) == gas_free({"fat": 0.3, "water": 0.7})


@given(st.dictionaries(st.sampled_from(sorted(CHOI_OKOS)), st.floats(0.01, 1), min_size=1))
def test_mixture_lies_between_its_parts(shares):
    found, parts = gas_free(shares), [gas_free({part: 1.0}) for part in shares]
    for name in ("conductivity", "density", "specific_heat"):
        values = [getattr(part, name) for part in parts]
        assert min(values) * (1 - 1e-9) <= getattr(found, name) <= max(values) * (1 + 1e-9)


def test_food_without_air_is_left_as_it_is():
    for density in (FAT.density, 2 * FAT.density):
        found = aerated(FAT, density)
        assert found.conductivity == pytest.approx(FAT.conductivity)
        assert (found.density, found.specific_heat) == (FAT.density, FAT.specific_heat)


def test_nearly_all_air_conducts_like_air():
    # 2 %: a thousandth of the volume still is water.
    assert aerated(WATER, 0.001 * WATER.density).conductivity == pytest.approx(AIR_CONDUCTIVITY, rel=0.02)


@given(st.floats(0.2, 0.9), st.floats(0.01, 0.09))
def test_more_air_conducts_and_stores_less(share, more):
    light, dense = (aerated(WATER, s * WATER.density) for s in (share, share + more))
    assert light.conductivity < dense.conductivity
    assert light.capacity < dense.capacity
    assert light.specific_heat == dense.specific_heat


def test_capacity_is_density_times_specific_heat():
    assert ThermalProperties(0.2, 900.0, 2500.0).capacity == 2_250_000


def test_melting_heat_by_hand():
    # 40 % fat, 52 % solid at 5 °C, 5.5 % at 30 °C, 100 kJ/kg: 0.4 x 0.465 x 100000 / 25 = 744 J/(kg K).
    assert melting_heat(0.4, 0.52, 0.055, 25.0, 100_000.0) == pytest.approx(744)
    assert melting_heat(0.4, 0.3, 0.3, 25.0, 100_000.0) == 0
    assert melting_heat(0.4, 0.2, 0.3, 25.0, 100_000.0) == 0
