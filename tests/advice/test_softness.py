"""Where the trade says coats soften: common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from webapp.advice.service import Advisor
from webapp.advice.softness import FAT_DRAWS, HEAT_DRAWS, MOUTH_C, WIDEST_GAP, FatDraws, Softness
from webapp.catalogue.model import Catalogue


def median_softens(advisor: Advisor, catalogue: Catalogue, id_: str) -> float:
    return float(np.median(advisor.softness.of(catalogue.formulations[id_]).softens))


def test_draws_of_butter_have_the_range_of_the_data(advisor: Advisor, catalogue: Catalogue) -> None:
    for family in catalogue.families:
        known = catalogue.fact(family, "softens")
        drawn = advisor.softness.of(catalogue.formulations[f"{family}-butter"]).softens
        low, middle, high = np.percentile(drawn, (5, 50, 95))
        # Stratified draws place a percentile within one band of it.
        assert (low, middle, high) == pytest.approx((known.low, known.value, known.high), abs=0.1)


def test_half_shortening_softens_at_30_to_35_c(advisor: Advisor, catalogue: Catalogue) -> None:
    assert 30 <= median_softens(advisor, catalogue, "american-half-shortening") <= 35


def test_all_shortening_softens_at_about_37_c_or_more(advisor: Advisor, catalogue: Catalogue) -> None:
    assert 36 <= median_softens(advisor, catalogue, "american-shortening") <= 42


def test_plant_block_softens_near_butter(advisor: Advisor, catalogue: Catalogue) -> None:
    plant = median_softens(advisor, catalogue, "american-plant")
    assert plant == pytest.approx(median_softens(advisor, catalogue, "american-butter"), abs=4)


def test_slumping_is_never_below_softening_nor_too_far_above(advisor: Advisor, catalogue: Catalogue) -> None:
    for formulation in catalogue.formulations.values():
        draws = advisor.softness.of(formulation)
        butter = advisor.softness.of(catalogue.formulations[f"{formulation.family.id}-butter"])
        gap = draws.slumps - draws.softens
        assert draws.softens.shape == (HEAT_DRAWS, FAT_DRAWS)
        assert (gap >= 0).all(), formulation.id
        assert (gap <= WIDEST_GAP * (butter.slumps - butter.softens) + 1e-9).all(), formulation.id


def test_a_share_lies_between_softening_and_slumping() -> None:
    draws = FatDraws(np.array([24.0]), np.array([30.0]))
    assert draws.at(0.0) == pytest.approx([24])
    assert draws.at(0.5) == pytest.approx([27])
    assert draws.at(1.0) == pytest.approx([30])


def test_the_share_that_a_look_allows_stays_between_none_and_all(advisor: Advisor, catalogue: Catalogue) -> None:
    for (_, name), fact in catalogue.facts.items():
        if name.startswith("look_"):
            share = advisor.softness.share(fact)
            assert ((share >= 0) & (share <= 1)).all()
            assert np.median(share) == pytest.approx(fact.value, abs=0.01)


def test_the_same_seed_draws_the_same_and_another_does_not(catalogue: Catalogue) -> None:
    butter = catalogue.formulations["swiss-butter"]
    first, again, other = (Softness(catalogue, seed).of(butter).softens for seed in (0, 0, 1))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_butter_melts_in_the_mouth_and_shortening_leaves_a_film(advisor: Advisor, catalogue: Catalogue) -> None:
    shares = {
        id_: advisor.softness.waxy_fat_share(catalogue.formulations[id_])
        for id_ in ("american-butter", "american-half-shortening", "american-shortening")
    }
    likely = [share[0] for share in shares.values()]
    assert likely == sorted(likely)
    solids = dict(zip(catalogue.fats["milk-fat"].temperature_c, catalogue.fats["milk-fat"].solids_pct, strict=True))
    assert likely[0] == pytest.approx(solids[MOUTH_C] / 100)
    assert all(0 <= low <= value <= high <= 1 for value, low, high in shares.values())
