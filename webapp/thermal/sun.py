"""Sunshine on a cake: what falls on its top and on the side that faces the sun."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

GROUND_ALBEDO = 0.2  # grass and paving, common practice in solar engineering
SUNRISE_H = 6.0
SUNSET_H = 20.0


@dataclass(frozen=True, slots=True, eq=False)
class Sunshine:
    """Elevation of the sun [°] and irradiance [W/m2]: beam across the rays, diffuse and global on level.

    ``most_on_side`` is what the side gets under a clear sky, where this sky is not clear.
    """

    elevation_deg: Array
    beam: Array
    diffuse: Array
    level: Array
    most_on_side: Array | None = None

    @property
    def on_top(self) -> Array:
        """Irradiance of the top of the cake [W/m2]."""
        return self.level

    @property
    def on_side(self) -> Array:
        """Irradiance of the strip of side that faces the sun [W/m2].

        Beam on the vertical, half of the sky's diffuse light and half of what the ground throws back. The
        mean around the tier would be about half of it and far too kind to the strip that fails first.
        """
        beam = self.beam * np.cos(np.radians(self.elevation_deg)) * (self.elevation_deg > 0)
        side = beam + 0.5 * self.diffuse + 0.5 * GROUND_ALBEDO * self.level
        return side if self.most_on_side is None else np.minimum(side, self.most_on_side)

    def under_cloud(self, cover: float) -> Sunshine:
        """Return the same sky with a share ``cover`` (0..1) of it under cloud.

        The beam reaches the cake through the gaps; the level sum falls after Kasten & Czeplak (1980),
        ``1 - 0.75 cover**3.4``, and what the beam does not bring is diffuse. Under a high sun that
        would let scattered clouds brighten the side, while the top gets far more anyway: the side is taken to
        get at most what it gets under a clear sky, so that more cloud never counts as more heat.
        """
        height = np.sin(np.radians(np.maximum(self.elevation_deg, 0.0)))
        beam = self.beam * (1 - cover)
        level = np.maximum(self.level * (1 - 0.75 * cover**3.4), beam * height)
        return Sunshine(self.elevation_deg, beam, level - beam * height, level, self.on_side)


def overhead_sun(clock_h: Array) -> Sunshine:
    """Return a clear sky for an unknown place: up at 6:00, overhead at 13:00, down at 20:00.

    Elevation is straight in time; global irradiance after Haurwitz (1945), beam after Meinel & Meinel (1976)
    with the air mass of Kasten & Young (1989), diffuse as their difference. At least as strong as the clear
    sky of most places and dates, so an unknown place is not flattered.
    """
    hours = np.mod(clock_h, 24.0)
    noon = (SUNRISE_H + SUNSET_H) / 2
    elevation = 90 * (1 - np.abs(hours - noon) / (SUNSET_H - noon))
    up = np.maximum(elevation, 0.0)
    height = np.sin(np.radians(up))
    air_mass = 1 / (height + 0.50572 * (up + 6.07995) ** -1.6364)
    beam = np.where(up > 0, 1353 * 0.7 ** (air_mass**0.678), 0.0)
    level = np.where(up > 0, 1098 * height * np.exp(-0.057 / np.maximum(height, 1e-3)), 0.0)
    level = np.maximum(level, beam * height)
    return Sunshine(elevation, beam, level - beam * height, level)


def clear_sky(
    unix_s: Array, latitude: float, longitude: float, altitude_m: float, turbidity: float
) -> Sunshine:
    """Return a clear sky over a place.

    Parameters
    ----------
    unix_s : array
        Times [s since 1970, UTC].
    latitude, longitude : float
        [°], north and east positive.
    altitude_m : float
        Above the sea [m].
    turbidity : float
        Linke turbidity at air mass 2 [-]: about 2 clean mountain air, 3 to 4 common, 6 hazy.

    Notes
    -----
    Solar position by the algorithm of Reda & Andreas (2004, NREL/TP-560-34302), clear sky after Ineichen &
    Perez (2002), both as implemented in pvlib, which is imported only here since few briefs need it.
    """
    from pvlib import atmosphere, clearsky, irradiance, spa

    pressure = float(atmosphere.alt2pres(altitude_m))
    zenith, _, elevation, *_ = spa.solar_position(
        unix_s, latitude, longitude, altitude_m, pressure / 100, 12.0, 69.0, 0.5667
    )
    up = zenith < 89.5
    beam, diffuse, level = np.zeros((3, len(unix_s)))
    if up.any():
        mass = atmosphere.get_absolute_airmass(atmosphere.get_relative_airmass(zenith[up]), pressure)
        day = dt.datetime.fromtimestamp(float(unix_s[0]), dt.UTC).timetuple().tm_yday
        extra = irradiance.get_extra_radiation(day)
        sky = clearsky.ineichen(zenith[up], mass, turbidity, altitude=altitude_m, dni_extra=extra)
        beam[up], diffuse[up], level[up] = (np.nan_to_num(sky[k]) for k in ("dni", "dhi", "ghi"))
    return Sunshine(np.asarray(elevation), beam, diffuse, level)


def sun_times(noon_unix_s: float, latitude: float, longitude: float) -> tuple[float, float]:
    """Return sunrise and sunset [s since 1970, UTC] nearest to a local noon.

    Near the poles, where the sun does not rise or set, a day of 2 h or of 22 h around noon is given, so that
    a daily swing of the air still has a shape.

    References
    ----------
    Reda & Andreas (2004), section A.2, as implemented in pvlib.
    """
    from pvlib import spa

    midnight = np.array([noon_unix_s // 86_400 * 86_400])
    days = np.concatenate([midnight - 86_400, midnight, midnight + 86_400])
    _, rises, sets = spa.transit_sunrise_sunset(days, latitude, longitude, 69.0, 1)
    rises, sets = rises[np.isfinite(rises)], sets[np.isfinite(sets)]
    before, after = rises[rises < noon_unix_s], sets[sets > noon_unix_s]
    if len(before) and len(after) and after.min() - before.max() < 24 * 3600:
        half = min(max((after.min() - before.max()) / 7200, 1.0), 11.0) * 3600
        middle = (after.min() + before.max()) / 2
        return float(middle - half), float(middle + half)
    zenith = spa.solar_position(
        np.array([noon_unix_s]), latitude, longitude, 0.0, 1013.25, 12.0, 69.0, 0.5667
    )[0]
    half = 11 * 3600 if zenith[0] < 90 else 3600
    return noon_unix_s - half, noon_unix_s + half
