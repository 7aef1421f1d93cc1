"""What must be true of sun and cloud on every valid brief."""

from __future__ import annotations

from typing import Any, get_args

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.advice.asking import TODAY, asked, check_never_longer
from tests.strategies import brief_shapes, decimals
from webapp.advice.brief import Colour
from webapp.advice.heat import warm_cake
from webapp.advice.service import Advisor

Shape = dict[str, Any]

SLOW = settings(
    max_examples=20, deadline=None, suppress_health_check=(HealthCheck.too_slow, HealthCheck.function_scoped_fixture)
)


def numbers(advisor: Advisor, shape: Shape) -> dict[str, tuple[float, float, float, float]]:
    """Low, likely and high hours and the chance of each family's first formulation as the coat."""
    heat = warm_cake(asked(**shape), advisor.catalogue, advisor.seed, TODAY)
    of_family = {f.family.id: f for f in advisor.catalogue.formulations.values()}
    holds = advisor.coat_holds(heat, list(of_family.values()))
    return {
        id_: (hold.look.spread.low, hold.look.spread.likely, hold.look.spread.high, hold.look.chance)
        for id_, hold in holds.items()
    }


@given(brief_shapes(), decimals(0, 100), decimals(0, 100))
@SLOW
def test_more_cloud_never_shortens_a_hold_in_the_sun(advisor: Advisor, shape: Shape, one: float, other: float) -> None:
    sunlit = {**shape, "setting": "sun"}
    less, more = sorted((one, other))
    check_never_longer(advisor, {**sunlit, "cloud_pct": more}, {"cloud_pct": less})


@given(brief_shapes(), st.lists(st.sampled_from(get_args(Colour)), min_size=2, max_size=2, unique=True))
@SLOW
def test_a_darker_coat_never_holds_longer_under_any_sky(advisor: Advisor, shape: Shape, two: list[Colour]) -> None:
    lighter, darker = sorted(two, key=get_args(Colour).index)
    sunlit = {**shape, "setting": "sun", "place": "Phoenix", "cloud_pct": 30.0}
    check_never_longer(advisor, {**sunlit, "colour": lighter}, {"colour": darker})


@given(brief_shapes(), decimals(0, 100), st.sampled_from(["indoors", "tent", "shade"]))
@SLOW
def test_cloud_changes_nothing_out_of_the_sun(advisor: Advisor, shape: Shape, cloud: float, setting: str) -> None:
    shaded = {**shape, "setting": setting}
    clear, cloudy = (numbers(advisor, {**shaded, "cloud_pct": pct}) for pct in (0.0, cloud))
    assert clear == cloudy
