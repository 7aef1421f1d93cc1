"""Softening of mixed fats, with the product's own curves, against hand-worked figures and the trade."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.thermal.softening import Solids, blend, same_solids

DATA = Path(__file__).parents[2] / "data"
BUTTER = "milk-fat"


@pytest.fixture(scope="module")
def curves():
    return {
        fat: Solids.of(*(np.array(c) for c in (s.temperature_c, s.solids_pct, s.low_pct, s.high_pct)))
        for fat, s in load_catalogue(DATA).fats.items()
    }


def softens(curves, shares, butter_c):
    return float(same_solids(curves[BUTTER], blend(curves, shares, BUTTER), butter_c))


def test_all_shortening_softens_where_it_has_the_solids_of_butter(curves):
    # Milk fat at 27 °C: 12 + 2/5 (5.5 - 12) = 9.4 %; palm shortening, 10 % at 35 and 6 % at 40 °C, has 9.4 %
    # at 35.75 °C. Typical solids of handbooks, from memory. 0.05 K: the curves are read on a grid of a
    # quarter degree.
    assert softens(curves, {"palm-shortening": 1.0}, 27.0) == pytest.approx(35.75, abs=0.05)


def test_half_and_all_shortening_soften_where_the_trade_says(curves):
    # Common practice, no source: an American coat that softens at 27 °C with butter is said to stand about 32
    # °C with half shortening and about 37 °C with shortening alone; 3 K is how far apart such reports lie.
    shortening = "high-ratio-shortening"
    assert softens(curves, {BUTTER: 0.5, shortening: 0.5}, 27.0) == pytest.approx(32, abs=3)
    assert softens(curves, {shortening: 1.0}, 27.0) == pytest.approx(37, abs=3)


@pytest.mark.parametrize("shortening", ["high-ratio-shortening", "palm-shortening"])
@pytest.mark.parametrize("butter_c", [22.5, 24.5, 27.0, 29.0, 32.0])
def test_replacing_butter_by_shortening_moves_softening_up_step_by_step(curves, shortening, butter_c):
    shares = np.linspace(0, 1, 21)
    found = np.array([softens(curves, {BUTTER: 1 - s, shortening: s}, butter_c) for s in shares])
    # The grid's step makes 0.01 K of pure butter; from there every 5 % of fat moves it up, and none by a
    # jump.
    assert found[0] == pytest.approx(butter_c, abs=0.01)
    assert np.all(np.diff(found) > 0)
    assert np.diff(found).max() < 2.0


def test_shortening_stands_more_heat_than_butter_and_plant_block_less(curves):
    # Common practice, no source.
    for butter_c in (24.5, 27.0):
        assert softens(curves, {"plant-block-fat": 1.0}, butter_c) < butter_c
        assert softens(curves, {"palm-shortening": 1.0}, butter_c) > butter_c
        assert softens(curves, {BUTTER: 0.5, "high-ratio-shortening": 0.5}, butter_c) > butter_c + 1
