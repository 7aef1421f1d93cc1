"""At which temperature a buttercream softens when its fat is not all butter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.thermal.uncertainty import Z_95

Array = NDArray[np.float64]

GRID_C = np.arange(0.0, 55.01, 0.25)
_Z_GRID = np.linspace(-3.5, 3.5, 15)


@dataclass(frozen=True, slots=True, eq=False)
class Solids:
    """Solid fat content [%] on GRID_C with its standard deviation below and above."""

    value: Array
    sd_low: Array
    sd_high: Array

    @classmethod
    def of(cls, temperature_c: Array, solids: Array, low: Array, high: Array) -> Solids:
        """Interpolate a curve, low and high being its 5th and 95th percentile."""
        middle, down, up = (np.interp(GRID_C, temperature_c, curve) for curve in (solids, low, high))
        return cls(middle, (middle - down) / Z_95, (up - middle) / Z_95)


def blend(curves: Mapping[str, Solids], shares: Mapping[str, float], known: str) -> Solids:
    """Mix fats by mass; the uncertainty of ``known`` is left out, it is in the temperature calibrated on it.

    Solids are taken as additive: no eutectic and no new crystals. That overstates a little what butter with
    coconut or palm-kernel fat keeps solid.
    """
    total = sum(shares.values())
    weights = {fat: share / total for fat, share in shares.items()}
    zero = np.zeros_like(GRID_C)
    return Solids(
        sum((w * curves[fat].value for fat, w in weights.items()), zero),
        sum((w * curves[fat].sd_low for fat, w in weights.items() if fat != known), zero),
        sum((w * curves[fat].sd_high for fat, w in weights.items() if fat != known), zero),
    )


def _falling(curve: Array) -> Array:
    """Make a curve fall strictly, so that each solids content has one temperature."""
    return np.minimum.accumulate(curve) - 1e-6 * GRID_C


def same_solids(reference: Solids, mixed: Solids, known_c: Array | float, z: float = 0.0) -> Array:
    """Return the temperature [°C] at which ``mixed`` has the solids that ``reference`` has at ``known_c``.

    ``z`` moves the mixed curve by as many standard deviations. Kept within the grid, 0 to 55 °C: a fat that
    still has those solids at 55 °C gives 55.
    """
    target = np.interp(known_c, GRID_C, _falling(reference.value))
    moved = mixed.value + z * (mixed.sd_low if z < 0 else mixed.sd_high)
    return np.asarray(np.interp(-target, -_falling(moved), GRID_C))


def softening_draws(reference: Solids, mixed: Solids, known_c: Array, value_c: float, own_z: Array) -> Array:
    """Carry draws of the all-butter temperature ``known_c`` over to another fat, with that fat's own range.

    Parameters
    ----------
    known_c : array
        Draws [°C] of the family's temperature for butter, whose central value is ``value_c``.
    own_z : array
        Standard normal draws for the solids of the fats other than the reference, of the same shape.

    Notes
    -----
    The shift from butter to the mixed fat is taken at ``value_c``, with the mixed fat's own
    range. The doubt about the butter temperature is carried over degree for degree: it is doubt about recipes
    and about what people call soft, and reports on half-shortening coats (30 to 35 °C) scatter no more than
    those on butter (24 to 29 °C).
    """
    shifted = np.array([float(same_solids(reference, mixed, value_c, z)) for z in _Z_GRID]) - value_c
    return known_c + np.interp(own_z, _Z_GRID, shifted)
