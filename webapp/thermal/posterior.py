"""A formulation's softening temperature after real events: our range against what was seen.

A plain Bayesian computation on a grid. The prior is our value with its range; each event is one observation: the
coat's temperature when its look was lost, or the highest it reached while the look was kept, which says only that
it softens above (a right-censored observation).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from webapp.thermal.uncertainty import Z_95, Array, within_range

# Assumption, no source: two batches of one formula soften this far apart (standard deviation, K). It keeps the range
# from closing on the few cakes that were seen.
BATCH_SCATTER_K = 0.5
REACH = 8.0  # half the grid's width in standard deviations of the prior
CELLS = 4000


@dataclass(frozen=True, slots=True)
class Softened:
    """A look that was lost at a coat temperature, with that temperature's 5th and 95th percentile [°C]."""

    coat_c: float
    low_c: float
    high_c: float

    def __post_init__(self) -> None:
        """Refuse a value outside its own range."""
        _check_range(self.coat_c, self.low_c, self.high_c)


@dataclass(frozen=True, slots=True)
class Held:
    """A look still kept at cutting, with the coat's peak until then and its 5th and 95th percentile [°C]."""

    peak_c: float
    low_c: float
    high_c: float

    def __post_init__(self) -> None:
        """Refuse a value outside its own range."""
        _check_range(self.peak_c, self.low_c, self.high_c)


@dataclass(frozen=True, slots=True)
class Posterior:
    """A softening temperature: its median, 5th and 95th percentile [°C], and how many events stand behind it."""

    likely_c: float
    low_c: float
    high_c: float
    events: int


def update_softening(
    likely_c: float,
    low_c: float,
    high_c: float,
    events: Sequence[Softened | Held],
    scatter_k: float = BATCH_SCATTER_K,
) -> Posterior:
    """Return a softening temperature's range after some events.

    Parameters
    ----------
    likely_c, low_c, high_c : float
        Our value with its 5th and 95th percentile [°C]: the temperature that counts for the look the events speak of.
    events : sequence of Softened or Held
        What was seen, of one formulation and one look.
    scatter_k : float
        Standard deviation of one batch's softening temperature about the formulation's [K], >= 0.

    Returns
    -------
    Posterior
        Without events the range as given. Median and percentiles of the posterior otherwise; those of
        right-censored events alone are never lower than ours.

    Raises
    ------
    ValueError
        If a value is not finite or not within its range, or the scatter is negative.

    Notes
    -----
    Bayes' rule on a grid of equal cells in the standard normal variable z of
    :func:`webapp.thermal.uncertainty.within_range`, by the midpoint rule, so that the prior is the very one that the
    advice draws from: each side of the value has its own width and half of the probability. Likelihood of a
    temperature S: for a lost look exp(-u²/2), for a kept one Φ(u), with u = (S - T)/s, T the coat's temperature
    and s its standard deviation on the side of S together with the batch's scatter. Events count as independent;
    what the heat model gets wrong in every event alike goes into S, which is then the value that fits the model to
    this kitchen. The grid ends at 8 standard deviations of our range: what is seen beyond moves the result no further.
    Gelman et al., Bayesian Data Analysis, 3rd ed. 2013: sections 2.1 (Bayes' rule by simulation or on a grid) and
    8.7 (censoring); cited from memory.
    """
    _check_range(likely_c, low_c, high_c)
    if not (math.isfinite(scatter_k) and scatter_k >= 0):
        raise ValueError(f"a scatter of {scatter_k} K")
    edges = np.linspace(-REACH, REACH, CELLS + 1)
    z = (edges[:-1] + edges[1:]) / 2
    softens_c = within_range(z, likely_c, low_c, high_c)
    log_density = -(z**2) / 2
    for event in events:
        log_density = log_density + _log_likelihood(softens_c, event, scatter_k)
    cumulative = np.concatenate(([0.0], np.cumsum(np.exp(log_density - log_density.max()))))
    at = np.interp([0.05, 0.5, 0.95], cumulative / cumulative[-1], edges)
    low, likely, high = (float(value) for value in within_range(at, likely_c, low_c, high_c))
    return Posterior(likely, low, high, len(events))


def _log_likelihood(softens_c: Array, event: Softened | Held, scatter_k: float) -> Array:
    """Return the logarithm of the chance to see an event, for each softening temperature [°C], but for a constant."""
    coat_c = event.coat_c if isinstance(event, Softened) else event.peak_c
    apart = softens_c - coat_c
    # The softening temperature lies above the coat's estimate where the coat was truly warmer: its upper side counts.
    coat_k = np.where(apart < 0, coat_c - event.low_c, event.high_c - coat_c) / Z_95
    spread = np.hypot(coat_k, scatter_k)
    u = apart / np.maximum(spread, 1e-3)  # a range of nothing is still not known to a thousandth of a degree
    if isinstance(event, Softened):
        return np.asarray(-(u**2) / 2)
    return _log_normal_cdf(u)


def _log_normal_cdf(u: Array) -> Array:
    # Straight between points 0.01 apart: wrong by at most 0.01²/8, as the second derivative nowhere passes 1.
    points, logs = _log_normal_table()
    return np.interp(u, points, logs)


@lru_cache(maxsize=1)
def _log_normal_table() -> tuple[Array, Array]:
    points = np.linspace(-37.0, 9.0, 4601)  # below, the probability is no longer a normal float; above, it is one
    # By the complement of the error function, which keeps its digits where the probability is next to nothing.
    return points, np.array([math.log(math.erfc(-point / math.sqrt(2)) / 2) for point in points])


def _check_range(value: float, low: float, high: float) -> None:
    if not (math.isfinite(low) and math.isfinite(high) and low <= value <= high):
        raise ValueError(f"{value} °C is not within {low}..{high} °C")
