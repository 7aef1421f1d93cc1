from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp.thermal.posterior import BATCH_SCATTER_K, Held, Softened, update_softening
from webapp.thermal.uncertainty import Z_95

OURS = (27.0, 25.0, 30.0)
COAT_SD_K = 0.8


def seen_cakes(true_c: float, count: int, seed: int) -> list[Softened | Held]:
    """Cakes whose coats warm to a peak: those that reach their batch's softening temperature lose their look there."""
    rng = np.random.default_rng(seed)
    events: list[Softened | Held] = []
    for peak in rng.uniform(true_c - 3, true_c + 3, count):
        softens = rng.normal(true_c, BATCH_SCATTER_K)
        # The heat model knows the coat's temperature with an error.
        seen = min(softens, peak) + rng.normal(0, COAT_SD_K)
        kind = Softened if softens <= peak else Held
        events.append(kind(seen, seen - Z_95 * COAT_SD_K, seen + Z_95 * COAT_SD_K))
    return events


def test_without_events_our_range_stays_as_it_is():
    after = update_softening(*OURS, [])
    # A cell of the grid is 0.004 standard deviations, here at most 0.008 K.
    assert (after.likely_c, after.low_c, after.high_c) == pytest.approx(OURS, abs=1e-4)
    assert after.events == 0


@pytest.mark.parametrize("true_c", [24.5, 26.0, 27.0, 29.0, 31.0])
def test_a_known_temperature_is_recovered_from_many_events(true_c):
    after = update_softening(*OURS, seen_cakes(true_c, 200, seed=4))
    # About 100 softened cakes of 0.94 K each, sqrt(0.8² + 0.5²), leave a standard error of 0.1 K: four of them.
    assert after.likely_c == pytest.approx(true_c, abs=0.4)
    assert after.high_c - after.low_c < 0.5
    assert after.events == 200


def test_the_range_holds_the_truth_as_often_as_it_says():
    # Truths drawn from the prior, eight cakes each: a range from the 5th to the 95th percentile misses one in ten.
    rng = np.random.default_rng(11)
    inside = 0
    for trial in range(200):
        z = rng.normal()
        true_c = 27 + z * (2.0 if z < 0 else 3.0) / Z_95
        after = update_softening(*OURS, seen_cakes(true_c, 8, seed=100 + trial))
        inside += after.low_c <= true_c <= after.high_c
    # Binomial(200, 0.9): 180 ± 3 standard deviations of 4.2.
    assert 167 <= inside <= 193


def test_one_event_is_the_product_of_two_normals_when_both_are_symmetric():
    # Conjugate closed form: precisions add, the mean is weighted by them.
    prior_sd, coat_sd = 2.0, 1.0
    prior = (27.0, 27.0 - Z_95 * prior_sd, 27.0 + Z_95 * prior_sd)
    after = update_softening(*prior, [Softened(29.0, 29.0 - Z_95 * coat_sd, 29.0 + Z_95 * coat_sd)])
    weight_prior, weight_seen = 1 / prior_sd**2, 1 / (coat_sd**2 + BATCH_SCATTER_K**2)
    mean = (27.0 * weight_prior + 29.0 * weight_seen) / (weight_prior + weight_seen)
    sd = math.sqrt(1 / (weight_prior + weight_seen))
    assert after.likely_c == pytest.approx(mean, abs=1e-3)
    assert after.low_c == pytest.approx(mean - Z_95 * sd, abs=1e-3)
    assert after.high_c == pytest.approx(mean + Z_95 * sd, abs=1e-3)


temperatures = st.floats(10, 45)
widths = st.floats(0, 6)


@st.composite
def held(draw):
    peak = draw(temperatures)
    return Held(peak, peak - draw(widths), peak + draw(widths))


@st.composite
def ranges(draw):
    likely = draw(st.floats(18, 36))
    return likely, likely - draw(widths), likely + draw(widths)


@settings(max_examples=60)
@given(ours=ranges(), events=st.lists(held(), max_size=5))
def test_what_held_never_lowers_the_range(ours, events):
    before, after = update_softening(*ours, []), update_softening(*ours, events)
    # 1e-9 K for sums in another order.
    assert after.likely_c >= before.likely_c - 1e-9
    assert after.low_c >= before.low_c - 1e-9
    assert after.high_c >= before.high_c - 1e-9


@settings(max_examples=60)
@given(ours=ranges(), events=st.lists(held(), max_size=3), more=held())
def test_one_more_that_held_never_lowers_it_either(ours, events, more):
    assert update_softening(*ours, [*events, more]).likely_c >= update_softening(*ours, events).likely_c - 1e-9


def test_what_held_in_the_cold_says_nothing():
    after = update_softening(*OURS, [Held(5.0, 4.0, 6.0)] * 20)
    assert (after.likely_c, after.low_c, after.high_c) == pytest.approx(OURS, abs=1e-4)


def test_what_held_in_the_heat_raises_it():
    after = update_softening(*OURS, [Held(29.0, 28.0, 30.0)] * 3)
    assert after.likely_c > 28.5
    assert after.low_c > OURS[1] + 2


def test_the_order_of_events_does_not_matter():
    events = seen_cakes(26.0, 12, seed=2)
    there, back = update_softening(*OURS, events), update_softening(*OURS, events[::-1])
    assert there.likely_c == pytest.approx(back.likely_c, abs=1e-9)


def test_a_value_without_a_range_cannot_be_moved():
    after = update_softening(27.0, 27.0, 27.0, [Softened(20.0, 19.0, 21.0)])
    assert (after.low_c, after.likely_c, after.high_c) == (27.0, 27.0, 27.0)


def test_an_event_far_outside_of_our_range_ends_at_the_grid_and_stays_finite():
    after = update_softening(*OURS, [Softened(90.0, 89.9, 90.1)] * 50)
    assert after.low_c <= after.likely_c <= after.high_c
    # Eight standard deviations of the upper side above our value.
    assert after.high_c == pytest.approx(27 + 8 * 3 / Z_95, abs=0.05)


@pytest.mark.parametrize(
    "bad", [(27.0, 28.0, 30.0), (27.0, 20.0, 26.0), (math.nan, 20.0, 30.0), (27.0, -math.inf, 30.0)]
)
def test_a_value_outside_of_its_range_is_refused(bad):
    for attempt in (lambda: update_softening(*bad, []), lambda: Softened(*bad), lambda: Held(*bad)):
        with pytest.raises(ValueError, match="not within"):
            attempt()


@pytest.mark.parametrize("scatter", [-0.1, math.nan])
def test_a_scatter_below_nothing_is_refused(scatter):
    with pytest.raises(ValueError, match="scatter"):
        update_softening(*OURS, [], scatter)


@pytest.mark.parametrize("kind", [Softened, Held])
@pytest.mark.parametrize(
    ("one_sided", "symmetric"),
    [((20.0, 19.5, 24.0), (20.0, 16.0, 24.0)), ((34.0, 30.0, 34.5), (34.0, 30.0, 38.0))],
)
def test_only_the_side_of_a_coats_range_that_faces_the_softening_temperature_counts(kind, one_sided, symmetric):
    # Ours lies wholly above the first coat and below the second. Seen to fail: the upper side for both.
    found, expected = (update_softening(27.0, 26.0, 28.0, [kind(*range_)]) for range_ in (one_sided, symmetric))
    assert (found.likely_c, found.low_c, found.high_c) == pytest.approx(
        (expected.likely_c, expected.low_c, expected.high_c), abs=1e-6
    )
