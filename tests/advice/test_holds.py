from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.advice.asking import TODAY, asked
from webapp.advice.heat import CakeHeat, warm_cake
from webapp.advice.holds import CoatHold, coat_hold, filling_hold, filling_margin, stack_hold
from webapp.advice.service import Advisor

WARM = {"setting": "shade", "air_high_c": 29.0, "hold_hours": 2.0}
TWO = [{"width_cm": 25}, {"width_cm": 15}]


def warmed(advisor: Advisor, **fields: Any) -> CakeHeat:
    return warm_cake(asked(**{**WARM, **fields}), advisor.catalogue, 0, TODAY)


def held(advisor: Advisor, id_: str = "american-butter", **fields: Any) -> CoatHold:
    heat = warmed(advisor, **fields)
    return coat_hold(advisor.catalogue.formulations[id_], heat, advisor.softness, advisor.catalogue)


def test_a_plain_coat_has_no_detail_and_its_look_is_its_own(advisor: Advisor) -> None:
    hold = held(advisor, piping="none")
    assert hold.detail is None
    assert hold.look is hold.coat


def test_piping_goes_before_the_coat_under_it(advisor: Advisor) -> None:
    hold = held(advisor, piping="rosettes")
    assert hold.detail is not None
    assert np.all(hold.detail.hours <= hold.coat.hours + 1e-9)
    assert np.array_equal(hold.look.hours, np.minimum(hold.coat.hours, hold.detail.hours))


def test_finer_piping_holds_less_long(advisor: Advisor) -> None:
    chances = [held(advisor, piping=p).look.chance for p in ("none", "borders", "rosettes", "fine")]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > chances[-1] + 0.2


def test_a_texture_hides_more_than_smooth_sides(advisor: Advisor) -> None:
    smooth, textured = (held(advisor, piping="none", finish=f).look.chance for f in ("smooth", "textured"))
    assert textured > smooth


def test_a_crust_carries_american_further_past_softening_than_meringue(advisor: Advisor) -> None:
    shares = []
    for id_ in ("american-butter", "swiss-butter"):
        fat = advisor.softness.of(advisor.catalogue.formulations[id_])
        threshold = held(advisor, id_, piping="none").look.threshold
        shares.append(float(np.median((threshold - fat.softens) / (fat.slumps - fat.softens))))
    assert shares[0] > shares[1] + 0.1


def test_what_a_decision_reads_is_what_was_computed(advisor: Advisor) -> None:
    hold = held(advisor)
    facts = hold.facts(2.0)
    assert facts.chance == hold.look.chance == pytest.approx(facts.stands.mean())
    assert (facts.low_h, facts.likely_h, facts.high_h) == pytest.approx(np.percentile(hold.look.hours, (10, 50, 90)))
    assert facts.threshold_low_c <= facts.threshold_c <= facts.threshold_high_c
    assert facts.peak_low_c <= facts.peak_c <= facts.peak_high_c


def test_the_filling_lies_cooler_than_the_coat(advisor: Advisor) -> None:
    heat = warmed(advisor)
    assert np.all(heat.peak("filling", "american") < heat.peak("coat", "american"))


def test_a_soft_filling_creeps_before_a_firm_one(advisor: Advisor) -> None:
    heat, book = warmed(advisor, air_high_c=34, hold_hours=6), advisor.catalogue.formulations
    coat = book["american-shortening"]
    french, american = (
        filling_hold(coat, book[id_], heat, advisor.softness, advisor.catalogue)
        for id_ in ("french-butter", "american-butter")
    )
    assert french.chance < american.chance


def test_one_tier_has_no_stack(advisor: Advisor) -> None:
    butter = advisor.catalogue.formulations["swiss-butter"]
    assert stack_hold(butter, butter, warmed(advisor), advisor.softness, advisor.catalogue) is None


def test_supports_keep_a_stack_upright_longer(advisor: Advisor) -> None:
    butter = advisor.catalogue.formulations["swiss-butter"]
    chances = []
    for supported in (False, True):
        heat = warmed(advisor, air_high_c=33, hold_hours=6, tiers=TWO, supported=supported)
        stack = stack_hold(butter, butter, heat, advisor.softness, advisor.catalogue)
        assert stack is not None
        chances.append(stack.chance)
    assert chances[0] < chances[1]


def test_the_margin_of_a_filling_shrinks_with_the_heat(advisor: Advisor) -> None:
    french = advisor.catalogue.formulations["french-butter"]
    margins = [
        filling_margin(french, warmed(advisor, air_high_c=t, hold_hours=6), advisor.softness, advisor.catalogue)
        for t in (20, 30, 40)
    ]
    assert [m.likely for m in margins] == sorted((m.likely for m in margins), reverse=True)
    assert all(m.low <= m.likely <= m.high for m in margins)
    assert margins[0].likely > 0 > margins[2].likely
