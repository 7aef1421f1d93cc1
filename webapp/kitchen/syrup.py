"""Boiling sugar syrup: its temperature tells its strength, and altitude shifts the temperature."""

from __future__ import annotations

import math
from collections.abc import Callable

from webapp.catalogue.model import Formulation
from webapp.kitchen.water_activity import starzak_peacock

SEA_LEVEL_PA = 101_325.0
MOST_SUGAR = 0.98  # the model of the water in sucrose solutions ends here
_CRITICAL_K, _CRITICAL_PA = 647.096, 22.064e6
# Wagner & Pruss (2002), J. Phys. Chem. Ref. Data 31:387, eq. 2.5: coefficient and power of 1 - T / Tc.
_WAGNER_PRUSS = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)


def saturation_pressure(temperature_c: float) -> float:
    """Return the vapour pressure [Pa] of water at ``temperature_c`` [°C], 0 to 370 °C.

    References
    ----------
    Wagner & Pruss (2002), J. Phys. Chem. Ref. Data 31:387, equation 2.5 (auxiliary equation to IAPWS-95).
    """
    kelvin = temperature_c + 273.15
    tau = 1 - kelvin / _CRITICAL_K
    terms = sum(coefficient * tau**power for coefficient, power in _WAGNER_PRUSS)
    return _CRITICAL_PA * math.exp(_CRITICAL_K / kelvin * terms)


def air_pressure(altitude_m: float) -> float:
    """Return the usual pressure of the air [Pa] at an altitude [m], -400 to 11000 m.

    References
    ----------
    ISO 2533:1975, standard atmosphere, lowest layer (6.5 K/km from 15 °C).
    """
    return float(SEA_LEVEL_PA * (1 - 0.0065 * altitude_m / 288.15) ** 5.255880)


def water_boils_at(altitude_m: float = 0.0) -> float:
    """Return the temperature [°C] at which water boils at an altitude [m]."""
    return boiling_point(0.0, altitude_m)


def boiling_point(sugar_share: float, altitude_m: float = 0.0) -> float:
    """Return the temperature [°C] at which a sucrose solution boils.

    It boils where the water's vapour pressure times its activity is the pressure of the air.

    Parameters
    ----------
    sugar_share : float
        Sucrose over sucrose and water by mass [0..0.98].
    altitude_m : float
        Height above the sea [m]; the day's weather moves the result by up to 1 K more.
    """
    pressure = air_pressure(altitude_m)
    return _root(lambda t: starzak_peacock(sugar_share, t) * saturation_pressure(t) - pressure, 40.0, 300.0)


def sugar_share_at(temperature_c: float, altitude_m: float = 0.0) -> float:
    """Return the sucrose share [0..0.98] of a syrup that boils at a temperature [°C].

    Raises
    ------
    ValueError
        If nothing from plain water to 98 % sugar boils at this temperature there.
    """
    low, high = boiling_point(0.0, altitude_m), boiling_point(MOST_SUGAR, altitude_m)
    if not low <= temperature_c <= high:
        raise ValueError(f"no syrup boils at {temperature_c:g} °C there; allowed: {low:.1f} to {high:.1f} °C")
    return _root(lambda share: boiling_point(share, altitude_m) - temperature_c, 0.0, MOST_SUGAR)


def sugar_share_of(formulation: Formulation) -> float:
    """Return the sugar over sugar and water [0..1] of a formula's syrup as it is poured; 0 where it has none."""
    syrup = [line for line in formulation.lines if line.stage == "syrup"]
    total = sum(line.grams for line in syrup)
    return sum(line.grams * line.ingredient.sugar for line in syrup) / 100 / total if total > 0 else 0.0


def specific_heat(sugar_share: float, temperature_c: float) -> float:
    """Return the specific heat [J/(g K)] of a pure sucrose solution.

    References
    ----------
    Bubnik, Kadlec, Urban & Bruhns (1995), Sugar Technologists Manual; stated from memory.
    """
    solids = 100 * sugar_share
    return 4.1868 - solids * (0.0297 - 4.6e-5 * 100 - 7.5e-5 * temperature_c)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a rising function is zero, by halving; 60 halvings exhaust a float."""
    for _ in range(60):
        middle = (low + high) / 2
        if function(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
