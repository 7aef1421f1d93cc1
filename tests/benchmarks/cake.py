"""The warming of a cake over 8 h: ours beside a fine grid and beside scipy's stiff integrators, equally accurate.

Run ``python -m tests.benchmarks.cake [scenarios] [sample]``. All three start from the same finite volumes with the
same balance at their surface. scipy is given the exact Jacobian, and for it the method and tolerance are sought that
are fastest within 0.1 K of the coat's temperature; what it needs for many scenarios is extrapolated from a sample, as
it takes one after the other. Errors are those of the coat from five minutes on, at the times of the course: against
the same equations solved tightly, and against the fine grid with fine steps. A geometry is solved from its sizes on,
the eigenproblem included; no geometry comes twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import count, product
from statistics import median
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]

from tests.benchmarks.rows import Row, asked, at_least, at_most, exponent, late, measured, once, show
from tests.thermal.draws import draws_outdoors
from webapp.thermal.air import diurnal_air
from webapp.thermal.exposure import Exposure, course_times
from webapp.thermal.film import (
    EMISSIVITY,
    STEFAN_BOLTZMANN,
    forced_film,
    natural_side_strength,
    natural_top_strength,
)
from webapp.thermal.humid import LATENT_HEAT, condensing, saturation_pressure
from webapp.thermal.tier import _EDGE_CELLS, TierBody, TierModes, _mesh, _outputs, tier_modes
from webapp.thermal.uncertainty import Draws
from webapp.thermal.warming import _nearest_film, warm_up

Array = np.ndarray[Any, np.dtype[np.float64]]

# A butter cake under a meringue buttercream, 20 x 12 cm, 7 mm of coat, from the fridge into a warm afternoon.
CAKE = TierBody(0.10, 0.12, 0.007, 0.125, 420 * 2405, 0.20, 900 * 2500)
START_C, ABSORPTANCE, HOURS, WIND_MPS = 4.0, 0.5, 8.0, 1.0
CAKE_CELLS, COAT_CELLS = 8, 3
FINE = {"cake_cells": 16, "coat_cells": 6, "paces": None}
WITHIN_K, GOAL, GROWTH = 0.1, 50, 1.1
METHODS, TOLERANCES = ("BDF", "Radau", "LSODA"), (1e-1, 3e-2, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4)
ROUNDS = 9


def afternoon(refine: int = 1) -> Exposure:
    """Return 8 h in the shade on a day of 31 °C, with a light wind."""
    hours = course_times(0.0, HOURS, refine)
    air = diurnal_air(13 + hours, 22.0, 31.0, 6.0, 20.0)
    calm, none = np.ones_like(hours), np.zeros_like(hours)
    vapour = np.minimum(0.5 * float(saturation_pressure(31.0)), saturation_pressure(air))
    return Exposure(hours, air, vapour, calm, air, air, none + 100, none + 150, none.astype(bool))


def one_of(draws: Draws, place: int) -> Draws:
    """Return one draw alone."""
    names = ("air_k", "radiant_k", "film", "sun", "conductivity", "capacity")
    return Draws(**{name: getattr(draws, name)[place : place + 1] for name in names})


def new_bodies(seeds: Iterator[int], number: int) -> list[TierBody]:
    """Return cakes of sizes that were not there before."""
    random = np.random.default_rng(next(seeds))
    sizes = random.uniform((0.05, 0.06, 0.004), (0.20, 0.18, 0.012), (number, 3))
    return [replace(CAKE, radius=r, height=h, coat=d) for r, h, d in sizes.tolist()]


@dataclass(frozen=True, slots=True, eq=False)
class Equations:
    """The finite volumes of one cake in one draw, as a system that scipy integrates: ``C dT/dt = -K T + G u(T)``."""

    exposure: Exposure
    draw: Draws
    film: float  # between the outside and what it sees; any will do, but it spreads a zone's flux over its cells
    capacity: Array
    stiffness: Array
    inflow: Array  # (cells, zones)
    mean: Array  # (zones, cells), the outer cells of each zone
    half: Array
    read: Array
    forced: float
    strength: Array

    @classmethod
    def of(cls, body: TierBody, exposure: Exposure, draw: Draws) -> Equations:
        """Assemble them from the mesh of the product."""
        k, c = float(draw.conductivity[0]), float(draw.capacity[0])
        film = k * _nearest_film(body, WIND_MPS)
        body = replace(
            body,
            cake_conductivity=k * body.cake_conductivity,
            cake_capacity=c * body.cake_capacity,
            coat_conductivity=k * body.coat_conductivity,
            coat_capacity=c * body.coat_capacity,
        )
        mesh, capacity = _mesh(body, CAKE_CELLS, COAT_CELLS)
        index = np.arange(capacity.size).reshape(capacity.shape)
        outer = ((index[-1], mesh.side_areas, mesh.side_half), (index[:, -1], mesh.top_areas, mesh.top_half))
        inner = CAKE_CELLS - _EDGE_CELLS
        parts = (slice(None, inner), slice(inner, None))
        inflow, mean = np.zeros((capacity.size, 4)), np.zeros((4, capacity.size))
        for zone, ((cells, areas, half), part) in enumerate(product(outer, parts)):
            inflow[cells[part], zone] = areas[part] / (1 / film + 1 / half)
            mean[zone, cells[part]] = areas[part] / areas[part].sum()
        # Both faces of the corner's cells add up, which is why the outflow is summed over the zones.
        stiffness = np.diag(mesh.conductances.sum(axis=1) + inflow.sum(axis=1)) - mesh.conductances
        width, side = 2 * (body.radius + body.coat), natural_side_strength(body.height + body.coat)
        top = natural_top_strength(width, is_cooler_than_air=True)
        return cls(
            exposure,
            draw,
            film,
            capacity.ravel(),
            stiffness,
            inflow,
            mean,
            np.array([mesh.side_half] * 2 + [mesh.top_half] * 2),
            _outputs(body, mesh),
            float(forced_film(WIND_MPS, width)),
            np.array([side, side, top, top]),
        )

    def surface(self, seconds: float, cells: Array) -> tuple[Array, Array]:
        """Return what the outside of each zone sees [°C], and how that follows its outer cells [K/K]."""
        inside, e, hour = self.mean @ cells, self.exposure, seconds / 3600
        air = np.interp(hour, e.hours, e.air_c)
        radiant = air + self.draw.radiant_k[0] + 273.15
        air = air + self.draw.air_k[0]
        vapour = float(np.interp(hour, e.hours, e.vapour_pa))
        absorbed = min(1.0, ABSORPTANCE * float(self.draw.sun[0]))
        sun = absorbed * np.array([e.sun_side[0], e.sun_side[0], e.sun_top[0], e.sun_top[0]])
        warm = inside + 0.3 * (air - inside)
        for _ in range(12):
            film = (self.forced**4 + self.strength**4 * np.abs(air - warm)) ** 0.25 * self.draw.film[0]
            water = LATENT_HEAT * condensing(film, vapour, np.full(4, air), warm)
            wetter = LATENT_HEAT * condensing(film, vapour, np.full(4, air), warm + 0.01)
            radiated = EMISSIVITY * STEFAN_BOLTZMANN * (radiant**4 - (warm + 273.15) ** 4)
            gain = film * (air - warm) + radiated + sun + water
            slope = -film - 4 * EMISSIVITY * STEFAN_BOLTZMANN * (warm + 273.15) ** 3 + (wetter - water) / 0.01
            step = (gain - self.half * (warm - inside)) / (self.half - slope)
            warm = warm + step
            if np.abs(step).max() < 1e-6:
                break
        return warm + self.half * (warm - inside) / self.film, self.half / (self.half - slope) * (1 + slope / self.film)

    def rates(self, seconds: float, cells: Array) -> Array:
        """Return the change of each cell's temperature [K/s]."""
        seen, _ = self.surface(seconds, cells)
        return np.asarray((self.inflow @ seen - self.stiffness @ cells) / self.capacity)

    def jacobian(self, seconds: float, cells: Array) -> Array:
        """Return how the rates follow the temperatures [1/s]."""
        _, follows = self.surface(seconds, cells)
        return np.asarray(((self.inflow * follows) @ self.mean - self.stiffness) / self.capacity[:, None])

    def coat(self, method: str, tolerance: float) -> Array:
        """Integrate, and return the coat's temperature at the times of the course."""
        seconds = 3600 * self.exposure.hours
        begin = np.full(self.capacity.size, START_C)
        found = solve_ivp(
            self.rates, (0, seconds[-1]), begin, method, seconds, rtol=tolerance, atol=10 * tolerance,
            jac=self.jacobian,
        )  # fmt: skip
        return np.asarray((self.read @ found.y)[:2].max(axis=0))


def error_k(coat: Array, exact: Array, hours: Array) -> float:
    """Return the greatest difference [K] from five minutes on."""
    return float(np.abs(coat - exact)[..., hours >= 5 / 60].max())


def fastest(equations: Equations) -> tuple[str, float, float]:
    """Seek the method and tolerance of scipy that are fastest within the accuracy; return its error too."""
    exact, hours = equations.coat("BDF", 1e-8), equations.exposure.hours
    tried = []
    for method, tolerance in product(METHODS, TOLERANCES):
        run = partial(equations.coat, method, tolerance)
        error = error_k(run(), exact, hours)
        if error <= WITHIN_K:
            tried.append((min(once(run) for _ in range(3)), method, tolerance, error))
    _, method, tolerance, error = min(tried)
    return method, tolerance, error


def errors(sample: int) -> Iterator[Row]:
    """Say how far ours is from the same equations solved tightly, over some draws, and from a fine grid."""
    exposure, draws = afternoon(), draws_outdoors(sample)
    ours = warm_up([CAKE], exposure, draws, START_C, ABSORPTANCE).coat[0].T
    tight = [Equations.of(CAKE, exposure, one_of(draws, n)).coat("BDF", 1e-8) for n in range(sample)]
    fine = _fine(afternoon(4), [fine_modes_of(CAKE)], draws)[::4].T
    hours, exact = exposure.hours, np.array(tight)
    yield _errors_row("ours against the equations solved tightly", ours, exact, hours, at_most_error=True)
    yield _errors_row("ours against fine grid, fine steps", ours, fine, hours)
    yield _errors_row("solved tightly against fine grid, fine steps", exact, fine, hours)


def _errors_row(work: str, coats: Array, exact: Array, hours: Array, *, at_most_error: bool = False) -> Row:
    """Give median, 95th percentile and maximum of the errors; those of the grid are the same for all that use it."""
    off = [error_k(*each, hours) for each in zip(coats, exact, strict=True)]
    goal = at_most(max(off), WITHIN_K) if at_most_error else "no goal: the grid's share"
    return Row("cake, error", f"{work}, {len(off)} draws", median(off), late(off), max(off), goal, "K")


def fine_modes_of(body: TierBody) -> TierModes:
    """Solve a body on cells half as wide, keeping every mode."""
    return tier_modes(body, _nearest_film(body, WIND_MPS), **FINE)


def _fine(exposure: Exposure, modes: list[TierModes], draws: Draws) -> Array:
    return np.asarray(warm_up([CAKE], exposure, draws, START_C, ABSORPTANCE, modes).coat[0])


def fine_from_sizes(body: TierBody) -> object:
    """Solve one geometry on the fine grid with fine steps, from its sizes on."""
    modes = [fine_modes_of(body)]
    return warm_up([body], afternoon(4), Draws.none(), START_C, ABSORPTANCE, modes)


def rows(scenarios: int = 1000, sample: int = 20) -> Iterator[Row]:
    """Measure one scenario, many draws of one geometry and many geometries, each beside its baselines."""
    yield from errors(sample)
    exposure, plain, seeds = afternoon(), Draws.none(), count(1)
    method, tolerance, error = fastest(Equations.of(CAKE, exposure, plain))
    name = f"scipy {method}, tolerance {tolerance:g}"
    yield Row("cake, error", f"{name}, against it solved tightly", error, None, error, at_most(error, WITHIN_K), "K")

    def ours_of(draws: Draws) -> object:
        return warm_up([CAKE], exposure, draws, START_C, ABSORPTANCE)

    def scipy_of(draw: Draws, body: TierBody = CAKE) -> object:
        return Equations.of(body, exposure, draw).coat(method, tolerance)

    def ours_from_sizes(number: int) -> object:
        return warm_up(new_bodies(seeds, number), exposure, plain, START_C, ABSORPTANCE)

    draws, fine_modes = draws_outdoors(scenarios), [fine_modes_of(CAKE)]
    some = [one_of(draws, int(n)) for n in np.linspace(0, scenarios - 1, sample)]
    bodies = new_bodies(seeds, sample)
    fine = afternoon(4)
    few = max(3, sample // 4)
    works: tuple[tuple[str, int, Callable[[], object], list[float], list[float]], ...] = (
        (
            "one scenario",
            1,
            partial(ours_of, plain),
            measured(partial(scipy_of, plain), ROUNDS),
            measured(partial(_fine, fine, fine_modes, plain), ROUNDS),
        ),
        (
            f"{scenarios:,} draws, one geometry",
            scenarios,
            partial(ours_of, draws),
            [once(partial(scipy_of, draw)) for draw in some],
            [each / scenarios for each in measured(partial(_fine, fine, fine_modes, draws), 2)],
        ),
        (
            f"{scenarios:,} geometries",
            scenarios,
            partial(ours_from_sizes, scenarios),
            [once(partial(scipy_of, plain, body)) for body in bodies],
            [once(partial(fine_from_sizes, body)) for body in bodies[:few]],
        ),
    )
    for work, number, run, by_scipy, by_fine in works:
        spent = measured(run, ROUNDS if number == 1 else 4)
        took, rate = median(spent), 1000 * number / median(spent)
        yield Row("cake", f"{work}, ours: {rate:,.0f} scenarios/s", took, late(spent))
        for baseline, each in ((name, by_scipy), ("fine grid, fine steps", by_fine)):
            whole, ratio = number * float(np.mean(each)), number * float(np.mean(each)) / took
            goal = at_least(ratio, GOAL) if each is by_scipy else "no goal"
            yield Row("cake", f"{work}, {baseline}", whole, number * late(each), ratio, goal)
    yield from growth(ours_of, ours_from_sizes, scenarios)


def growth(ours_of: Callable[[Draws], object], ours_from_sizes: Callable[[int], object], most: int) -> Iterator[Row]:
    """Fit how the cost grows from a hundredth of the scenarios to ten times as many draws."""
    sizes = [most // 100 or 1, most // 10 or 1, most]
    many = [*sizes, 10 * most]
    spent = [median(measured(partial(ours_of, draws_outdoors(n)), 3)) for n in many]
    slope = exponent(many, spent)
    yield Row(
        "cake, growth", f"draws {many[0]:,} to {many[-1]:,}, exponent", spent[-1], None, slope, at_most(slope, GROWTH)
    )
    spent = [median(measured(partial(ours_from_sizes, n), 3)) for n in sizes]
    slope = exponent(sizes, spent)
    work = f"geometries {sizes[0]:,} to {sizes[-1]:,}, exponent"
    yield Row("cake, growth", work, spent[-1], None, slope, at_most(slope, GROWTH))


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 1000), asked(2, 20)))


if __name__ == "__main__":
    main()
