"""Minutes in the fridge against the exact series of a finite cylinder."""

from __future__ import annotations

import numpy as np
import pytest

from tests.outside.test_conduction import AROUND_C, START_C, exact_means, one_kind
from webapp.advice.chill_times import first_below, steady
from webapp.thermal.film import (
    EMISSIVITY,
    STEFAN_BOLTZMANN,
    combined_film,
    forced_film,
    natural_side_strength,
    natural_top_strength,
)
from webapp.thermal.tier import OUTPUTS
from webapp.thermal.uncertainty import Draws
from webapp.thermal.warming import warm_up

KITCHEN_C, FRIDGE_C = 21.0, 4.0
SIZES = [(0.107, 0.127, 0.007), (0.157, 0.137, 0.005), (0.082, 0.107, 0.010)]


def film_between(body, wind, least_k, most_k):
    """Least and greatest film [W/(m2 K)] that a cooling tier meets while its outside is so far from the air."""
    wide = 2 * (body.radius + body.coat)
    natural = [natural_side_strength(body.height + body.coat), natural_top_strength(wide, is_cooler_than_air=True)]
    forced_4 = forced_film(wind, wide) ** 4
    low, high = (
        float(combined_film(strength**4, forced_4, np.array([difference]))[0])
        for strength, difference in ((min(natural), least_k), (max(natural), most_k))
    )
    # Long wave between two temperatures: (T1^2 + T2^2)(T1 + T2), between air against air and kitchen against air.
    air, kitchen = FRIDGE_C + 273.15, KITCHEN_C + 273.15
    cold, warm = 4 * air**3, (air**2 + kitchen**2) * (air + kitchen)
    return low + EMISSIVITY * STEFAN_BOLTZMANN * cold, high + EMISSIVITY * STEFAN_BOLTZMANN * warm


def exact_hours(body, film, place, to_c):
    """Hours until the mean of a place has cooled to ``to_c``, by the product of the two series."""
    hours = np.linspace(0.05, 24.0, 4000)
    share = (exact_means(body, film, 3600 * hours)[OUTPUTS.index(place)] - AROUND_C) / (START_C - AROUND_C)
    return float(np.interp(-(to_c - FRIDGE_C) / (KITCHEN_C - FRIDGE_C), -share, hours))


@pytest.mark.parametrize("wind", [0.1, 0.5])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]} x {size[1]} m")
@pytest.mark.parametrize(("place", "to_c", "least_k"), [("core", 7.0, 0.5), ("side coat", 12.0, 3.0)])
def test_hours_in_the_fridge_lie_between_the_exact_ones_of_its_least_and_greatest_film(
    size, wind, place, to_c, least_k
):
    body = one_kind(*size)
    cooled = warm_up([body], steady(FRIDGE_C, wind, 24.0), Draws.none(), KITCHEN_C, 0.0)
    # What the advice reads as coat is the warmer of side and top; the top, insulated by still air, can lag behind.
    course = cooled.core if place == "core" else cooled.coat
    found = float(first_below(cooled.hours, course[0], to_c, 99.0)[0])
    slow, fast = (exact_hours(body, film, place, to_c) for film in film_between(body, wind, least_k, 17.0))
    if place != "core":
        top_slow, top_fast = (
            exact_hours(body, film, "top coat", to_c) for film in film_between(body, wind, least_k, 17.0)
        )
        slow, fast = max(slow, top_slow), max(fast, top_fast)
    assert slow / fast < 2  # the bracket is narrow enough to tell a wrong size, conductivity or kind of film
    # 2 %: the error of the usual grid's slowest mode, see test_conduction.
    assert 0.98 * fast <= found <= 1.02 * slow


def test_with_a_film_that_does_not_change_the_core_is_cold_at_the_exact_hour():
    # Strong wind: the film is forced, so that it hardly depends on the difference, and the bracket closes.
    body = one_kind(0.107, 0.127, 0.007)
    cooled = warm_up([body], steady(FRIDGE_C, 15.0, 24.0), Draws.none(), KITCHEN_C, 0.0)
    low, high = film_between(body, 15.0, 0.5, 17.0)
    exact = [exact_hours(body, film, "core", 7.0) for film in (low, high)]
    assert exact[0] == pytest.approx(exact[1], rel=0.005)
    # 0.4 K on a step of 26 K is what test_conduction allows the core, which is read from the largest cells.
    there = np.interp(exact[0], cooled.hours, cooled.core[0, :, 0])
    assert there == pytest.approx(7.0, abs=0.4 * (KITCHEN_C - FRIDGE_C) / 26)
