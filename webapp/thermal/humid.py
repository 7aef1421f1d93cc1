"""Water in the air: saturation, dew point and what condenses on a cold coat."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Magnus form over water, coefficients of Alduchov & Eskridge (1996), J. Appl. Meteorol. 35:601-609.
_A_HPA = 6.1094
_B = 17.625
_C = 243.04
_WATER_GAS_CONSTANT = 461.5  # J/(kg K)
LATENT_HEAT = 2.45e6  # J/kg, condensation near 20 °C
# rho cp Le^(2/3) of air near 20 °C [J/(m3 K)]: the Lewis analogy between heat and vapour transfer.
LEWIS = 1057.0


def saturation_pressure(temperature_c: Array | float) -> Array:
    """Return the vapour pressure [Pa] over water at ``temperature_c`` [°C]; 0.4 % from -10 to 50 °C."""
    t = np.asarray(temperature_c, dtype=float)
    return np.asarray(100 * _A_HPA * np.exp(_B * t / (t + _C)))


def dew_point(air_c: Array | float, humidity_pct: Array | float) -> Array:
    """Return the dew point [°C] of air at ``air_c`` [°C] and ``humidity_pct`` (above 0, at most 100)."""
    gamma = np.log(np.asarray(humidity_pct) / 100) + _B * np.asarray(air_c) / (np.asarray(air_c) + _C)
    return np.asarray(_C * gamma / (_B - gamma))


def vapour_density(pressure_pa: Array | float, temperature_c: Array | float) -> Array:
    """Return the mass of vapour [kg/m3] at a partial pressure [Pa] and temperature [°C]."""
    return np.asarray(pressure_pa / (_WATER_GAS_CONSTANT * (np.asarray(temperature_c) + 273.15)))


def condensing(
    film: Array | float, vapour_pa: Array | float, air_c: Array | float, surface_c: Array
) -> Array:
    """Return the water that condenses on a surface [kg/(m2 s)]; never negative.

    ``film`` is the convective coefficient [W/(m2 K)]. Drying of the film is not credited: the water dissolves
    sugar and runs off before it cools the coat. Both densities are taken at the air's temperature, so that
    condensation ends at the dew point; at 4 °C in 30 °C air that is 5 % more than with each at its own.

    References
    ----------
    Lewis analogy, e.g. Incropera & DeWitt, section 6.7.
    """
    excess = vapour_density(vapour_pa - saturation_pressure(surface_c), air_c)
    return np.asarray(film / LEWIS * np.maximum(excess, 0.0))
