"""Dew on a cold coat and the drying of a crust. Seen to fail: the mean or the first of the tiers taken for the wettest,
draws and tiers taken for each other, each border between amounts moved, drying that slows the other way round."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.heat import CakeHeat, warm_cake
from webapp.advice.moisture import DRY_BELOW_G_M2, crust_of, sweat_of
from webapp.advice.service import Advisor
from webapp.thermal.holding import Spread

COLD = {
    "setting": "shade",
    "air_high_c": 29.0,
    "humidity_pct": 75.0,
    "start_c": 4.0,
    "piping": "none",
    "tiers": [{"width_cm": 25}, {"width_cm": 15}],
}


@pytest.fixture(scope="module")
def cold(advisor: Advisor) -> CakeHeat:
    return warm_cake(asked(**COLD), advisor.catalogue, 0, TODAY)


def with_dew(heat: CakeHeat, grams: np.ndarray) -> CakeHeat:
    return replace(heat, warming=replace(heat.warming, sweat_g_m2=grams))


def test_the_wettest_tier_of_each_draw_counts(advisor: Advisor, cold: CakeHeat) -> None:
    swiss = advisor.catalogue.formulations["swiss-butter"]
    of_family = cold.bodies("swiss")
    # The two tiers take turns at being the wetter one; the wetter has 10 to 60 g/m2, evenly over the draws.
    grams = np.full_like(cold.warming.sweat_g_m2, 900.0)
    wettest = np.linspace(10, 60, grams.shape[1])
    is_first = np.arange(grams.shape[1]) % 2 == 0
    grams[of_family[0]] = np.where(is_first, wettest, 3.0)
    grams[of_family[1]] = np.where(is_first, 3.0, wettest)
    found = sweat_of(swiss, with_dew(cold, grams), advisor.catalogue, 0, TODAY)
    assert (found.grams_m2.low, found.grams_m2.likely, found.grams_m2.high) == pytest.approx((15, 35, 55))
    assert found.hours == Spread.of(cold.warming.sweat_h[of_family].max(axis=0))


def test_more_dew_is_said_with_a_stronger_word(advisor: Advisor, cold: CakeHeat) -> None:
    swiss, book = advisor.catalogue.formulations["swiss-butter"], advisor.catalogue
    seen, runs = (book.fact("sweat", name).value for name in ("visible_from", "runs_from"))
    assert 0 < DRY_BELOW_G_M2 < seen < runs
    borders = {"none": 0.99, "haze": 1.0, "sweat": seen, "beads": runs}
    for amount, grams in borders.items():
        found = sweat_of(swiss, with_dew(cold, np.full_like(cold.warming.sweat_g_m2, grams)), book, 0, TODAY)
        assert found.amount == amount
        # A box is spoken of where something would settle.
        assert (found.boxed_h is None) == (amount == "none")


def test_a_crust_takes_longer_as_the_air_can_take_up_less(advisor: Advisor) -> None:
    book = advisor.catalogue
    american = book.formulations["american-butter"]
    usual = book.fact("crusting", "minutes")
    full, none = (book.fact("crusting", name).value for name in ("full_below", "none_above"))
    as_usual = pytest.approx((usual.low, usual.value, usual.high))
    assert crust_of(american, full - 20, book).minutes == as_usual
    assert crust_of(american, full, book).minutes == as_usual
    # Half of what is left between the two humidities: half the drying, twice the time.
    assert crust_of(american, (full + none) / 2, book).minutes == pytest.approx(
        (2 * usual.low, 2 * usual.value, 2 * usual.high)
    )
    assert crust_of(american, none, book).minutes is None
    assert crust_of(american, none - 0.1, book).minutes is not None


def test_a_meringue_has_no_crust_in_any_air(advisor: Advisor) -> None:
    assert crust_of(advisor.catalogue.formulations["swiss-butter"], 30.0, advisor.catalogue).minutes is None
