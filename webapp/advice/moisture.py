"""Sweating on leaving the fridge, and how long a crust takes in this air."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

import numpy as np

from webapp.advice.heat import CakeHeat, warm_cake
from webapp.catalogue.model import Catalogue, Formulation
from webapp.thermal.holding import Spread
from webapp.thermal.humid import dew_point, saturation_pressure

Amount = Literal["none", "haze", "sweat", "beads"]
DRY_BELOW_G_M2 = 1.0  # a film too thin to see, judgement


@dataclass(frozen=True, slots=True)
class Sweat:
    """Water that settles on the cold coat: how much [g/m2], for how long [h], and how long a box must stay shut."""

    amount: Amount
    grams_m2: Spread
    hours: Spread
    boxed_h: Spread | None


@dataclass(frozen=True, slots=True)
class Crust:
    """Minutes until a crusting coat can be smoothed with paper in this air; none where it does not crust."""

    minutes: tuple[float, float, float] | None
    usual_minutes: float


def sweat_of(coat: Formulation, heat: CakeHeat, catalogue: Catalogue, seed: int, today: dt.date) -> Sweat:
    """Return how the coldest tier sweats under a coat, and how long it would have to stay boxed to stay dry."""
    bodies = heat.bodies(coat.family.id)
    grams = Spread.of(heat.warming.sweat_g_m2[bodies].max(axis=0))
    hours = Spread.of(heat.warming.sweat_h[bodies].max(axis=0))
    amount = _amount(grams.likely, catalogue)
    boxed = None if amount == "none" else _boxed_hours(coat, heat, catalogue, seed, today)
    return Sweat(amount, grams, hours, boxed)


def _amount(grams: float, catalogue: Catalogue) -> Amount:
    if grams < DRY_BELOW_G_M2:
        return "none"
    if grams < catalogue.fact("sweat", "visible_from").value:
        return "haze"
    return "sweat" if grams < catalogue.fact("sweat", "runs_from").value else "beads"


def _boxed_hours(coat: Formulation, heat: CakeHeat, catalogue: Catalogue, seed: int, today: dt.date) -> Spread:
    """Return how long [h] after its arrival a boxed cake stays colder than the dew point of the place."""
    boxed = warm_cake(
        heat.brief, catalogue, seed, today, (coat.family.id,), is_boxed=True, until_h=heat.brief.hold_hours
    )
    coldest = boxed.warming.surface.min(axis=0)
    vapour = boxed.exposure.vapour_pa
    dew = dew_point(20.0, 100 * vapour / saturation_pressure(20.0))
    still_cold = (coldest < dew[:, None]) & (boxed.warming.hours >= 0)[:, None]
    last = np.where(still_cold, boxed.warming.hours[:, None], 0.0).max(axis=0)
    return Spread.of(last)


def crust_of(coat: Formulation, humidity_pct: float, catalogue: Catalogue) -> Crust:
    """Return how long a crust takes: the drying slows with what the air can still take up."""
    usual = catalogue.fact("crusting", "minutes")
    full = catalogue.fact("crusting", "full_below").value
    none = catalogue.fact("crusting", "none_above").value
    if catalogue.formulation_fact(coat, "crusts").value < 0.5 or humidity_pct >= none:
        return Crust(None, usual.value)
    slower = (none - full) / (none - max(humidity_pct, full))
    return Crust((usual.low * slower, usual.value * slower, usual.high * slower), usual.value)
