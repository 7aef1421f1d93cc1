"""Thermal properties of a food from its composition, with air beaten into it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

# Choi & Okos (1986), constant, linear and quadratic coefficient in °C, valid from -40 to 150 °C:
# conductivity [W/(m K)], density [kg/m3], specific heat [kJ/(kg K)]. Water's specific heat is the authors'
# own constant (4.1762), which agrees with IAPWS within 0.2 %; copies with 4.1289 are 1.3 % low.
_Triple = tuple[float, float, float]
CHOI_OKOS: Mapping[str, tuple[_Triple, _Triple, _Triple]] = {
    "water": (
        (0.57109, 1.7625e-3, -6.7036e-6),
        (997.18, 3.1439e-3, -3.7574e-3),
        (4.1762, -9.0864e-5, 5.4731e-6),
    ),
    "protein": ((0.17881, 1.1958e-3, -2.7178e-6), (1329.9, -0.51840, 0.0), (2.0082, 1.2089e-3, -1.3129e-6)),
    "fat": ((0.18071, -2.7604e-4, -1.7749e-7), (925.59, -0.41757, 0.0), (1.9842, 1.4733e-3, -4.8008e-6)),
    "carbohydrate": (
        (0.20141, 1.3874e-3, -4.3312e-6),
        (1599.1, -0.31046, 0.0),
        (1.5488, 1.9625e-3, -5.9399e-6),
    ),
    "ash": ((0.32962, 1.4011e-3, -2.9069e-6), (2423.8, -0.28063, 0.0), (1.0926, 1.8896e-3, -3.6817e-6)),
}
AIR_CONDUCTIVITY = 0.026  # W/(m K), 20 °C


@dataclass(frozen=True, slots=True)
class ThermalProperties:
    """Conductivity [W/(m K)], density [kg/m3] and specific heat [J/(kg K)]."""

    conductivity: float
    density: float
    specific_heat: float

    @property
    def capacity(self) -> float:
        """Heat capacity by volume [J/(m3 K)]."""
        return self.density * self.specific_heat


def gas_free(shares: Mapping[str, float], temperature_c: float = 20.0) -> ThermalProperties:
    """Return the properties of a food without air from the mass shares of its parts.

    Parts are those of CHOI_OKOS: water, protein, fat, carbohydrate, ash. Conductivity is mixed
    by volume, density by specific volume, specific heat by mass. Shares are normalised.

    References
    ----------
    Choi & Okos (1986); ASHRAE Handbook Refrigeration, Thermal Properties of Foods, tables 1 and 2.
    """
    total = sum(shares.values())
    volume = heat = conductivity = 0.0
    for part, share in shares.items():
        k, rho, cp = (_at(c, temperature_c) for c in CHOI_OKOS[part])
        volume += share / total / rho
        heat += share / total * cp
        conductivity += share / total / rho * k
    return ThermalProperties(conductivity / volume, 1 / volume, 1000 * heat)


def aerated(dense: ThermalProperties, density: float) -> ThermalProperties:
    """Return the properties of a food beaten to ``density`` [kg/m3]: Maxwell-Eucken for bubbles in it.

    A density at or above the gas-free one leaves it unchanged.
    """
    air = max(0.0, 1 - density / dense.density)
    k, ka = dense.conductivity, AIR_CONDUCTIVITY
    mixed = k * (2 * k + ka - 2 * air * (k - ka)) / (2 * k + ka + air * (k - ka))
    return ThermalProperties(mixed, min(density, dense.density), dense.specific_heat)


def melting_heat(
    fat_share: float, solids_cold: float, solids_warm: float, span_k: float, latent: float
) -> float:
    """Return what melting fat adds to the specific heat [J/(kg K)], spread evenly over ``span_k``.

    ``fat_share`` and the solids are 0..1, ``latent`` [J/kg] of the fat that melts.
    """
    return fat_share * max(0.0, solids_cold - solids_warm) * latent / span_k


def _at(coefficients: _Triple, t: float) -> float:
    a, b, c = coefficients
    return a + b * t + c * t * t
