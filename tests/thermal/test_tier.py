from __future__ import annotations

import numpy as np
import pytest

from webapp.thermal.tier import OUTPUTS, PACES, ZONES, tier_modes
from webapp.thermal.warming import FILM_LADDER

FILM = 10.0


def stepped(modes, seconds, start_c, around_c):
    """Closed form of each mode in constant surroundings: amplitudes (modes, times)."""
    fade = np.exp(-np.outer(modes.decay, seconds))
    return modes.start[:, None] * start_c * fade + (modes.drive @ around_c / modes.decay)[:, None] * (
        1 - fade
    )


@pytest.fixture
def modes(make_body):
    return tier_modes(make_body(), FILM)


@pytest.fixture
def every_mode(make_body):
    return tier_modes(make_body(), FILM, paces=None)


def test_capacity_is_that_of_cake_and_coat(make_body, modes):
    body = make_body()
    cake = np.pi * body.radius**2 * body.height
    whole = np.pi * (body.radius + body.coat) ** 2 * (body.height + body.coat)
    expected = cake * body.cake_capacity + (whole - cake) * body.coat_capacity
    # Volumes are exact rings: rounding alone.
    assert modes.capacity == pytest.approx(expected, rel=1e-12)


def test_zones_cover_side_and_top_and_leave_out_the_board(make_body, modes):
    body = make_body()
    side, side_edge, top, top_edge = modes.areas
    outer, whole = body.radius + body.coat, body.height + body.coat
    assert side + side_edge == pytest.approx(2 * np.pi * outer * whole)
    assert top + top_edge == pytest.approx(np.pi * outer**2)
    # The edges reach a cell of cake further than the coat is thick, as far on a grid that splits the cells.
    below, inwards = side_edge / (2 * np.pi * outer), outer - np.sqrt(top / np.pi)
    assert 0.034 < (below - body.coat) / body.height < 0.036
    assert 0.034 < (inwards - body.coat) / body.radius < 0.036
    finer = tier_modes(body, FILM, cake_cells=24, coat_cells=9)
    assert finer.areas == pytest.approx(modes.areas)


def test_modes_decay_from_slow_to_fast(every_mode):
    assert every_mode.decay[0] > 0
    assert np.all(np.diff(every_mode.decay) >= 0)


def test_temperature_throughout_is_read_back(every_mode):
    found = every_mode.read @ (7.0 * every_mode.start)
    reads_inside = found[len(ZONES) :]
    assert reads_inside == pytest.approx(7.0, rel=1e-9)
    assert float(every_mode.store @ every_mode.start) == pytest.approx(every_mode.capacity, rel=1e-9)


def test_everything_ends_at_the_temperature_around(modes):
    around = np.full(len(ZONES), 30.0)
    state = stepped(modes, np.array([1e7]), 4.0, around)[:, 0]
    # Four months: rounding of the sums alone.
    assert modes.read @ state + modes.at_once @ around == pytest.approx(30.0, abs=1e-6)
    assert modes.store @ state == pytest.approx(30 * modes.capacity, rel=1e-9)


@pytest.mark.parametrize("paces", [(), (1e-3,), PACES, None])
def test_heat_stored_rises_by_what_flows_through_the_outside(make_body, paces):
    modes = tier_modes(make_body(), FILM, paces=paces)
    around = np.array([30.0, 40.0, 35.0, 50.0])
    state = stepped(modes, np.array([900.0]), 4.0, around)[:, 0]
    rise = modes.store @ (modes.drive @ around - modes.decay * state)
    surface = (modes.read @ state + modes.at_once @ around)[: len(ZONES)]
    # The volumes conserve heat exactly, whatever the shapes kept: rounding alone.
    assert rise == pytest.approx(FILM * modes.areas @ (around - surface), rel=1e-9)


def test_warmth_at_one_zone_warms_everything(every_mode):
    for zone in range(len(ZONES)):
        around = np.zeros(len(ZONES))
        around[zone] = 1.0
        state = stepped(every_mode, np.array([3600.0]), 0.0, around)[:, 0]
        found = every_mode.read @ state + every_mode.at_once @ around
        assert np.all(found > 0)
        assert np.all(found < 1)


@pytest.mark.parametrize("film", [FILM_LADDER[0], 15.5, FILM_LADDER[-1]])
@pytest.mark.parametrize(("radius", "height"), [(0.03, 0.04), (0.1, 0.1), (0.3, 0.2)])
def test_shapes_left_out_do_not_matter(make_body, radius, height, film):
    # On a step of 26 K of every zone, and of each zone alone: 0.05 K from the first half minute on.
    body, seconds = make_body(radius=radius, height=height), np.geomspace(30.0, 12 * 3600.0, 60)
    few, all_ = (tier_modes(body, film, **kept) for kept in ({}, {"paces": None}))
    for around in (np.full(len(ZONES), 30.0), *(4.0 + 26.0 * np.eye(len(ZONES)))):
        found, exact = (m.read @ stepped(m, seconds, 4.0, around) + (m.at_once @ around)[:, None] for m in (few, all_))
        assert np.abs(found - exact).max() < 0.05


def test_places_do_not_move_with_the_grid(make_body):
    # A linear read of a still body: every grid gives the same temperature at every place, and its mass.
    around, seconds = np.full(len(ZONES), 30.0), np.array([3600.0])
    found = []
    for cake, coat in ((8, 3), (16, 6), (24, 9)):
        m = tier_modes(make_body(), FILM, cake_cells=cake, coat_cells=coat, paces=None)
        found.append((m.read @ stepped(m, seconds, 4.0, around)[:, 0] + m.at_once @ around)[len(ZONES) :])
    # 0.1 K in an hour on a step of 26 K from the usual grid, 0.03 K from the halved one.
    assert np.abs(found[0] - found[2]).max() < 0.1
    assert np.abs(found[1] - found[2]).max() < 0.03


def test_edge_warms_before_top_and_side_and_the_core_last(make_body, modes):
    around = np.full(len(ZONES), 30.0)
    found = modes.read @ stepped(modes, np.array([1800.0]), 4.0, around)[:, 0] + modes.at_once @ around
    side, top, edge, filling, core = found[len(ZONES) :]
    assert edge > max(side, top)
    assert min(side, top) > filling > core
    assert len(found) == len(ZONES) + len(OUTPUTS)


def test_same_body_is_solved_once(make_body):
    assert tier_modes(make_body(), FILM) is tier_modes(make_body(), FILM)
