"""Seeded draws of what is not known exactly, the same for every coat and every brief of one seed."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

Z_95 = 1.6448536269514722  # the 95th percentile of the standard normal distribution
NAMES = ("air", "radiant", "film", "sun", "conductivity", "capacity", "family fat", "own fat", "look")


@lru_cache(maxsize=16)
def standard_draws(count: int, seed: int) -> dict[str, Array]:
    """Return ``count`` standard normal values for each of NAMES.

    Each is stratified (one value in each of ``count`` equally likely bands, in shuffled order), so that a few
    hundred draws already carry the distribution's tails in the right share.
    """
    normal = NormalDist()
    bands = np.array([normal.inv_cdf((i + 0.5) / count) for i in range(count)])
    rng = np.random.default_rng(seed)
    draws = {name: rng.permutation(bands) for name in NAMES}
    for values in draws.values():
        values.flags.writeable = False
    return draws


def within_range(z: Array, value: float, low: float, high: float) -> Array:
    """Map standard normal values to a quantity given as value and 5th..95th percentile.

    Each side of the value has its own width.
    """
    return value + np.where(z < 0, (value - low) / Z_95, (high - value) / Z_95) * z


def factor_in_range(z: Array, value: float, low: float, high: float) -> Array:
    """Map like :func:`within_range`, but in the logarithm, so that a positive quantity stays positive."""
    return np.exp(within_range(z, float(np.log(value)), float(np.log(low)), float(np.log(high))))


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """One value a draw (S,) of each thing that is uncertain about the heat.

    ``air_k`` and ``radiant_k`` are added to the air and to the radiant surroundings [K]; ``film`` and ``sun``
    multiply the convective coefficient and the absorbed sun; ``conductivity`` and ``capacity`` multiply those
    of cake and coat together.
    """

    air_k: Array
    radiant_k: Array
    film: Array
    sun: Array
    conductivity: Array
    capacity: Array

    @classmethod
    def none(cls) -> Draws:
        """One draw with everything at its value."""
        zero, one = np.zeros(1), np.ones(1)
        return cls(zero, zero, one, one, one, one)

    def shifted(self, shifts_k: tuple[float, ...]) -> Draws:
        """Return the draws once for each shift of air and surroundings [K], one after the other."""
        count, copies = len(self), len(shifts_k)
        if shifts_k == (0.0,):
            return self
        warmer = np.repeat(shifts_k, count)
        tiled = {f.name: np.tile(getattr(self, f.name), copies) for f in fields(self)}
        return Draws(**tiled | {name: tiled[name] + warmer for name in ("air_k", "radiant_k")})

    def __len__(self) -> int:
        """Return the number of draws."""
        return len(self.air_k)
