"""Draws of what is uncertain about a cake outdoors."""

from __future__ import annotations

from webapp.thermal.uncertainty import Draws, factor_in_range, standard_draws


def draws_outdoors(number: int) -> Draws:
    """Return draws as wide as the advice takes them outdoors."""
    z = standard_draws(number, 1)
    air = 1.5 * z["air"]
    return Draws(
        air_k=air,
        radiant_k=air + z["radiant"],
        film=factor_in_range(z["film"], 1.0, 0.75, 1.3),
        sun=factor_in_range(z["sun"], 1.0, 0.6, 1.4),
        conductivity=factor_in_range(z["conductivity"], 1.0, 0.8, 1.25),
        capacity=factor_in_range(z["capacity"], 1.0, 0.88, 1.15),
    )
