"""Air temperature over a day from its low and high."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Parton & Logan 1981, air at 150 cm: lag of the maximum [h], decay by night [-], lag of the minimum [h].
LAG_OF_MAXIMUM_H = 1.86
NIGHT_DECAY = 2.20
LAG_OF_MINIMUM_H = -0.17


def diurnal_air(clock_h: Array, low_c: float, high_c: float, sunrise_h: float, sunset_h: float) -> Array:
    """Return air temperature [°C] at local clock times [h]; every day repeats the same low and high.

    Parameters
    ----------
    clock_h : array
        Hours since local midnight of the first day; may run past 24.
    low_c, high_c : float
        The day's coolest and warmest air [°C].
    sunrise_h, sunset_h : float
        Local clock times [h], sunrise before sunset.

    Notes
    -----
    By day ``low + (high - low) sin(pi m / (Y + 2a))`` with ``m`` the hours since the minimum and ``Y`` the
    day's length; by night an exponential fall from the temperature at sunset. Mean absolute error of the
    published fit 1.2 to 2.6 K, so the curve shapes the day and does not replace a forecast by the hour.

    References
    ----------
    Parton & Logan (1981), Agricultural Meteorology 23:205-216, equations 1 and 2.
    """
    day_h = sunset_h - sunrise_h
    night_h = 24.0 - day_h
    swing = high_c - low_c
    since_sunrise = np.mod(clock_h - sunrise_h, 24.0)

    def by_day(hours: Array | float) -> Array:
        phase = np.pi * (np.asarray(hours) - LAG_OF_MINIMUM_H) / (day_h + 2 * LAG_OF_MAXIMUM_H)
        return np.asarray(low_c + swing * np.sin(phase))

    at_sunset = by_day(day_h)
    night = low_c + (at_sunset - low_c) * np.exp(-NIGHT_DECAY * (since_sunrise - day_h) / night_h)
    return np.where(since_sunrise <= day_h, by_day(since_sunrise), night)
