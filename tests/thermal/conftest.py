from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from tests.thermal.draws import draws_outdoors
from webapp.thermal.air import diurnal_air
from webapp.thermal.exposure import Exposure, course_times
from webapp.thermal.humid import saturation_pressure
from webapp.thermal.tier import TierBody
from webapp.thermal.uncertainty import Draws

# A butter cake under a meringue buttercream, 20 x 12 cm, 7 mm of coat.
CAKE = TierBody(0.10, 0.12, 0.007, 0.125, 420 * 2405, 0.20, 900 * 2500)


@pytest.fixture(scope="session")
def make_body() -> Callable[..., TierBody]:
    def make(**changes: float) -> TierBody:
        return replace(CAKE, **changes)

    return make


@pytest.fixture(scope="session")
def make_exposure() -> Callable[..., Exposure]:
    """Builds a display of constant or diurnal air and constant sun, after a boxed travel at 21 °C if any."""

    def make(
        air_c: float = 30.0,
        *,
        swing_k: float = 0.0,
        humidity_pct: float = 50.0,
        wind_mps: float = 0.1,
        sun_side: float = 0.0,
        sun_top: float = 0.0,
        travel_h: float = 0.0,
        horizon_h: float = 12.0,
        refine: int = 1,
    ) -> Exposure:
        hours = course_times(travel_h, horizon_h, refine)
        way = np.arange(len(hours)) < (np.count_nonzero(hours <= 0) - 1 if travel_h else 0)
        display = (
            diurnal_air(15 + hours, air_c - swing_k, air_c, 6.0, 20.0)
            if swing_k
            else np.full_like(hours, air_c)
        )
        air = np.where(way, 21.0, display)
        return Exposure(
            hours=hours,
            air_c=air,
            vapour_pa=np.minimum(saturation_pressure(air_c) * humidity_pct / 100, saturation_pressure(air)),
            wind_mps=np.where(way, 0.1, wind_mps),
            radiant_side_c=air,
            radiant_top_c=air,
            sun_side=np.where(way, 0.0, sun_side),
            sun_top=np.where(way, 0.0, sun_top),
            is_boxed=way,
        )

    return make


@pytest.fixture(scope="session")
def wide_draws() -> Draws:
    """64 draws as wide as the advice takes them outdoors."""
    return draws_outdoors(64)
