"""What the outside of a cake meets from the kitchen door until it is cut."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from webapp.units import LOOK_AHEAD_H

Array = NDArray[np.float64]

HORIZON_H = LOOK_AHEAD_H
# Minutes of the steps after a change of place: short while the coat warms fast, long once it drifts.
_STEPS = ((2, 1.0), (9, 2.0), (14, 5.0), (18, 15.0))
_LONG_STEP_MIN = 30.0
MOST_LEAP_K = 2.0  # of the air over one step; a day of the usual swing warms by less, a forecast may say anything
MOST_ADDED = 240  # times for leaps; without them a course has 56 on display, and as many on a long way


@dataclass(frozen=True, slots=True, eq=False)
class Exposure:
    """Surroundings at each time of the course (n,); a repeated time is a change of place.

    Hours count from the arrival on the table, travel is negative. Temperatures in °C, vapour pressure in Pa,
    wind in m/s, sun on the side that faces it and on the top in W/m2 before absorption.
    """

    hours: Array
    air_c: Array
    vapour_pa: Array
    wind_mps: Array
    radiant_side_c: Array
    radiant_top_c: Array
    sun_side: Array
    sun_top: Array
    is_boxed: NDArray[np.bool_]

    def until(self, hour: float) -> Exposure:
        """Return the course up to the first of its times that is not before ``hour``."""
        end = int(np.searchsorted(self.hours, hour - 1e-9)) + 1
        return Exposure(**{f.name: getattr(self, f.name)[:end] for f in fields(self)})


def course_times(travel_h: float, horizon_h: float = HORIZON_H, refine: int = 1) -> Array:
    """Return the times [h] of a course: travel before 0, then the display; 0 stands twice after a travel.

    ``refine`` splits every step into as many equal ones, for checks of the time step.
    """
    display = _segment(horizon_h, refine)
    if travel_h <= 0:
        return display
    return np.concatenate([_segment(travel_h, refine) - travel_h, display])


def without_leaps(hours: Array, at_h: Array, air_c: Array) -> Array:
    """Return the times [h] of a course with more of them where its air leaps.

    ``air_c`` [°C] is the air at the times ``at_h`` [h], straight in between. Where it changes so fast that a long step
    could see it change by more than ``MOST_LEAP_K``, its own times are added and the steps between them are split: in
    any step a surface is taken to follow its air in a straight line, and a cake on which dew forms and dries again
    within one does not follow so. No more than ``MOST_ADDED`` times are added in all: the leaps of a wild course are
    split into fewer, and one with more than half as many steep lines is left as it is.
    """
    fastest = MOST_LEAP_K * 60 / _LONG_STEP_MIN
    steep = np.abs(np.diff(air_c)) > fastest * np.diff(at_h)
    ends = np.unique(np.concatenate([at_h[:-1][steep], at_h[1:][steep]]))
    ends = ends[(ends > 0) & (ends < hours[-1])]
    if len(ends) == 0 or len(ends) > MOST_ADDED // 2:
        return hours
    missing = ends[np.abs(hours[:, None] - ends).min(axis=0) > 1e-9]
    nodes = np.insert(hours, np.searchsorted(hours, missing), missing)
    change = np.abs(np.diff(np.interp(nodes, at_h, air_c)))
    most = max(MOST_LEAP_K, change.sum() / (MOST_ADDED // 2))
    parts = np.maximum(1, np.ceil(change / most - 1e-9)).astype(int)
    places = np.concatenate([[0], np.cumsum(parts)])
    return np.asarray(np.interp(np.arange(places[-1] + 1), places, nodes))


def _segment(length_h: float, refine: int) -> Array:
    steps: list[float] = []
    for count, minutes in _STEPS:
        steps += [minutes / 60] * count
    ends = np.cumsum(steps)
    ends = ends[ends < length_h - 1e-9]
    start = float(ends[-1]) if len(ends) else 0.0
    rest = length_h - start
    longs = max(1, int(np.ceil(rest * 60 / _LONG_STEP_MIN - 1e-9)))
    nodes = np.concatenate([[0.0], ends, start + rest * np.arange(1, longs + 1) / longs])
    if refine == 1:
        return nodes
    parts = np.arange((len(nodes) - 1) * refine + 1) / refine
    return np.asarray(np.interp(parts, np.arange(len(nodes)), nodes))
