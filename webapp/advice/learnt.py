"""What a shop's own events say of a formulation's softening temperature, beside what the data say.

An event is one coat of one formulation in the weather as it was: its look was lost after some hours, or was still
kept when it was cut. The heat model gives the coat's temperature then; :mod:`webapp.thermal.posterior` the rest.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from webapp.advice.brief import Brief
from webapp.advice.heat import warm_cake
from webapp.advice.softness import FatDraws, Softness
from webapp.catalogue.model import Catalogue, Formulation
from webapp.thermal.posterior import Held, Posterior, Softened, update_softening

LOOKS = ("smooth", "textured", "borders", "rosettes", "fine")
_PERCENTILES = (0.05, 0.5, 0.95)
LEAST_C, MOST_C = -20.0, 100.0  # beyond, the coat is frozen or has long run off


@dataclass(frozen=True, slots=True)
class CoatTemperature:
    """A coat's temperature at one moment, with its 5th and 95th percentile [°C]."""

    likely_c: float
    low_c: float
    high_c: float


@dataclass(frozen=True, slots=True)
class Event:
    """What was seen of one coat: the look, whether it was kept, and the coat's temperature then."""

    look: str
    is_held: bool
    coat: CoatTemperature


@dataclass(frozen=True, slots=True)
class Compared:
    """A softening temperature [°C] by our data, and by them and a shop's own events together."""

    ours: Posterior
    yours: Posterior


def look_of(brief: Brief) -> str:
    """Return the look that goes first: the piping where there is any, else the finish."""
    return brief.finish if brief.piping == "none" else brief.piping


def coat_temperature(
    brief: Brief, formulation: Formulation, hours: float, catalogue: Catalogue, today: dt.date, seed: int = 0
) -> CoatTemperature:
    """Return the warmest that a coat has been where its look goes first, some hours [h] after its arrival.

    At the moment when a look is lost this is the temperature at which it was lost, for what has once softened
    does not come back.
    """
    family = formulation.family.id
    day = brief.event_date(today)  # it has come: nothing is forecast days ahead any more
    at = brief.model_copy(update={"hold_hours": hours})
    heat = warm_cake(at, catalogue, seed, day, (family,), until_h=hours)
    peaks = heat.peak("coat" if brief.piping == "none" else "edge", family)
    low, likely, high = (float(value) for value in np.clip(np.quantile(peaks, _PERCENTILES), LEAST_C, MOST_C))
    return CoatTemperature(likely, low, high)


def compare(formulation: Formulation, events: Sequence[Event], softness: Softness, catalogue: Catalogue) -> Compared:
    """Return a formulation's softening temperature by our data, and after some events.

    Parameters
    ----------
    formulation : Formulation
        One of the catalogue's.
    events : sequence of Event
        What was seen of it; those of a look that is no longer known do not count.
    softness : Softness
        Draws of our data, nothing learnt in them: else an event would count twice.
    catalogue : Catalogue
        What each look allows.

    Notes
    -----
    A look is lost some way from softening to slumping. That way, with its own range, is taken off the coat's
    temperature, so that events of every look speak of one number; both ranges count as independent.
    """
    draws = softness.of(formulation)
    low, likely, high = (float(value) for value in np.quantile(draws.softens, _PERCENTILES))
    known = [event for event in events if event.look in LOOKS]
    seen = [_observed(event, formulation, draws, softness, catalogue) for event in known]
    ours = Posterior(likely, low, high, 0)
    return Compared(ours, update_softening(likely, low, high, seen) if seen else ours)


def _observed(
    event: Event, formulation: Formulation, draws: FatDraws, softness: Softness, catalogue: Catalogue
) -> Softened | Held:
    share = softness.share(catalogue.formulation_fact(formulation, f"look_{event.look}"))
    way = np.quantile(draws.at(share) - draws.softens, _PERCENTILES)
    coat = event.coat
    at = coat.likely_c - float(way[1])
    low = at - math.hypot(coat.likely_c - coat.low_c, float(way[2] - way[1]))
    high = at + math.hypot(coat.high_c - coat.likely_c, float(way[1] - way[0]))
    return Held(at, low, high) if event.is_held else Softened(at, low, high)


__all__ = [
    "LOOKS",
    "CoatTemperature",
    "Compared",
    "Event",
    "Posterior",
    "coat_temperature",
    "compare",
    "look_of",
]
