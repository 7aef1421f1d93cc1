"""Sweating on leaving the fridge, and how long a crust takes in this air."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from webapp.advice.heat import CakeHeat, boxed_cold_hours
from webapp.catalogue.model import Catalogue, Formulation
from webapp.thermal.holding import Spread

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
    if amount == "none":
        return Sweat(amount, grams, hours, None)
    boxed = Spread.of(boxed_cold_hours(heat.brief, catalogue, seed, today, coat.family.id))
    return Sweat(amount, grams, hours, boxed)


def _amount(grams: float, catalogue: Catalogue) -> Amount:
    if grams < DRY_BELOW_G_M2:
        return "none"
    if grams < catalogue.fact("sweat", "visible_from").value:
        return "haze"
    return "sweat" if grams < catalogue.fact("sweat", "runs_from").value else "beads"


def crust_of(coat: Formulation, humidity_pct: float, catalogue: Catalogue) -> Crust:
    """Return how long a crust takes: the drying slows with what the air can still take up."""
    usual = catalogue.fact("crusting", "minutes")
    full = catalogue.fact("crusting", "full_below").value
    none = catalogue.fact("crusting", "none_above").value
    if catalogue.formulation_fact(coat, "crusts").value < 0.5 or humidity_pct >= none:
        return Crust(None, usual.value)
    slower = (none - full) / (none - max(humidity_pct, full))
    return Crust((usual.low * slower, usual.value * slower, usual.high * slower), usual.value)
