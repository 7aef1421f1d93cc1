"""The event of a brief as the surroundings that its cake meets."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from webapp.advice.brief import INDOOR_WIND_MPS, Brief
from webapp.catalogue.model import Catalogue
from webapp.thermal.air import diurnal_air
from webapp.thermal.exposure import HORIZON_H, Exposure, course_times
from webapp.thermal.humid import saturation_pressure
from webapp.thermal.sun import SUNRISE_H, SUNSET_H, Sunshine, overhead_sun
from webapp.thermal.uncertainty import Draws, factor_in_range, standard_draws, within_range

Array = NDArray[np.float64]


def exposure_of(brief: Brief, catalogue: Catalogue) -> Exposure:
    """Return what the cake meets from the kitchen door to twelve hours after its arrival."""
    travel_h = brief.travel_minutes / 60
    hours = course_times(travel_h, HORIZON_H)
    on_the_way = np.arange(len(hours)) < _travel_nodes(hours, travel_h)
    air = np.where(on_the_way, brief.travel_air_c, _display_air(brief, hours))
    warming = catalogue.fact(f"surroundings:{brief.setting}", "warming").value
    raised = np.where(on_the_way, 0.0, warming)
    sun = _sunshine(brief, hours)
    shining = np.where(on_the_way, 0.0, 1.0) * (brief.setting == "sun")
    warmest = float(saturation_pressure(brief.air_high_c)) * brief.humidity_pct / 100
    is_sunlit = brief.setting == "sun"
    return Exposure(
        hours=hours,
        air_c=air,
        vapour_pa=np.minimum(warmest, saturation_pressure(air)),
        wind_mps=np.where(on_the_way, INDOOR_WIND_MPS, brief.wind),
        # In the open the side sees as much ground as sky; a clear sky's cold is not credited.
        radiant_side_c=air + raised * (0.5 if is_sunlit else 1.0),
        radiant_top_c=air + raised * (0.0 if is_sunlit else 1.0),
        sun_side=sun.on_side * shining,
        sun_top=sun.on_top * shining,
        is_boxed=on_the_way,
    )


def heat_draws(brief: Brief, catalogue: Catalogue, count: int, seed: int) -> Draws:
    """Return the draws of everything that is uncertain about the heat of this brief."""
    z = standard_draws(count, seed)
    where = "outdoors" if brief.is_outdoors else "indoors"
    error = catalogue.fact(f"air:{where}", "error").value
    warming = catalogue.fact(f"surroundings:{brief.setting}", "warming")
    film = catalogue.fact("film", "factor")
    conductivity = catalogue.fact("conduction", "conductivity_factor")
    capacity = catalogue.fact("conduction", "capacity_factor")
    colour = catalogue.fact(f"colour:{brief.colour}", "absorptance")
    absorptance = factor_in_range(z["sun"], colour.value, colour.low, colour.high)
    air_k = z["air"] * error
    return Draws(
        air_k=air_k,
        radiant_k=air_k + within_range(z["radiant"], 0.0, warming.low - warming.value, warming.high - warming.value),
        film=factor_in_range(z["film"], film.value, film.low, film.high),
        sun=absorptance / colour.value,
        conductivity=factor_in_range(z["conductivity"], conductivity.value, conductivity.low, conductivity.high),
        capacity=factor_in_range(z["capacity"], capacity.value, capacity.low, capacity.high),
    )


def clock_hours(brief: Brief) -> float:
    """Local clock time [h] at which the display starts."""
    return brief.start_time.hour + brief.start_time.minute / 60 + brief.start_time.second / 3600


def _travel_nodes(hours: Array, travel_h: float) -> int:
    """How many of the times belong to the way; the repeated 0 is the table's from its second place on."""
    return int(np.count_nonzero(hours <= 0)) - 1 if travel_h > 0 else 0


def _display_air(brief: Brief, hours: Array) -> Array:
    if not brief.is_outdoors:
        return np.full_like(hours, brief.air_high_c)
    return diurnal_air(clock_hours(brief) + hours, brief.low_c, brief.air_high_c, SUNRISE_H, SUNSET_H)


def _sunshine(brief: Brief, hours: Array) -> Sunshine:
    return overhead_sun(clock_hours(brief) + hours)
