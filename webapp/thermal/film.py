"""Heat transfer between air and the outside of a tier."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEFAN_BOLTZMANN: Final = 5.670374419e-8  # W/(m2 K4), CODATA 2018
EMISSIVITY: Final = 0.95  # assumption: fat, sugar and water are nearly black in the long wave

# Air at 300 K and 1 atm: conductivity [W/(m K)], kinematic viscosity [m2/s], Prandtl number.
_AIR_K = 0.0263
_AIR_NU = 1.589e-5
_AIR_PR = 0.707
_AIR_BUOYANCY = 9.81 / 300 / (_AIR_NU * _AIR_NU / _AIR_PR)  # Rayleigh number per K m3


def forced_film(wind_mps: float, diameter_m: float) -> float:
    """Return the mean coefficient [W/(m2 K)] of a cylinder in cross-flow; 0 in still air.

    References
    ----------
    Churchill & Bernstein (1977), J. Heat Transfer 99:300-306, valid for Re Pr > 0.2; air at 300 K.
    """
    if wind_mps <= 0:
        return 0.0
    reynolds = wind_mps * diameter_m / _AIR_NU
    fall = (1 + (0.4 / _AIR_PR) ** (2 / 3)) ** 0.25
    laminar = 0.62 * reynolds**0.5 * _AIR_PR ** (1 / 3) / fall
    nusselt = 0.3 + laminar * (1 + (reynolds / 282_000) ** 0.625) ** 0.8
    return float(nusselt * _AIR_K / diameter_m)


def natural_side_strength(height_m: float) -> float:
    """Return ``c`` of ``h = c |dT|**0.25`` [W/(m2 K^1.25)] for the side of a tier in still air.

    References
    ----------
    McAdams, laminar vertical plate, Nu = 0.59 Ra^0.25. From 3 to 30 K and 0.04 to 0.3 m
    it lies between 5 % below and 14 % above Churchill & Chu (1975); above on all but the tallest tiers, so it
    errs to the warm side.
    """
    return float(0.59 * _AIR_BUOYANCY**0.25 * _AIR_K / height_m**0.25)


def natural_top_strength(diameter_m: float, *, is_cooler_than_air: bool) -> float:
    """Return ``c`` of ``h = c |dT|**0.25`` [W/(m2 K^1.25)] for the top, length scale area over perimeter.

    References
    ----------
    McAdams: Nu = 0.27 Ra^0.25 for a cold plate facing up, 0.54 Ra^0.25 for a warm one.
    """
    scale = diameter_m / 4
    return float((0.27 if is_cooler_than_air else 0.54) * _AIR_BUOYANCY**0.25 * _AIR_K / scale**0.25)


def combined_film(natural_strength_4: Array | float, forced_4: Array | float, difference_k: Array) -> Array:
    """Return the coefficient of mixed convection [W/(m2 K)], ``(forced**4 + natural**4) ** 0.25``.

    The arguments are fourth powers, so that the natural part is linear in the temperature difference and no
    root is taken twice.

    References
    ----------
    Churchill (1977), AIChE J. 23:10-16, for the form; exponent 4 for cylinders and plates in cross-flow,
    Incropera & DeWitt, section 9.9.
    """
    film = np.abs(difference_k)
    film *= natural_strength_4
    film += forced_4
    return np.sqrt(np.sqrt(film, out=film), out=film)
