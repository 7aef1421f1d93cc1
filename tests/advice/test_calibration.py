"""Whether the stated chance of holding means what it says.

Many synthetic events are advised on with one seed; whether each "really" held is one draw from the same ranges
with another seed. This checks the computation (draws, percentiles, thresholds) and not the ranges themselves: those
stand or fall with reports on real cakes, see tests/outside/field_reports.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import binom

from tests.advice.asking import TODAY, asked
from webapp.advice.brief import Brief
from webapp.advice.heat import warm_cake
from webapp.advice.holds import coat_hold
from webapp.advice.service import Advisor
from webapp.advice.softness import FAT_DRAWS, HEAT_DRAWS
from webapp.catalogue.model import Catalogue

Array = NDArray[np.float64]

WEATHERS = 110
EVENTS_EACH = 8
BINS = np.linspace(0, 1, 6)
CONFIDENCE = 0.99
TRUTH_SEEDS = range(1, 12)
COATS = ("american-butter", "swiss-butter")


def look_hours(advisor: Advisor, coat: str, brief: Brief) -> Array:
    """Hours that the look holds in every draw; 0 where it arrived already soft."""
    formulation = advisor.catalogue.formulations[coat]
    heat = warm_cake(brief, advisor.catalogue, advisor.seed, TODAY, (formulation.family.id,))
    return coat_hold(formulation, heat, advisor.softness, advisor.catalogue).look.hours


def random_brief(rng: np.random.Generator) -> Brief:
    """An event near the edge of what butter stands: warm air, a few hours, any start."""
    return asked(
        setting=str(rng.choice(["indoors", "shade", "tent", "sun"], p=[0.3, 0.3, 0.2, 0.2])),
        air_high_c=round(float(rng.uniform(23, 33)), 1),
        humidity_pct=round(float(rng.uniform(30, 80))),
        start_c=round(float(rng.uniform(2, 20)), 1),
        start=f"{rng.integers(10, 20)}:00",
        piping=str(rng.choice(["none", "borders", "rosettes"])),
        coat_mm=round(float(rng.uniform(4, 12)), 1),
        tiers=[{"width_cm": round(float(rng.uniform(12, 36)))}],
    )


@dataclass(frozen=True, slots=True)
class Study:
    """For each event the chance that was stated and whether it held."""

    stated: Array
    held: NDArray[np.bool_]

    def outside(self) -> list[str]:
        """The bins in which the share that held is too far from the mean stated chance to be luck."""
        wrong = []
        for low, high in zip(BINS[:-1], BINS[1:], strict=True):
            inside = (self.stated >= low) & ((self.stated < high) | ((high == 1) & (self.stated == 1)))
            count, chance = int(inside.sum()), float(self.stated[inside].mean())
            fewest, most = binom.interval(CONFIDENCE, count, chance)
            held = int(self.held[inside].sum())
            if not fewest <= held <= most:
                wrong.append(f"{low:.1f} to {high:.1f}: {held} of {count} held, {chance:.2f} stated")
        return wrong


@pytest.fixture(scope="module")
def study(catalogue: Catalogue) -> Study:
    advisor = Advisor(catalogue, seed=0)
    truths = [Advisor(catalogue, seed=seed) for seed in TRUTH_SEEDS]
    rng = np.random.default_rng(20260601)
    stated, held = [], []
    for number in range(WEATHERS):
        brief, coat, truth = random_brief(rng), COATS[number % 2], truths[number % len(truths)]
        said = look_hours(advisor, coat, brief)
        # Every event of one weather asks for its own hours and draws its own truth.
        happened = rng.choice(look_hours(truth, coat, brief).ravel(), EVENTS_EACH, replace=False)
        needed = rng.uniform(0.25, 5.0, EVENTS_EACH)
        stated += [float((said >= hours).mean()) for hours in needed]
        held += list(happened >= needed)
    return Study(np.array(stated), np.array(held))


def test_of_those_told_a_chance_about_that_share_holds(study: Study) -> None:
    assert not study.outside()


def test_every_bin_of_the_study_has_events_enough_to_tell(study: Study) -> None:
    # With 40 events the 99 % interval is at most 0.2 to either side: a bin of its own width.
    assert np.histogram(study.stated, BINS)[0].min() >= 40


def test_of_those_told_about_80_percent_about_80_percent_hold(study: Study) -> None:
    near = (study.stated >= 0.7) & (study.stated <= 0.9)
    count = int(near.sum())
    fewest, most = binom.interval(CONFIDENCE, count, 0.8)
    assert count >= 40
    assert fewest <= study.held[near].sum() <= most


@pytest.mark.parametrize(
    "misstated",
    [lambda p: p**0.5, lambda p: p**2, lambda p: np.clip(2.5 * (p - 0.5) + 0.5, 0, 1)],
    ids=["rosy", "gloomy", "too sure"],
)
def test_a_misstated_chance_would_be_noticed(study: Study, misstated: Callable[[Array], Array]) -> None:
    assert replace(study, stated=misstated(study.stated)).outside()


EDGES: list[dict[str, Any]] = [
    {"setting": "indoors", "air_high_c": 27, "hold_hours": 3},
    {"setting": "shade", "air_high_c": 30, "hold_hours": 1.5},
    {"setting": "tent", "air_high_c": 28, "hold_hours": 2, "start_c": 10},
    {"setting": "sun", "air_high_c": 26, "hold_hours": 0.5, "start": "11:00"},
    {"setting": "shade", "air_high_c": 29, "hold_hours": 3, "date": "2026-12-20"},
]


@pytest.mark.parametrize("fields", EDGES, ids=lambda f: f"{f['setting']} {f['air_high_c']}")
def test_more_or_other_draws_move_the_chance_by_no_more_than_sampling(
    catalogue: Catalogue, fields: dict[str, Any]
) -> None:
    chances = np.array(
        [
            (look_hours(Advisor(catalogue, seed), "american-butter", asked(**fields)) >= fields["hold_hours"]).mean()
            for seed in range(6)
        ]
    )
    of_all = chances.mean()
    assert 0.05 < of_all < 0.95, "this brief is not near the edge and shows nothing"
    # Eight fats share a course, so 400 pairs are not 400 independent draws; that they are stratified makes up for
    # it: over 24 seeds the chance scatters by 0.5 to 0.85 of what as many independent draws would.
    sigma = np.sqrt(of_all * (1 - of_all) / (HEAT_DRAWS * FAT_DRAWS))
    assert abs(chances[0] - of_all) <= 3 * sigma
    assert abs(chances[0] - chances[1]) <= 3 * np.sqrt(2) * sigma


def test_the_same_brief_gives_the_same_hours(catalogue: Catalogue) -> None:
    first, again = (look_hours(Advisor(catalogue, 3), "swiss-butter", asked(**EDGES[1])) for _ in range(2))
    assert np.array_equal(first, again)
