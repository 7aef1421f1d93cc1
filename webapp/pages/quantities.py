"""Fields that carry a unit: their names, their units and how a number crosses from one to the other."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from webapp import units
from webapp.advice.brief import Brief, Tier
from webapp.advice.plan_options import PlanOptions
from webapp.units import Kind, Measures

METRIC_DECIMALS = 4
SHOWN_DECIMALS = 2


@dataclass(frozen=True, slots=True)
class Quantity:
    """A kind of number; ``us_decimals`` is what a metric number with ``shown_decimals`` needs to survive."""

    kind: Kind
    metric_suffix: str
    us_suffix: str
    metric_unit: str
    us_unit: str
    us_decimals: int
    to_us: Callable[[float], float]
    to_metric: Callable[[float], float]
    shown_decimals: int = SHOWN_DECIMALS

    def unit(self, measures: Measures) -> str:
        return self.us_unit if measures.is_customary(self.kind) else self.metric_unit

    def read(self, number: float) -> float:
        """Take a number in US units to metric: to the tidy number that is shown as it, where there is one."""
        metric = self.to_metric(number)
        tidy = round(metric, self.shown_decimals)
        is_shown_so = round(self.to_us(tidy), self.us_decimals) == round(number, self.us_decimals)
        return tidy if is_shown_so else round(metric, METRIC_DECIMALS)

    def show(self, metric: float, measures: Measures) -> float:
        """Take a metric number to the reader's units; one of at most ``shown_decimals`` comes back as it was."""
        if not measures.is_customary(self.kind):
            return round(metric, self.shown_decimals)
        return round(self.to_us(metric), self.us_decimals)

    def bounds(self, low: float, high: float, measures: Measures) -> tuple[float, float]:
        """Take what is allowed to the reader's units, rounded inwards so that both ends are accepted."""
        if not measures.is_customary(self.kind):
            return low, high
        grain = 10**self.shown_decimals
        return math.ceil(self.to_us(low) * grain) / grain, math.floor(self.to_us(high) * grain) / grain


def _scaled(metric_per_us: float) -> tuple[Callable[[float], float], Callable[[float], float]]:
    return lambda metric: metric / metric_per_us, lambda us: us * metric_per_us


TEMPERATURE = Quantity("temperature", "c", "f", "°C", "°F", 2, units.fahrenheit, units.celsius)
LENGTH = Quantity("length", "cm", "in", "cm", "in", 3, *_scaled(units.CM_PER_INCH))
THICKNESS = Quantity("thickness", "mm", "in", "mm", "in", 4, *_scaled(10 * units.CM_PER_INCH))
SPEED = Quantity("speed", "mps", "mph", "m/s", "mph", 2, *_scaled(units.MPS_PER_MPH))
ALTITUDE = Quantity("altitude", "m", "ft", "m", "ft", 2, *_scaled(units.METRES_PER_FOOT))
# What is poured and what is weighed are one habit: who weighs in ounces buys by the quart.
VOLUME = Quantity("mass", "l", "qt", "L", "qt", 2, *_scaled(units.LITRES_PER_QUART))
MASS = Quantity("mass", "g", "oz", "g", "oz", 3, *_scaled(units.GRAMS_PER_OUNCE), shown_decimals=1)
SLICE = "slice_g"  # of the ingredient card, which asks for more than a brief or a plan
_BY_SUFFIX = {q.metric_suffix: q for q in (TEMPERATURE, LENGTH, THICKNESS, SPEED, ALTITUDE, VOLUME)}

QUANTITY_OF = {
    name: _BY_SUFFIX[name.rpartition("_")[2]]
    for model in (Brief, Tier, PlanOptions)
    for name in model.model_fields
    if "_" in name and name.rpartition("_")[2] in _BY_SUFFIX
} | {SLICE: replace(MASS, us_decimals=4, shown_decimals=SHOWN_DECIMALS)}  # to 0.01 g, for which ounces need four
US_NAME = {name: f"{name.rpartition('_')[0]}_{q.us_suffix}" for name, q in QUANTITY_OF.items()}
METRIC_NAME = {us: metric for metric, us in US_NAME.items()}


def name_in(measures: Measures, field: str) -> str:
    """Name a field as the reader's form names it: ``air_high_f`` for ``air_high_c``."""
    quantity = QUANTITY_OF.get(field)
    return US_NAME[field] if quantity and measures.is_customary(quantity.kind) else field
