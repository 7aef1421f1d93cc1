"""The event of a brief as the surroundings that its cake meets."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from webapp.advice.brief import INDOOR_WIND_MPS, Brief
from webapp.advice.places import Place
from webapp.catalogue.model import Catalogue
from webapp.thermal.air import diurnal_air
from webapp.thermal.exposure import HORIZON_H, Exposure, course_times, without_leaps
from webapp.thermal.humid import saturation_pressure
from webapp.thermal.sun import SUNRISE_H, SUNSET_H, Sunshine, clear_sky, overhead_sun, sun_times
from webapp.thermal.uncertainty import Draws, factor_in_range, standard_draws, within_range

Array = NDArray[np.float64]


def exposure_of(brief: Brief, catalogue: Catalogue, today: dt.date, *, is_boxed: bool = False) -> Exposure:
    """Return what the cake meets from the kitchen door to twelve hours after its arrival.

    ``is_boxed`` leaves it in its closed box on the table: still air, no sun, no moisture.
    """
    travel_h = brief.travel_minutes / 60
    hours = course_times(travel_h, HORIZON_H)
    if brief.forecast and brief.is_outdoors:
        rows = brief.forecast
        start_h = clock_hours(brief)
        hours = without_leaps(
            hours, np.array([row.clock_h - start_h for row in rows]), np.array([row.air_c for row in rows])
        )
    on_the_way = np.arange(len(hours)) < _travel_nodes(hours, travel_h)
    air, vapour, wind = _display_air(brief, hours, today)
    air = np.where(on_the_way, brief.travel_air_c, air)
    warming = 0.0 if is_boxed else catalogue.fact(f"surroundings:{brief.setting}", "warming").value
    raised = np.where(on_the_way, 0.0, warming)
    is_sunlit = brief.setting == "sun" and not is_boxed
    sun = _sunshine(brief, catalogue, hours, today) if is_sunlit else None
    shining = np.where(on_the_way, 0.0, 1.0)
    return Exposure(
        hours=hours,
        air_c=air,
        vapour_pa=np.minimum(vapour, saturation_pressure(air)),
        wind_mps=np.where(on_the_way | is_boxed, INDOOR_WIND_MPS, wind),
        # In the open the side sees as much ground as sky; a clear sky's cold is not credited.
        radiant_side_c=air + raised * (0.5 if is_sunlit else 1.0),
        radiant_top_c=air + raised * (0.0 if is_sunlit else 1.0),
        sun_side=np.zeros_like(air) if sun is None else sun.on_side * shining,
        sun_top=np.zeros_like(air) if sun is None else sun.on_top * shining,
        is_boxed=on_the_way | is_boxed,
    )


def heat_draws(brief: Brief, catalogue: Catalogue, count: int, seed: int, today: dt.date) -> Draws:
    """Return the draws of everything that is uncertain about the heat of this brief."""
    z = standard_draws(count, seed)
    error = air_error_k(brief, catalogue, today)
    # In the open the side sees warm ground by half and the top none, so that what is uncertain of either comes to
    # what it is in the shade; and no draw of a sunny place is cooler than the same draw of a shady one.
    around = "shade" if brief.setting == "sun" else brief.setting
    warming = catalogue.fact(f"surroundings:{around}", "warming")
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


def _display_air(brief: Brief, hours: Array, today: dt.date) -> tuple[Array, Array, Array]:
    """Return air [°C], vapour pressure [Pa] and wind [m/s] at the cake's place over the course."""
    humid = brief.humidity_pct / 100
    calm = np.full_like(hours, brief.wind)
    if not brief.is_outdoors:
        air = np.full_like(hours, brief.air_high_c)
        return air, humid * saturation_pressure(air), calm
    clock = clock_hours(brief) + hours
    if brief.forecast:
        return _forecast_air(brief, clock)
    sunrise, sunset = daylight(brief, today)
    air = diurnal_air(clock, brief.low_c, brief.air_high_c, sunrise, sunset)
    # The day's moisture stays in the air while its temperature swings.
    return air, np.full_like(hours, humid * float(saturation_pressure(brief.air_high_c))), calm


def _forecast_air(brief: Brief, clock: Array) -> tuple[Array, Array, Array]:
    """Read the forecast at clock times; its first and last line stand for what lies outside it."""
    rows = brief.forecast
    at = np.array([row.clock_h for row in rows])
    air = np.array([row.air_c for row in rows])
    humid = np.array([brief.humidity_pct if r.humidity_pct is None else r.humidity_pct for r in rows]) / 100
    moisture = humid * saturation_pressure(air)
    if all(row.humidity_pct is None for row in rows):
        moisture = np.full_like(air, brief.humidity_pct / 100 * float(saturation_pressure(air.max())))
    wind = np.array([brief.wind if row.wind_mps is None else row.wind_mps for row in rows])
    return (np.interp(clock, at, air), np.interp(clock, at, moisture), np.interp(clock, at, wind))


def air_error_k(brief: Brief, catalogue: Catalogue, today: dt.date) -> float:
    """Return the standard deviation [K] of the air at the cake from what the brief says.

    Outdoors it grows with the days to the event, up to what the season itself is uncertain by. An event without
    a date counts as forecast for tomorrow.
    """
    if not brief.is_outdoors:
        return catalogue.fact("air:indoors", "error").value
    tomorrow = catalogue.fact("air:outdoors", "error").value
    daily, season = (catalogue.fact("forecast", name).value for name in ("error_per_day", "error_of_season"))
    ahead = 1 if brief.date is None else max(1, (brief.date - today).days)
    return min(season, tomorrow + daily * (ahead - 1))


def daylight(brief: Brief, today: dt.date) -> tuple[float, float]:
    """Return sunrise and sunset as local clock times [h] on the day of the event."""
    site = brief.site
    if site is None:
        return SUNRISE_H, SUNSET_H
    noon = local_time(brief, today, site, 12.0)
    rise, set_ = sun_times(noon.timestamp(), site.latitude, site.longitude)
    midnight = local_time(brief, today, site, 0.0).timestamp()
    return (rise - midnight) / 3600, (set_ - midnight) / 3600


def local_time(brief: Brief, today: dt.date, site: Place, clock_h: float) -> dt.datetime:
    """Return a clock time of the event's day in the place's time zone."""
    midnight = dt.datetime.combine(brief.event_date(today), dt.time(), ZoneInfo(site.timezone))
    return midnight + dt.timedelta(hours=clock_h)


def _sunshine(brief: Brief, catalogue: Catalogue, hours: Array, today: dt.date) -> Sunshine:
    site = brief.site
    if site is None:
        sun = overhead_sun(clock_hours(brief) + hours)
    else:
        arrival = local_time(brief, today, site, clock_hours(brief)).timestamp()
        turbidity = catalogue.fact("sky", "turbidity").value
        sun = clear_sky(arrival + 3600 * hours, site.latitude, site.longitude, brief.altitude_m, turbidity)
    return sun.under_cloud(brief.cloud_pct / 100)
