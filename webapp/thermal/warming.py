"""How a tier warms through: all tiers, all coats and all draws of one event stepped together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from webapp.thermal.exposure import Exposure
from webapp.thermal.film import (
    EMISSIVITY,
    STEFAN_BOLTZMANN,
    combined_film,
    forced_film,
    natural_side_strength,
    natural_top_strength,
)
from webapp.thermal.humid import LATENT_HEAT, condensing, dew_point, saturation_pressure
from webapp.thermal.tier import OUTPUTS, ZONES, TierBody, TierModes, tier_modes
from webapp.thermal.uncertainty import Draws

Array = NDArray[np.float64]

# The film coefficients a tier may be solved with; the nearest is taken, the surface balance does the rest.
FILM_LADDER = (6.5, 8.0, 10.0, 12.5, 15.5, 19.0, 24.0, 30.0, 37.0, 46.0, 57.0, 71.0)
# The modes spread a zone's flux over it as if it fell by the film where the surface is warmer. It falls by a little
# more than the film where all is dry and several times as fast where dew forms. With about this many times the film,
# coat and edges are nearest to a solver whose every face has its own balance, over the cases of the tests.
_FILMS_IN_MODES = 1.15
_KELVIN = 273.15
_NEWTON_STEPS = 8  # more than any course needs: where the surface crosses the dew point its slope changes at once
_SHORTEST_H = 1e-9  # a few microseconds change nothing, and a slope over less may be beyond what floats hold
_LEAST_BELOW_DEW_K = 0.01  # dew's slope is its flux over the distance below the dew point; nearer, both vanish
_SETTLED_K = 0.05  # Newton's error falls as the square of its steps; across the dew point 0.02 K of it is left at most
_RADIATIVE_FILM = 4 * EMISSIVITY * STEFAN_BOLTZMANN * 295.0**3  # W/(m2 K), long wave near room temperature


@dataclass(frozen=True, slots=True, eq=False)
class Warming:
    """Temperatures [°C] over the course for bodies (B), times (n) and draws (S), and the dew that settled.

    ``coat`` is the warmer of the coat's means at mid-height and on the top, ``edge`` its top edge,
    ``filling`` the outer part of the layers, ``core`` the middle and ``surface`` the outside of the side;
    each (B, n, S). ``sweat_g_m2`` is the water condensed on display and ``sweat_h`` how long the side stays
    below the dew point; each (B, S).
    """

    hours: Array
    coat: Array
    edge: Array
    filling: Array
    core: Array
    surface: Array
    sweat_g_m2: Array
    sweat_h: Array

    def of_draws(self, chosen: slice) -> Warming:
        """Return the same courses for some of the draws."""
        return Warming(
            self.hours,
            **{f.name: getattr(self, f.name)[..., chosen] for f in fields(self) if f.name != "hours"},
        )

    def of_bodies(self, rows: Sequence[int]) -> Warming:
        """Return the same courses for some of the bodies."""
        return Warming(
            self.hours,
            **{f.name: getattr(self, f.name)[list(rows)] for f in fields(self) if f.name != "hours"},
        )

    def midway(self, other: Warming) -> Warming:
        """Return the courses halfway to others of the same bodies and draws, to the end of whichever ends first."""
        count = min(len(self.hours), len(other.hours))
        halfway = {}
        for name in (f.name for f in fields(self)):
            mine, theirs = getattr(self, name), getattr(other, name)
            if mine.ndim != 2:
                mine, theirs = (each[:count] if each.ndim == 1 else each[:, :count] for each in (mine, theirs))
            halfway[name] = (mine + theirs) / 2
        return Warming(**halfway)


@dataclass(frozen=True, slots=True, eq=False)
class _Stack:
    """The modes of several bodies side by side: (B, …) arrays."""

    film: Array  # (B, 1, 1)
    decay: Array
    settled: Array  # amplitudes that steady surroundings bring about in the end, for each zone
    read: Array
    at_once: Array
    steady: Array  # what is read in the end
    start: Array
    areas: Array  # (B, 1, zones)
    store: Array
    store_steady: Array

    @classmethod
    def of(cls, modes: Sequence[TierModes]) -> _Stack:
        decay = np.stack([m.decay for m in modes])[:, :, None]
        settled = np.stack([m.drive for m in modes]) / decay
        read, at_once = np.stack([m.read for m in modes]), np.stack([m.at_once for m in modes])
        store = np.stack([m.store for m in modes])[:, None]
        return cls(
            film=np.array([m.film for m in modes])[:, None, None],
            decay=decay,
            settled=settled,
            read=read,
            at_once=at_once,
            steady=read @ settled + at_once,
            start=np.stack([m.start for m in modes])[:, :, None],
            areas=np.stack([m.areas for m in modes])[:, None],
            store=store,
            store_steady=store @ settled,
        )


class _Response:
    """How the surface of each zone follows its own surroundings over a step; arrays (B, zones, S) or (B, zones, 1)."""

    def __init__(self, own: Array, seen: Array) -> None:
        self.own = own  # K/K
        # Newton's slope is ``rest`` and ``by_slope`` times how the flux falls, long wave left out.
        self.by_slope = own / seen
        self.rest = 1 - own + self.by_slope * _RADIATIVE_FILM


@dataclass(frozen=True, slots=True, eq=False)
class _Surface:
    """The heat balance of the zones at one time; arrays (B, zones, S), (B, 1, S), (zones, S) or (S,).

    ``received`` [W/m2] is all radiation that is taken up; ``forced_4`` and ``natural_4`` are fourth powers of what
    each draw has of the film.
    """

    air: Array
    received: Array
    vapour_pa: float
    dew: float
    forced_4: Array
    natural_4: Array
    steepness: float  # how much faster than its film the flux by convection falls
    is_boxed: bool

    def settled(
        self, surface: Array, assumed: Array, response: _Response, unseen: Array
    ) -> tuple[Array, Array | None]:
        """Return the equivalent temperature [°C] that the surface brings about itself, and the condensation.

        It is the temperature that gives, through the film seen alone, of which ``unseen`` is one over, the flux of
        the surface. ``surface`` came from an ``assumed`` one and follows it by ``response``. Newton steps until one
        is small: taken as it stands, the flux of a wet surface, which falls with its temperature several times as
        steeply as a dry one's, would overshoot from step to step.
        """
        water, is_settled = None, None
        for _ in range(_NEWTON_STEPS):
            flux, slope, water = self.gain(surface)
            slope *= response.by_slope
            slope += response.rest
            flux *= unseen
            change = surface - assumed
            change += flux
            change /= slope
            if is_settled is not None:
                # What has settled stays, so that a draw does not depend on those stepped beside it.
                change[is_settled] = 0.0
            assumed = assumed + change
            is_settled = np.abs(change) < _SETTLED_K
            if np.logical_and.reduce(is_settled, axis=None):
                break
            change *= response.own
            surface = surface + change
        return assumed, water

    def gain(self, surface: Array) -> tuple[Array, Array, Array | None]:
        """Return the flux into the surface [W/m2], how it falls as that warms, and the condensation.

        The fall [W/(m2 K)], which leaves long wave out, is near enough to steer by; the condensation [kg/(m2 s)] is
        none where all is dry.
        """
        difference = self.air - surface
        film = combined_film(self.natural_4, self.forced_4, difference)
        # In place from here on: at these sizes making an array takes as long as filling it.
        emitted = surface + _KELVIN
        emitted *= emitted
        emitted *= emitted
        emitted *= EMISSIVITY * STEFAN_BOLTZMANN
        flux = np.subtract(self.received, emitted, out=emitted)
        flux += np.multiply(film, difference, out=difference)
        slope = film * self.steepness
        if self.is_boxed or np.minimum.reduce(surface, axis=None) >= self.dew:
            return flux, slope, None
        water = condensing(film, self.vapour_pa, self.air, surface)
        latent = LATENT_HEAT * water
        flux += latent
        slope += latent / np.maximum(self.dew - surface, _LEAST_BELOW_DEW_K)
        return flux, slope, water


def warm_up(
    bodies: Sequence[TierBody],
    exposure: Exposure,
    draws: Draws,
    start_c: float,
    absorptance: float,
    modes: Sequence[TierModes] | None = None,
) -> Warming:
    """Step every body through the exposure for every draw.

    Parameters
    ----------
    bodies : sequence of TierBody
        The tiers, once for each kind of coat.
    start_c : float
        Temperature [°C] of cake and coat on leaving the kitchen, the same throughout.
    absorptance : float
        Share of the sun that the coat takes up, at its value; ``draws.sun`` multiplies it, at most to 1.
    modes : sequence of TierModes, optional
        Solved bodies, where a check wants another grid or film than the usual.

    Notes
    -----
    A change of conductivity by a factor ``k`` and of capacity by ``c`` equals, by similarity, a change of the
    surface flux by ``1/k`` and of time by ``k/c``; so one eigenproblem serves all draws. The equivalent
    surrounding temperature is taken as straight over a step and extrapolated from the step before.
    """
    count = len(exposure.hours)
    out = np.empty((count, len(bodies), len(OUTPUTS), len(draws)))
    side = np.empty((count, len(bodies), len(draws)))
    sweat, sweat_h = np.zeros((2, len(bodies), len(draws)))
    stack = _stack(bodies, exposure, modes)
    for n, now in enumerate(_march(stack, _Balances(bodies, exposure, draws, absorptance), start_c)):
        out[n] = start_c if now.reading is None else now.reading
        side[n] = now.surface[:, 0]
        if now.water is not None and n + 1 < count:
            width = float(exposure.hours[n + 1] - exposure.hours[n])
            sweat += 1000 * 3600 * width * (now.water[:, 0] + now.water[:, 2]) / 2
            sweat_h += width * (now.surface[:, 0] < now.balance.dew)
    series = np.moveaxis(out, 0, 2)
    return Warming(
        hours=exposure.hours,
        coat=np.maximum(series[:, 0], series[:, 1]),
        edge=series[:, 2],
        filling=series[:, 3],
        core=series[:, 4],
        surface=np.moveaxis(side, 0, 1),
        sweat_g_m2=sweat,
        sweat_h=sweat_h,
    )


def hours_below_dew(
    bodies: Sequence[TierBody], exposure: Exposure, draws: Draws, start_c: float, absorptance: float = 0.0
) -> Array:
    """Return the last time [h] after the arrival at which the coldest side is below the dew point of the air, (S,).

    Ends early once every side and all air and walls to come are above any dew point to come, and the air falls no
    more: what warmed from one temperature then only goes on warming. Takes what :func:`warm_up` takes; 0 where the
    cake arrives warm.
    """
    dew = _dew(exposure.vapour_pa)
    dew_to_come = np.maximum.accumulate(dew[::-1])[::-1]
    coolest_to_come = np.minimum.accumulate(exposure.air_c[::-1])[::-1]
    coldest_draw_k = min(draws.air_k.min(), draws.radiant_k.min())
    last = np.zeros(len(draws))
    balances = _Balances(bodies, exposure, draws, absorptance)
    for n, now in enumerate(_march(_stack(bodies, exposure, None), balances, start_c)):
        coldest = now.surface[:, 0].min(axis=0)
        if exposure.hours[n] < 0:
            continue
        last[coldest < dew[n]] = exposure.hours[n]
        falls_no_more = exposure.air_c[n] <= coolest_to_come[n]
        if falls_no_more and min(coldest.min(), coolest_to_come[n] + coldest_draw_k) >= dew_to_come[n]:
            break
    return last


def heat_balance(
    bodies: Sequence[TierBody],
    exposure: Exposure,
    draws: Draws,
    start_c: float,
    absorptance: float,
    modes: Sequence[TierModes] | None = None,
) -> tuple[Array, Array]:
    """Return the heat in each body [J] above 0 °C and the flow in through its outside [W]; (B, n, S) each.

    Takes what :func:`warm_up` takes and steps the same way: the flow adds up to the rise of the heat.
    """
    stack = _stack(bodies, exposure, modes)
    stored, inflow = [], []
    for now in _march(stack, _Balances(bodies, exposure, draws, absorptance), start_c):
        content = stack.store @ now.lag + stack.store_steady @ now.forcing
        stored.append(draws.capacity * content[:, 0])
        inflow.append((stack.areas @ now.balance.gain(now.surface)[0])[:, 0])
    return np.stack(stored, axis=1), np.stack(inflow, axis=1)


def _stack(bodies: Sequence[TierBody], exposure: Exposure, modes: Sequence[TierModes] | None) -> _Stack:
    if modes is not None:
        return _Stack.of(modes)
    wind = float(np.median(exposure.wind_mps))
    return _stacked(tuple(bodies), tuple(_nearest_film(body, wind) for body in bodies))


@lru_cache(maxsize=64)
def _stacked(bodies: tuple[TierBody, ...], films: tuple[float, ...]) -> _Stack:
    return _Stack.of([tier_modes(body, film) for body, film in zip(bodies, films, strict=True)])


@dataclass(frozen=True, slots=True, eq=False)
class _Moment:
    """The bodies at one time of the course; no reading at the start, when all is at one temperature."""

    lag: Array
    forcing: Array
    surface: Array
    reading: Array | None
    water: Array | None
    balance: _Surface


def _march(stack: _Stack, balances: _Balances, start_c: float) -> Iterator[_Moment]:
    """Go through the course one time after the other; a repeated time changes the surroundings alone.

    Followed is how far the modes lag behind what the surroundings of the moment would bring about in the end: it
    only fades, and grows as the surroundings change.
    """
    hours, draws, zones = balances.hours, balances.draws, len(ZONES)
    steps = _Steps(stack, draws)
    unseen = 1 / steps.seen
    surface = np.full((len(stack.film), zones, len(draws)), float(start_c))
    # The modes' lag and the forcing lie in one array, to be read at one go.
    modes = stack.decay.shape[1]
    state = np.empty((len(stack.film), modes + zones, len(draws)))
    lag, forcing = state[:, :modes], state[:, modes:]
    forcing[...] = start_c
    lag[...] = stack.start * start_c - stack.settled @ forcing
    read_all = np.concatenate([stack.read, stack.steady], axis=2)
    read_surface = read_all[:, :zones].copy()
    trend, reading = None, None
    added = np.empty_like(lag)  # kept, as making it anew takes longer than filling it
    for n in range(len(hours)):
        step = float(hours[n] - hours[n - 1]) if n else 0.0
        balance = balances.at(n)
        if step > _SHORTEST_H:
            kept, behind, response = steps.weights(step)
            lag *= kept
            trial = read_surface @ state
            guess = forcing
            if trend is not None:
                lead = step * trend
                trial += response.own * lead
                guess = forcing + lead
            ahead, water = balance.settled(trial, guess, response, unseen)
            change = ahead - forcing
            np.matmul(stack.settled, change, out=added)
            added *= behind
            lag -= added
            trend = change / step
            forcing[...] = ahead
            read = read_all @ state
            surface, reading = read[:, :zones], read[:, zones:]
        else:
            ahead, water = balance.settled(surface, forcing, steps.at_once, unseen)
            trend = None
            change = ahead - forcing
            surface = surface + stack.at_once[:, :zones] @ change
            lag -= stack.settled @ change
            forcing[...] = ahead
        yield _Moment(lag, forcing, surface, reading, water, balance)


class _Steps:
    """Exact weights of a step of each length: of a lag what is kept, and what a change along the step adds to it."""

    def __init__(self, stack: _Stack, draws: Draws) -> None:
        zones = np.arange(len(ZONES))
        self._decay = stack.decay
        self.seen = stack.film * draws.conductivity  # the film [W/(m2 K)] that each draw has in the modes
        # How each zone's surface follows its own surroundings: mode by mode, and without delay.
        self._own = stack.read[:, zones] * np.swapaxes(stack.settled, 1, 2)
        self._own_at_once = stack.at_once[:, zones, zones][:, :, None]
        self.at_once = _Response(self._own_at_once, self.seen)
        # Draws stepped once for each shift of the air share their weights.
        pace = draws.conductivity / draws.capacity
        self._pace, self._draw = np.unique(pace, return_inverse=True)
        self._is_shared = len(self._pace) < len(pace)
        if not self._is_shared:
            self._pace = pace
        self._known: dict[int, tuple[Array, Array, _Response]] = {}

    def weights(self, step_h: float) -> tuple[Array, Array, _Response]:
        key = round(step_h * 3_600_000)
        if key not in self._known:
            x = self._decay * (step_h * 3600 * self._pace)
            # Several times as fast as expm1, and the slowest modes still keep ten digits of what is gone.
            kept = np.exp(-x)
            behind = (1 - kept) / x
            own = self._own @ (1 - behind) + self._own_at_once
            if self._is_shared:
                kept, behind, own = (weight[..., self._draw] for weight in (kept, behind, own))
            self._known[key] = kept, behind, _Response(own, self.seen)
        return self._known[key]


class _Balances:
    """Makes the surface balance of each time; what does not change with time is worked out once."""

    def __init__(
        self, bodies: Sequence[TierBody], exposure: Exposure, draws: Draws, absorptance: float
    ) -> None:
        self._exposure, self.draws = exposure, draws
        self.hours = exposure.hours
        self._air = exposure.air_c[:, None] + draws.air_k
        absorbed = np.minimum(absorptance * draws.sun, 1.0)
        self._received = _by_zone(
            *(
                EMISSIVITY * STEFAN_BOLTZMANN * (around_c[:, None] + draws.radiant_k + _KELVIN) ** 4
                + sun[:, None] * absorbed
                for around_c, sun in (
                    (exposure.radiant_side_c, exposure.sun_side),
                    (exposure.radiant_top_c, exposure.sun_top),
                )
            )
        )
        drawn_4 = draws.film**4
        diameters = [2 * (body.radius + body.coat) for body in bodies]
        sides = [natural_side_strength(body.height + body.coat) for body in bodies]
        tops = [natural_top_strength(d, is_cooler_than_air=True) for d in diameters]
        self._natural_4 = np.array([[s, s, t, t] for s, t in zip(sides, tops, strict=True)])[:, :, None] ** 4 * drawn_4
        self._forced_4 = {
            wind: np.array([forced_film(wind, d) for d in diameters])[:, None, None] ** 4 * drawn_4
            for wind in {float(w) for w in exposure.wind_mps}
        }
        self._dew = [float(dew) for dew in _dew(exposure.vapour_pa)]

    def at(self, n: int) -> _Surface:
        e = self._exposure
        return _Surface(
            air=self._air[n],
            received=self._received[n],
            vapour_pa=float(e.vapour_pa[n]),
            dew=self._dew[n],
            forced_4=self._forced_4[float(e.wind_mps[n])],
            natural_4=self._natural_4,
            steepness=1.0 if e.wind_mps[n] > 0 else 1.25,
            is_boxed=bool(e.is_boxed[n]),
        )


def _by_zone(side: Array, top: Array) -> Array:
    """Give the side's and the top's values (n, S) to the zones, (n, zones, S)."""
    return np.stack([side, side, top, top], axis=1)


def _dew(vapour_pa: Array) -> Array:
    """Dew point [°C] of a vapour pressure [Pa], by way of the humidity it has at 20 °C."""
    return dew_point(20.0, 100 * vapour_pa / saturation_pressure(20.0))


@lru_cache(maxsize=512)
def _nearest_film(body: TierBody, wind: float) -> float:
    """Choose the rung nearest to ``_FILMS_IN_MODES`` times the film that this tier will have at a 10 K difference."""
    convective = combined_film(
        natural_side_strength(body.height + body.coat) ** 4,
        forced_film(wind, 2 * (body.radius + body.coat)) ** 4,
        np.array([10.0]),
    )
    total = _FILMS_IN_MODES * (float(convective[0]) + _RADIATIVE_FILM)
    return min(FILM_LADDER, key=lambda rung: abs(rung - total))
