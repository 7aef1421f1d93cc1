"""The warming of whole cakes: energy, refinement, an independent solver, and what may never cool a coat."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.sparse import csr_matrix

import webapp.thermal.warming as warming_module
from webapp.thermal.film import (
    EMISSIVITY,
    STEFAN_BOLTZMANN,
    forced_film,
    natural_side_strength,
    natural_top_strength,
)
from webapp.thermal.holding import Spread, hold_hours, warmest_so_far
from webapp.thermal.humid import LATENT_HEAT, condensing, dew_point, saturation_pressure
from webapp.thermal.tier import TierBody, tier_modes
from webapp.thermal.uncertainty import Draws
from webapp.thermal.warming import FILM_LADDER, _nearest_film, heat_balance, hours_below_dew, warm_up

ABSORPTANCE = 0.5
SCENARIOS = {
    "shade 31 °C": {"air_c": 31.0, "swing_k": 9.0, "wind_mps": 1.0},
    "indoors 24 °C": {"air_c": 24.0},
    "hall 21 °C": {"air_c": 21.0, "humidity_pct": 60.0},
    "sun": {"air_c": 30.0, "swing_k": 9.0, "wind_mps": 1.0, "sun_side": 600.0, "sun_top": 300.0},
    "strong sun": {"air_c": 35.0, "wind_mps": 2.0, "sun_side": 700.0, "sun_top": 900.0},
    "humid 30 °C": {"air_c": 30.0, "humidity_pct": 80.0},
    "humid breeze": {"air_c": 30.0, "humidity_pct": 80.0, "wind_mps": 1.5},
    "after a drive": {"air_c": 31.0, "swing_k": 9.0, "wind_mps": 1.0, "travel_h": 1.0},
}
THRESHOLDS = np.arange(20.0, 31.0)
every_scenario = pytest.mark.parametrize("scenario", SCENARIOS)
every_start = pytest.mark.parametrize("start_c", [4.0, 18.0])


def integral(rate, hours):
    return (0.5 * (rate[..., 1:] + rate[..., :-1]) * 3600 * np.diff(hours)).sum(axis=-1)


# Energy


@every_scenario
@every_start
def test_heat_stored_is_what_came_in_through_the_outside(make_body, make_exposure, scenario, start_c):
    exposure = make_exposure(**SCENARIOS[scenario], refine=4)
    stored, inflow = (
        a[0, :, 0] for a in heat_balance([make_body()], exposure, Draws.none(), start_c, ABSORPTANCE)
    )
    came_in = integral(inflow, exposure.hours)
    # 0.5 % of all that flowed in or out. The times are refined so that the trapezoid of the checker, which
    # joins a steeply falling flow by straight lines, does not hide the solver; see the next test for the
    # usual times.
    assert stored[-1] - stored[0] == pytest.approx(
        came_in, abs=0.005 * integral(np.abs(inflow), exposure.hours)
    )


@every_scenario
@every_start
def test_balance_closes_on_the_usual_times_for_the_usual_cake(make_body, make_exposure, scenario, start_c):
    exposure = make_exposure(**SCENARIOS[scenario])
    stored, inflow = (
        a[0, :, 0] for a in heat_balance([make_body()], exposure, Draws.none(), start_c, ABSORPTANCE)
    )
    error = stored[-1] - stored[0] - integral(inflow, exposure.hours)
    assert abs(error) < 0.005 * integral(np.abs(inflow), exposure.hours)


def test_balance_closes_for_every_draw(make_body, make_exposure, wide_draws):
    exposure = make_exposure(**SCENARIOS["humid breeze"], refine=2)
    stored, inflow = heat_balance([make_body()], exposure, wide_draws, 4.0, ABSORPTANCE)
    flow = np.moveaxis(inflow, 1, -1)
    error = stored[:, -1] - stored[:, 0] - integral(flow, exposure.hours)
    # 0.5 % in the wettest case, whose flow bends at the dew point at another time for each draw.
    assert np.abs(error / integral(np.abs(flow), exposure.hours)).max() < 0.005


def test_cake_in_its_own_temperature_stays_as_it_is(make_body, make_exposure):
    warming = warm_up([make_body()], make_exposure(20.0, humidity_pct=40.0), Draws.none(), 20.0, ABSORPTANCE)
    for course in (warming.coat, warming.edge, warming.filling, warming.core):
        assert course == pytest.approx(20.0, abs=1e-9)
    assert warming.sweat_g_m2 == 0
    assert warming.sweat_h == 0


# Refinement


def holds(warming, name):
    return hold_hours(warming.hours, warmest_so_far(getattr(warming, name)), THRESHOLDS[None])[0]


def slope_at_hold(warming, name, hold_h):
    """How fast [K/h] the course rises where it passes each threshold."""
    course = warmest_so_far(getattr(warming, name))[:, 0]
    step = np.clip(np.searchsorted(warming.hours, hold_h), 1, len(course) - 1)
    rise = warming.hours[step] - warming.hours[step - 1]
    return (course[step] - course[step - 1]) / np.maximum(rise, 1e-9)


def assert_same_hold(usual, refined, name):
    """Ask for 3 % of the hold, with the two cases told where a percentage says nothing.

    Within the first minutes one step is a minute: 3 % of it is seconds, so a quarter of a minute is let pass.
    Where the coat is on its plateau (less than 1.2 K/h, 0.02 K a minute) the hold is ill-conditioned, and the
    temperature is asked for instead: 0.06 K.
    """
    was, now = holds(usual, name), holds(refined, name)
    slope = np.maximum(slope_at_hold(usual, name, was), 1e-9)
    change = np.abs(now - was)
    is_same = (change <= 0.03 * was) | (change <= 0.25 / 60) | ((slope < 1.2) & (change * slope < 0.06))
    assert is_same.all(), (name, THRESHOLDS[~is_same], was[~is_same], now[~is_same])


@every_scenario
@every_start
@pytest.mark.parametrize("what", ["time step", "grid", "modes"])
def test_refining_changes_the_hold_by_less_than_three_percent(
    make_body, make_exposure, scenario, start_c, what
):
    body = make_body()
    film = _nearest_film(body, SCENARIOS[scenario].get("wind_mps", 0.1))
    usual_modes = [tier_modes(body, film)]
    refined = {
        "time step": usual_modes,
        "grid": [tier_modes(body, film, cake_cells=16, coat_cells=6, paces=None)],
        "modes": [tier_modes(body, film, paces=None)],
    }[what]
    usual = warm_up(
        [body], make_exposure(**SCENARIOS[scenario]), Draws.none(), start_c, ABSORPTANCE, usual_modes
    )
    exposure = make_exposure(**SCENARIOS[scenario], refine=2 if what == "time step" else 1)
    finer = warm_up([body], exposure, Draws.none(), start_c, ABSORPTANCE, refined)
    for name in ("coat", "edge"):
        assert_same_hold(usual, finer, name)


@pytest.mark.parametrize("scenario", ["shade 31 °C", "indoors 24 °C", "sun", "humid 30 °C"])
def test_refining_everything_changes_the_likely_hold_of_many_draws_by_less_than_three_percent(
    make_body, make_exposure, wide_draws, scenario
):
    body = make_body()
    film = _nearest_film(body, SCENARIOS[scenario].get("wind_mps", 0.1))
    fine = [tier_modes(body, film, cake_cells=16, coat_cells=6, paces=None)]
    usual = warm_up([body], make_exposure(**SCENARIOS[scenario]), wide_draws, 4.0, ABSORPTANCE)
    finer = warm_up(
        [body], make_exposure(**SCENARIOS[scenario], refine=2), wide_draws, 4.0, ABSORPTANCE, fine
    )
    for threshold in np.arange(20.0, 31.0, 2.0):
        was, now = (
            Spread.of(hold_hours(w.hours, warmest_so_far(w.coat), np.full((len(wide_draws), 1), threshold)))
            for w in (usual, finer)
        )
        # As the advice gives it: no exception for plateaus or first minutes.
        assert now.likely == pytest.approx(was.likely, rel=0.03)


@pytest.mark.parametrize("film", FILM_LADDER)
def test_film_that_the_modes_were_solved_with_does_not_matter(make_body, make_exposure, film):
    # The surface balance corrects it: 0.2 K of 27 K for the rungs near the film of this shade, 12 to 16 W/(m2
    # K), and for rungs that no cake in it is given.
    body, exposure = make_body(), make_exposure(**SCENARIOS["shade 31 °C"])
    usual = warm_up([body], exposure, Draws.none(), 4.0, ABSORPTANCE)
    other = warm_up([body], exposure, Draws.none(), 4.0, ABSORPTANCE, [tier_modes(body, film)])
    within = 0.2 if 10 <= film <= 24 else 0.5
    late = exposure.hours >= 5 / 60
    assert np.abs(usual.coat - other.coat)[:, late].max() < within


# An independent solver: other mesh, other assembly, no zones, scipy's BDF


class Reference:
    """The full finite-volume equations with the nonlinear balance at every outer face."""

    def __init__(self, body, exposure, absorptance):
        self.exposure, self.absorptance = exposure, absorptance
        self.r = np.concatenate(
            [np.linspace(0, 1, 15) ** 0.6 * body.radius, body.radius + body.coat * np.arange(1, 5) / 4]
        )
        self.z = np.concatenate(
            [np.linspace(0, 1, 15) ** 0.6 * body.height, body.height + body.coat * np.arange(1, 5) / 4]
        )
        r_mid, z_mid = (0.5 * (e[1:] + e[:-1]) for e in (self.r, self.z))
        coat = (r_mid[:, None] > body.radius) | (z_mid[None] > body.height)
        self.k = np.where(coat, body.coat_conductivity, body.cake_conductivity)
        self.volume = np.pi * np.diff(self.r**2)[:, None] * np.diff(self.z)[None]
        self.capacity = self.volume * np.where(coat, body.coat_capacity, body.cake_capacity)
        self.dr, self.dz = np.diff(self.r), np.diff(self.z)
        self.side_strength = natural_side_strength(body.height + body.coat)
        self.top_strength = natural_top_strength(2 * (body.radius + body.coat), is_cooler_than_air=True)
        self.diameter = 2 * (body.radius + body.coat)

    def into_surface(self, inside, half, strength, sun, at):
        """Flux [W/m2] through faces whose cell centres are ``inside`` warm, by bisection of the balance."""
        low, high = inside - 60.0, inside + 120.0
        forced = forced_film(at["wind"], self.diameter)
        for _ in range(45):
            middle = 0.5 * (low + high)
            film = (forced**4 + (strength * np.abs(at["air"] - middle) ** 0.25) ** 4) ** 0.25
            gain = film * (at["air"] - middle) + self.absorptance * sun
            gain += EMISSIVITY * STEFAN_BOLTZMANN * ((at["air"] + 273.15) ** 4 - (middle + 273.15) ** 4)
            gain += LATENT_HEAT * condensing(film, at["vapour"], at["air"], middle)
            is_colder = gain > half * (middle - inside)
            low, high = np.where(is_colder, middle, low), np.where(is_colder, high, middle)
        return half * (0.5 * (low + high) - inside)

    def rates(self, seconds, flat):
        e, hour = self.exposure, seconds / 3600
        at = {
            "air": np.interp(hour, e.hours, e.air_c),
            "vapour": np.interp(hour, e.hours, e.vapour_pa),
            "wind": float(e.wind_mps[0]),
        }
        t = flat.reshape(self.k.shape)
        heat = np.zeros_like(t)
        through = 2 * np.pi * self.r[1:-1, None] * self.dz * np.diff(t, axis=0)
        through /= self.dr[:-1, None] / (2 * self.k[:-1]) + self.dr[1:, None] / (2 * self.k[1:])
        heat[:-1] += through
        heat[1:] -= through
        up = np.pi * np.diff(self.r**2)[:, None] * np.diff(t, axis=1)
        up /= self.dz[:-1] / (2 * self.k[:, :-1]) + self.dz[1:] / (2 * self.k[:, 1:])
        heat[:, :-1] += up
        heat[:, 1:] -= up
        half_r, half_z = 2 * self.k[-1] / self.dr[-1], 2 * self.k[:, -1] / self.dz[-1]
        side = self.into_surface(t[-1], half_r, self.side_strength, float(e.sun_side[0]), at)
        top = self.into_surface(t[:, -1], half_z, self.top_strength, float(e.sun_top[0]), at)
        heat[-1] += 2 * np.pi * self.r[-1] * self.dz * side
        heat[:, -1] += np.pi * np.diff(self.r**2) * top
        return (heat / self.capacity).ravel()

    def solve(self, start_c):
        count, across = self.k.size, self.k.shape[1]
        near = (
            np.eye(count)
            + np.eye(count, k=1)
            + np.eye(count, k=-1)
            + np.eye(count, k=across)
            + np.eye(count, k=-across)
        )
        seconds = 3600 * self.exposure.hours
        found = solve_ivp(
            self.rates, (0, seconds[-1]), np.full(count, start_c), "BDF", seconds,
            rtol=1e-5, atol=1e-4, jac_sparsity=csr_matrix(near), max_step=1800.0,
        )  # fmt: skip
        return found.y.reshape(*self.k.shape, -1)

    def mean(self, t, r_span, z_span):
        weight = np.diff(np.clip(self.r, *r_span) ** 2)[:, None] * np.diff(np.clip(self.z, *z_span))[None]
        return np.einsum("rz,rzn->n", weight / weight.sum(), t)


REFERENCES = {
    "still room, cold": ({"air_c": 24.0}, 4.0, {}),
    "humid": ({"air_c": 30.0, "humidity_pct": 80.0}, 4.0, {}),
    "humid breeze": ({"air_c": 30.0, "humidity_pct": 80.0, "wind_mps": 3.0}, 4.0, {}),
    "nearly saturated": ({"air_c": 26.0, "humidity_pct": 97.0}, 4.0, {}),
    "sun, breeze": ({"air_c": 30.0, "wind_mps": 1.0, "sun_side": 400.0, "sun_top": 700.0}, 4.0, {}),
    "sun, still": ({"air_c": 28.0, "sun_side": 500.0, "sun_top": 500.0}, 4.0, {}),
    "gale": ({"air_c": 31.0, "wind_mps": 8.0}, 4.0, {}),
    "sun on a dark coat": ({"air_c": 31.0, "wind_mps": 1.0, "sun_side": 600.0, "sun_top": 300.0}, 12.0, {}),
    "shade, small tier": (
        {"air_c": 31.0, "swing_k": 9.0, "wind_mps": 1.0},
        4.0,
        {"radius": 0.06, "height": 0.10},
    ),
}


@pytest.mark.parametrize("case", REFERENCES)
def test_coat_agrees_with_an_independent_solver(make_body, make_exposure, case):
    surroundings, start_c, sizes = REFERENCES[case]
    body, exposure = make_body(**sizes), make_exposure(**surroundings, horizon_h=6.0)
    warming = warm_up([body], exposure, Draws.none(), start_c, 0.75)
    reference = Reference(body, exposure, 0.75)
    t = reference.solve(start_c)
    r, h, d = body.radius, body.height, body.coat
    side = reference.mean(t, (r, r + d), (0.4 * h, 0.6 * h))
    top = reference.mean(t, (0.0, 0.5 * r), (h, h + d))
    edge = reference.mean(t, (r, r + d), (h, h + d))
    filling = reference.mean(t, (0.6 * r, r), (0.0, h))
    late = exposure.hours >= 5 / 60
    # 0.3 K is what the advice allows its temperatures; the surface is one temperature for each zone here and
    # varies along it there. Seen to fail: with edges no wider than the coat is thick, 0.4 K too warm where dew settles;
    # with modes for half as much film again as that of dry air, 0.5 K too warm on a sunlit top.
    assert np.abs(warming.coat[0, :, 0] - np.maximum(side, top))[late].max() < 0.3
    assert np.abs(warming.edge[0, :, 0] - edge)[late].max() < 0.3
    assert np.abs(warming.filling[0, :, 0] - filling)[late].max() < 0.3


# Seen to fail: with the slope of a surface less than half a kelvin below the dew point taken as half a kelvin's.
@pytest.mark.parametrize("wind_mps", [0.1, 1.0, 4.0, 8.0])
@pytest.mark.parametrize(("air_c", "humidity_pct"), [(24.0, 95.0), (33.0, 84.0), (36.0, 99.0)])
def test_surface_settles_where_dew_comes_and_goes(
    monkeypatch, make_body, make_exposure, wide_draws, wind_mps, air_c, humidity_pct
):
    exposure = make_exposure(air_c, humidity_pct=humidity_pct, wind_mps=wind_mps)
    usual = warm_up([make_body()], exposure, wide_draws, 4.0, ABSORPTANCE)
    monkeypatch.setattr(warming_module, "_SETTLED_K", 1e-9)
    monkeypatch.setattr(warming_module, "_NEWTON_STEPS", 101)
    settled = warm_up([make_body()], exposure, wide_draws, 4.0, ABSORPTANCE)
    for name in ("coat", "edge", "surface"):
        assert np.abs(getattr(usual, name) - getattr(settled, name)).max() < 0.02


# Physics: what never cools a coat


bodies = st.builds(
    TierBody,
    radius=st.floats(0.04, 0.2),
    height=st.floats(0.05, 0.2),
    coat=st.floats(0.004, 0.015),
    cake_conductivity=st.floats(0.08, 0.2),
    cake_capacity=st.floats(0.5e6, 1.5e6),
    coat_conductivity=st.floats(0.15, 0.27),
    coat_capacity=st.floats(1.7e6, 3e6),
)
surroundings = st.fixed_dictionaries(
    {
        "air_c": st.floats(15, 40),
        "swing_k": st.floats(0, 12),
        "humidity_pct": st.floats(20, 90),
        "wind_mps": st.floats(0, 8),
        "sun_side": st.floats(0, 800),
        "sun_top": st.floats(0, 1000),
        "travel_h": st.sampled_from([0.0, 0.75]),
    }
)
starts = st.floats(-2, 25)
few = settings(max_examples=12, deadline=None)


def never_cooler(warm, cold):
    """Compare what counts for a hold, the warmest so far.

    The heat equation keeps this order exactly. The scheme keeps it to a thousandth of a kelvin over 400 random
    cases of each test; in wetter air than theirs to 0.07 K, as a zone of the surface takes up dew as one.
    """
    for name in ("coat", "edge", "filling"):
        courses = (np.maximum.accumulate(getattr(each, name), axis=1) for each in (warm, cold))
        assert np.subtract(*courses).min() >= -0.05, name


def warmed(body, exposure, start_c, absorptance=0.3):
    return warm_up([body], exposure, Draws.none(), start_c, absorptance)


@few
@given(bodies, surroundings, starts, st.floats(0.1, 5))
def test_hotter_air_never_cools_the_coat(make_exposure, body, around, start_c, more):
    exposure = make_exposure(**around)
    hotter = replace(
        exposure,
        air_c=exposure.air_c + more,
        radiant_side_c=exposure.radiant_side_c + more,
        radiant_top_c=exposure.radiant_top_c + more,
    )
    never_cooler(warmed(body, hotter, start_c), warmed(body, exposure, start_c))


@few
@given(bodies, surroundings, starts, st.floats(0.1, 5))
def test_warmer_start_never_cools_the_coat(make_exposure, body, around, start_c, more):
    exposure = make_exposure(**around)
    never_cooler(warmed(body, exposure, start_c + more), warmed(body, exposure, start_c))


@few
@given(bodies, surroundings, starts, st.floats(1, 300))
def test_more_sun_never_cools_the_coat(make_exposure, body, around, start_c, more):
    sunnier = {**around, "sun_side": around["sun_side"] + more, "sun_top": around["sun_top"] + more}
    never_cooler(
        warmed(body, make_exposure(**sunnier), start_c), warmed(body, make_exposure(**around), start_c)
    )


@few
@given(bodies, surroundings, starts, st.floats(0.05, 0.9), st.floats(0.01, 0.1))
def test_darker_coat_is_never_cooler(make_exposure, body, around, start_c, absorptance, more):
    exposure = make_exposure(**around)
    dark, light = (warmed(body, exposure, start_c, a) for a in (absorptance + more, absorptance))
    never_cooler(dark, light)


@few
@given(bodies, surroundings, st.floats(-2, 12), st.floats(1, 10))
def test_wetter_air_never_cools_the_coat(make_exposure, body, around, start_c, more):
    wetter = make_exposure(**{**around, "humidity_pct": around["humidity_pct"] + more})
    never_cooler(warmed(body, wetter, start_c), warmed(body, make_exposure(**around), start_c))


@few
@given(bodies, surroundings, starts)
def test_course_stays_within_what_surrounds_it(make_exposure, body, around, start_c):
    exposure = make_exposure(**{**around, "sun_side": 0.0, "sun_top": 0.0})
    warming = warmed(body, exposure, start_c)
    warmest = max(start_c, exposure.air_c.max())
    # Condensing water may hold the surface at the dew point, itself never above the air. 0.05 K for the shapes left
    # out.
    for course in (warming.coat, warming.edge, warming.filling, warming.core):
        assert course.max() <= warmest + 0.05
        assert course.min() >= min(start_c, exposure.air_c.min()) - 0.05


# Draws


@pytest.mark.parametrize(("k", "c"), [(0.8, 1.0), (1.25, 1.15), (1.0, 0.88), (0.85, 1.1)])
def test_factors_of_conductivity_and_capacity_are_a_body_with_those_properties(
    make_body, make_exposure, k, c
):
    body = make_body()
    scaled = TierBody(
        body.radius, body.height, body.coat, k * body.cake_conductivity, c * body.cake_capacity, k *
        body.coat_conductivity, c * body.coat_capacity,
    )  # fmt: skip
    exposure = make_exposure(**SCENARIOS["sun"], humidity_pct=75.0)
    one = Draws.none()
    drawn = replace(one, conductivity=k * one.conductivity, capacity=c * one.capacity)
    by_factor = warm_up([body], exposure, drawn, 4.0, ABSORPTANCE, [tier_modes(body, 12.5)])
    by_body = warm_up([scaled], exposure, one, 4.0, ABSORPTANCE, [tier_modes(scaled, 12.5 * k)])
    # Similarity is exact when the film is scaled with the conductivity: rounding alone.
    assert by_factor.coat == pytest.approx(by_body.coat, abs=1e-8)
    assert by_factor.sweat_g_m2 == pytest.approx(by_body.sweat_g_m2, rel=1e-8)


def test_draws_and_bodies_stepped_together_are_those_stepped_alone(make_body, make_exposure, wide_draws):
    pair = [make_body(), make_body(radius=0.075, coat_conductivity=0.25)]
    exposure = make_exposure(**SCENARIOS["after a drive"])
    together = warm_up(pair, exposure, wide_draws, 4.0, ABSORPTANCE)
    third = Draws(*(getattr(wide_draws, f)[3:4] for f in wide_draws.__slots__))
    alone = warm_up(pair[1:], exposure, third, 4.0, ABSORPTANCE)
    # 0.1 mK: as long as any draw is wet all take the extra steps towards their balance.
    assert together.coat[1, :, 3] == pytest.approx(alone.coat[0, :, 0], abs=1e-4)


def test_absorbed_sun_is_at_most_all_of_it(make_body, make_exposure):
    exposure = make_exposure(**SCENARIOS["sun"])
    black = warm_up([make_body()], exposure, Draws.none(), 4.0, 1.0)
    more = warm_up([make_body()], exposure, replace(Draws.none(), sun=np.array([1.5])), 4.0, 0.9)
    assert more.coat == pytest.approx(black.coat)


# Sweating


def test_cake_sweats_only_out_of_its_box_and_below_the_dew_point(make_body, make_exposure):
    dry = warm_up([make_body()], make_exposure(30.0, humidity_pct=50.0), Draws.none(), 20.0, ABSORPTANCE)
    assert float(dew_point(30.0, 50.0)) < 20
    assert (float(dry.sweat_g_m2[0, 0]), float(dry.sweat_h[0, 0])) == (0.0, 0.0)
    cold = warm_up([make_body()], make_exposure(30.0, humidity_pct=50.0), Draws.none(), 4.0, ABSORPTANCE)
    boxed = make_exposure(30.0, humidity_pct=50.0)
    boxed = replace(boxed, is_boxed=np.ones_like(boxed.is_boxed))
    in_box = warm_up([make_body()], boxed, Draws.none(), 4.0, ABSORPTANCE)
    assert cold.sweat_g_m2[0, 0] > 0
    assert cold.sweat_h[0, 0] > 0
    assert in_box.sweat_g_m2[0, 0] == 0
    # The dew brings its heat of condensation along.
    assert cold.coat[0, :, 0].max() >= in_box.coat[0, :, 0].max()
    assert np.all(cold.coat[0, 1:8, 0] > in_box.coat[0, 1:8, 0])


@pytest.mark.parametrize("start_c", [4.0, 12.0, 21.0, 31.0])
@pytest.mark.parametrize("travel_h", [0.0, 0.75])
@pytest.mark.parametrize("humidity", [40.0, 70.0, 95.0, 99.0])
@pytest.mark.parametrize("swing_k", [0.0, 12.0])
def test_ending_early_misses_no_time_below_the_dew_point(
    make_body, make_exposure, wide_draws, start_c, travel_h, humidity, swing_k
):
    # Air that falls in the evening could bring a side below the dew point again: then nothing ends early.
    boxed = make_exposure(30.0, swing_k=swing_k, humidity_pct=humidity, travel_h=travel_h)
    boxed = replace(boxed, is_boxed=np.ones_like(boxed.is_boxed))
    bodies = [make_body(), replace(make_body(), radius=0.05)]
    whole = warm_up(bodies, boxed, wide_draws, start_c, 0.0)
    dew = dew_point(20.0, 100 * boxed.vapour_pa / saturation_pressure(20.0))
    is_below = (whole.surface.min(axis=0) < dew[:, None]) & (boxed.hours >= 0)[:, None]
    last = np.where(is_below, boxed.hours[:, None], 0.0).max(axis=0)
    np.testing.assert_array_equal(hours_below_dew(bodies, boxed, wide_draws, start_c), last)


@pytest.mark.parametrize(
    ("air_c", "humidity", "grams", "minutes"),
    [(24.0, 70.0, 42, 84), (27.0, 70.0, 61, 96), (30.0, 60.0, 48, 63), (30.0, 80.0, 134, 179)],
)
def test_sweat_has_the_size_of_an_earlier_model_of_another_make(
    make_exposure, air_c, humidity, grams, minutes
):
    # Figures of a separate axisymmetric model of a 20 x 12 cm cake from 4 °C in still air, not a measurement;
    # its coat and crumb were slightly different. A third either way tells haze from beads.
    body = TierBody(0.10, 0.12, 0.007, 0.15, 450 * 2500, 0.20, 900 * 2400)
    warming = warm_up([body], make_exposure(air_c, humidity_pct=humidity), Draws.none(), 4.0, ABSORPTANCE)
    assert float(warming.sweat_g_m2[0, 0]) == pytest.approx(grams, rel=0.33)
    assert 60 * float(warming.sweat_h[0, 0]) == pytest.approx(minutes, rel=0.33)
