"""From a course of temperatures to the hours that a look holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


LEVEL_K = 1e-9  # a rise too small to be told from none
_APART_K = 1000.0  # more than any two temperatures of a cake differ


def warmest_so_far(temperature_c: Array) -> Array:
    """Return the running maximum over time; ``temperature_c`` is (bodies, n, S), the result (n, S).

    The worst body decides, and a coat that has blurred does not recover when the evening cools it.
    """
    return np.asarray(np.maximum.accumulate(temperature_c.max(axis=0), axis=0))


def hold_hours(hours: Array, warmest_c: Array, threshold_c: Array) -> Array:
    """Return how long [h] after the arrival each draw stays at or below its threshold.

    Parameters
    ----------
    hours : (n,) array
        From the arrival; travel is negative. The last time is the horizon, which caps the answer.
    warmest_c : (n, S) array
        Running maximum [°C] for each course.
    threshold_c : (S, K) array
        Thresholds [°C]; each course is met by K of them.

    Returns
    -------
    (S, K) array of hours, 0 where the threshold was passed on the way.
    """
    count = len(hours)
    below = _times_below(warmest_c, threshold_c)
    after = np.clip(below, 1, count - 1)
    before = after - 1
    draws = np.arange(warmest_c.shape[1])[:, None]
    t0, t1 = warmest_c[before, draws], warmest_c[after, draws]
    share = np.divide(threshold_c - t0, t1 - t0, out=np.zeros_like(threshold_c), where=t1 - t0 > LEVEL_K)
    crossing = hours[before] + np.clip(share, 0.0, 1.0) * (hours[after] - hours[before])
    crossing = np.where(below == 0, hours[0], np.where(below == count, hours[-1], crossing))
    return np.asarray(np.maximum(crossing, 0.0))


def _times_below(warmest_c: Array, threshold_c: Array) -> NDArray[np.intp]:
    """Return for how many of its times each course (n, S) is at or below its thresholds (S, K).

    The courses rise, so one search finds all places once they are laid end to end, each lifted above the last.
    """
    count, courses = warmest_c.shape
    numbers = np.arange(courses)
    lift = _APART_K * numbers
    end_to_end = (warmest_c + lift).T.ravel()
    lifted = np.minimum(threshold_c, _APART_K / 2) + lift[:, None]
    found = np.searchsorted(end_to_end, lifted.ravel(), side="right").reshape(threshold_c.shape)
    return np.asarray(found - count * numbers[:, None])


@dataclass(frozen=True, slots=True)
class Spread:
    """The 10th, 50th and 90th percentile of something drawn."""

    low: float
    likely: float
    high: float

    @classmethod
    def of(cls, values: Array) -> Spread:
        """Read the percentiles of an array of any shape, straight between the sorted values."""
        return cls.of_each([values])[0]

    @classmethod
    def of_each(cls, drawn: Sequence[Array]) -> list[Spread]:
        """Read the percentiles of several arrays of one size."""
        return [cls(*ends) for ends in percentiles(np.array([values.ravel() for values in drawn])).tolist()]


def percentiles(drawn: Array) -> Array:
    """Return the 10th, 50th and 90th percentile along the last axis, which is three long in the result."""
    ordered = np.sort(drawn)  # takes a third of the time of the general function
    last = drawn.shape[-1] - 1
    places = np.array((0.1, 0.5, 0.9)) * last
    below = places.astype(int)
    above = np.minimum(below + 1, last)
    return np.asarray(ordered[..., below] + (places - below) * (ordered[..., above] - ordered[..., below]))


def stands(hold_h: Array, passed_before: NDArray[np.bool_], needed_h: float) -> NDArray[np.bool_]:
    """Say for each draw whether it lasts ``needed_h``; with 0 needed, whether it arrived in shape."""
    return (hold_h >= needed_h - 1e-9) & ~passed_before
