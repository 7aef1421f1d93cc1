"""The tier against exact solutions of the heat equation, computed here from roots and Bessel functions."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

from webapp.thermal.tier import OUTPUTS, ZONES, TierBody, tier_modes

TERMS = 120
START_C, AROUND_C = 4.0, 30.0
MINUTES = np.array([5.0, 10.0, 20.0, 40.0, 60.0, 120.0, 240.0, 480.0])


@cache
def wall_series(biot):
    """Roots of z tan z = Bi and their coefficients: a slab insulated at 0, convection at 1."""
    edges = [(n * np.pi + 1e-12, n * np.pi + np.pi / 2 - 1e-12) for n in range(TERMS)]
    z = np.array([brentq(lambda x: x * np.sin(x) - biot * np.cos(x), *edge) for edge in edges])
    return z, 4 * np.sin(z) / (2 * z + np.sin(2 * z))


@cache
def cylinder_series(biot):
    """Roots of z J1(z) = Bi J0(z) and their coefficients: a long cylinder with convection at 1."""
    ends = np.concatenate([[1e-12], jn_zeros(1, TERMS)])
    z = np.array(
        [brentq(lambda x: x * j1(x) - biot * j0(x), a, b) for a, b in zip(ends, ends[1:], strict=False)]
    )
    return z, 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2)


def wall_mean(biot, fourier, low, high):
    """Mean of the dimensionless temperature of the slab between two shares of its thickness."""
    z, c = wall_series(biot)
    shape = (np.sin(z * high) - np.sin(z * low)) / (z * (high - low))
    return (c * shape * np.exp(-np.outer(fourier, z**2))).sum(axis=1)


def cylinder_mean(biot, fourier, inner, outer):
    """Volume mean of the dimensionless temperature between two shares of the radius."""
    z, c = cylinder_series(biot)
    shape = 2 * (outer * j1(z * outer) - inner * j1(z * inner)) / (z * (outer**2 - inner**2))
    return (c * shape * np.exp(-np.outer(fourier, z**2))).sum(axis=1)


def places(body):
    """Radii and heights [m] of the places that OUTPUTS report, by hand."""
    r, h, d = body.radius, body.height, body.coat
    return {
        "side coat": ((r, r + d), (0.4 * h, 0.6 * h)),
        "top coat": ((0.0, 0.5 * r), (h, h + d)),
        "edge coat": ((r, r + d), (h, h + d)),
        "filling": ((0.6 * r, r), (0.0, h)),
        "core": ((0.0, 0.25 * r), (0.25 * h, 0.75 * h)),
    }


def exact_means(body, film, seconds):
    """Temperatures [°C] of OUTPUTS of a homogeneous tier, insulated below, by the product of series."""
    k, capacity = body.coat_conductivity, body.coat_capacity
    radius, height = body.radius + body.coat, body.height + body.coat
    means = []
    for name in OUTPUTS:
        (r0, r1), (z0, z1) = places(body)[name]
        ring = cylinder_mean(film * radius / k, k / capacity * seconds / radius**2, r0 / radius, r1 / radius)
        slab = wall_mean(film * height / k, k / capacity * seconds / height**2, z0 / height, z1 / height)
        means.append(AROUND_C + (START_C - AROUND_C) * ring * slab)
    return np.array(means)


def stepped(modes, seconds, start_c=START_C, around_c=AROUND_C):
    """Closed form of each mode in constant surroundings, read at the zones and OUTPUTS."""
    fade = np.exp(-np.outer(modes.decay, seconds))
    around = np.full(len(ZONES), around_c)
    state = modes.start[:, None] * start_c * fade + (modes.drive @ around / modes.decay)[:, None] * (1 - fade)
    return modes.read @ state + (modes.at_once @ around)[:, None]


def one_kind(radius, height, coat, conductivity=0.2, capacity=1.5e6):
    """A tier of one material throughout, given by its outer sizes."""
    return TierBody(radius - coat, height - coat, coat, conductivity, capacity, conductivity, capacity)


def one_term_rows():
    with (Path(__file__).parent / "conduction_one_term.csv").open() as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("row", one_term_rows(), ids=lambda row: f"{row['shape']} Bi {row['biot']}")
def test_first_term_of_the_series_is_the_tabled_one(row):
    series = {"wall": wall_series, "cylinder": cylinder_series}[row["shape"]]
    z, c = (values[0] for values in series(float(row["biot"])))
    # 6e-5: the table is rounded at the fourth decimal.
    assert z == pytest.approx(float(row["zeta1"]), abs=6e-5)
    assert c == pytest.approx(float(row["c1"]), abs=6e-5)


def test_series_starts_at_the_initial_temperature():
    # Before the cold has come 5 % of the way in, the inner half still is as it was (120 terms: 1e-6).
    assert wall_mean(5.0, np.array([1e-3]), 0.0, 0.5) == pytest.approx(1.0, abs=1e-6)
    assert cylinder_mean(5.0, np.array([1e-3]), 0.0, 0.5) == pytest.approx(1.0, abs=1e-6)


SIZES = [
    (0.107, 0.127, 0.007),
    (0.082, 0.107, 0.010),
    (0.157, 0.137, 0.005),
    (0.207, 0.107, 0.015),
    (0.035, 0.04, 0.006),
]


@pytest.mark.parametrize("biot", [0.5, 1.0, 2.0, 5.0, 10.0, 20.0])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]} x {size[1]} m, coat {size[2]} m")
def test_tier_follows_the_exact_finite_cylinder(size, biot):
    body = one_kind(*size)
    film = biot * body.coat_conductivity / size[0]
    error = np.abs(
        stepped(tier_modes(body, film), 60 * MINUTES)[len(ZONES) :] - exact_means(body, film, 60 * MINUTES)
    )
    # 0.3 K is what the advice allows its coat temperatures, here on a step of 26 K; the most, 0.25 K, is used
    # at five minutes by the edge of the tier with the thinnest coat in a wind (Bi 20), and 0.16 K by the
    # filling.
    assert error[: OUTPUTS.index("core")].max() < 0.3
    # The core is read from the largest cells, a quarter of the radius wide, and decides nothing.
    assert error[OUTPUTS.index("core")].max() < 0.4


@pytest.mark.parametrize("biot", [0.5, 2.0, 5.0, 20.0])
def test_coat_is_better_than_a_tenth_of_a_kelvin_on_a_usual_tier(biot):
    body = one_kind(0.107, 0.127, 0.007)
    film = biot * body.coat_conductivity / 0.107
    coat = slice(len(ZONES), len(ZONES) + 3)
    found = stepped(tier_modes(body, film), 60 * MINUTES)[coat]
    assert np.abs(found - exact_means(body, film, 60 * MINUTES)[:3]).max() < 0.1


def test_error_falls_as_the_grid_is_refined():
    body, seconds = one_kind(0.107, 0.127, 0.007), 60 * MINUTES
    errors = [
        np.abs(
            stepped(tier_modes(body, 10.0, cake_cells=8 * n, coat_cells=3 * n, paces=None), seconds)[
                len(ZONES) :
            ]
            - exact_means(body, 10.0, seconds)
        ).max()
        for n in (1, 2, 3)
    ]
    # Second order: every cell halved leaves a quarter of the error, split in three a ninth; a fifth over for
    # the terms of higher order.
    assert errors[1] < 1.2 / 4 * errors[0]
    assert errors[2] < 1.2 / 9 * errors[0]


@pytest.mark.parametrize("biot", [0.5, 2.0, 5.0, 20.0])
def test_slowest_mode_decays_as_the_first_term_of_the_product(biot):
    body = one_kind(0.107, 0.127, 0.007)
    film = biot * 0.2 / 0.107
    ring, slab = cylinder_series(biot)[0][0], wall_series(film * 0.127 / 0.2)[0][0]
    exact = 0.2 / 1.5e6 * (ring**2 / 0.107**2 + slab**2 / 0.127**2)
    # 2 % on the usual grid: the slowest mode spans the coarse inner cells (1.8 % at Bi 20, always too slow).
    assert tier_modes(body, film).decay[0] == pytest.approx(exact, rel=0.02)
    # A quarter of it with every cell halved.
    halved = tier_modes(body, film, cake_cells=16, coat_cells=6)
    assert halved.decay[0] == pytest.approx(exact, rel=0.005)


def two_layer_slab(cake, coat, film, seconds):
    """Surface and coat mean [°C] of cake under coat, insulated below: exact eigenfunctions of the two layers.

    ``cake`` and ``coat`` are (thickness, conductivity, capacity).
    """
    (l1, k1, c1), (l2, k2, c2) = cake, coat

    def wave(x):
        p, q = x * np.sqrt(c1 / k1), x * np.sqrt(c2 / k2)
        return p, q, np.cos(p * l1), -k1 * p * np.sin(p * l1) / (k2 * q)

    def mismatch(x):
        _, q, a, b = wave(x)
        ends = a * np.cos(q * l2) + b * np.sin(q * l2)
        return k2 * q * (-a * np.sin(q * l2) + b * np.cos(q * l2)) + film * ends

    grid = np.linspace(1e-9, 0.6, 60_001)
    signs = np.sign([mismatch(x) for x in grid])
    surface, mean = np.zeros_like(seconds), np.zeros_like(seconds)
    for i in np.flatnonzero(signs[:-1] != signs[1:]):
        x = brentq(mismatch, grid[i], grid[i + 1], xtol=1e-15)
        p, q, a, b = wave(x)
        y = np.linspace(0.0, l2, 2001)
        in_coat = a * np.cos(q * y) + b * np.sin(q * y)
        in_cake = np.cos(p * np.linspace(0.0, l1, 2001))
        weight = c1 * np.trapezoid(in_cake, dx=l1 / 2000) + c2 * np.trapezoid(in_coat, dx=l2 / 2000)
        norm = c1 * np.trapezoid(in_cake**2, dx=l1 / 2000) + c2 * np.trapezoid(in_coat**2, dx=l2 / 2000)
        fade = weight / norm * np.exp(-(x**2) * seconds)
        surface += fade * in_coat[-1]
        mean += fade * np.trapezoid(in_coat, dx=l2 / 2000) / l2
    return AROUND_C + (START_C - AROUND_C) * surface, AROUND_C + (START_C - AROUND_C) * mean


def test_two_layer_slab_is_the_wall_when_both_layers_are_alike():
    seconds = np.array([600.0, 3600.0, 14400.0])
    surface, mean = two_layer_slab((0.113, 0.2, 1.5e6), (0.007, 0.2, 1.5e6), 10.0, seconds)
    fourier = 0.2 / 1.5e6 * seconds / 0.12**2
    wall = AROUND_C + (START_C - AROUND_C) * wall_mean(6.0, fourier, 0.113 / 0.12, 1.0)
    at_end = AROUND_C + (START_C - AROUND_C) * wall_mean(6.0, fourier, 1 - 1e-6, 1.0)
    # 1 mK: both are exact but for the number of terms and the quadrature of the shapes.
    assert mean == pytest.approx(wall, abs=1e-3)
    assert surface == pytest.approx(at_end, abs=1e-3)


def test_very_wide_tier_is_the_exact_two_layer_slab():
    seconds = np.array([300.0, 900.0, 1800.0, 3600.0, 7200.0, 14400.0, 28800.0])
    cake, coat = (0.113, 0.15, 450 * 2500.0), (0.007, 0.2, 900 * 2400.0)
    surface, mean = two_layer_slab(cake, coat, 10.0, seconds)
    body = TierBody(50.0, 0.113, 0.007, *cake[1:], *coat[1:])
    found = stepped(tier_modes(body, 10.0, paces=None), seconds)
    # 0.15 K: at five minutes the front has crossed the coat and a cell and a half of cake; 0.1 K afterwards.
    assert np.abs(found[ZONES.index("top")] - surface)[0] < 0.15
    assert np.abs(found[ZONES.index("top")] - surface)[1:].max() < 0.1
    assert np.abs(found[len(ZONES) + OUTPUTS.index("top coat")] - mean)[1:].max() < 0.1
    assert np.abs(found[len(ZONES) + OUTPUTS.index("top coat")] - mean)[0] < 0.15
