"""Units at the border: SI, °C and grams inside; what a person reads or types is converted here and nowhere else."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, get_args

CM_PER_INCH = 2.54
METRES_PER_FOOT = 0.3048
GRAMS_PER_OUNCE = 28.349523125
LITRES_PER_QUART = 0.946352946
MPS_PER_MPH = 0.44704
KELVIN_AT_0_C = 273.15


def fahrenheit(celsius: float) -> float:
    """Convert a temperature [°C] to [°F]."""
    return celsius * 9 / 5 + 32


def celsius(fahrenheit: float) -> float:
    """Convert a temperature [°F] to [°C]."""
    return (fahrenheit - 32) * 5 / 9


def _whole(number: float) -> int:
    """Round half away from zero, as people do, so that 0.5 and -0.5 are treated alike."""
    return int(math.copysign(math.floor(abs(number) + 0.5), number))


def duration(hours: float) -> str:
    """Say a time span [h] to the nearest five minutes: ``3 h 10 min``, ``45 min``, ``2 h``."""
    minutes = 5 * _whole(hours * 12)
    if minutes < 60:
        return f"{minutes} min"
    whole, rest = divmod(minutes, 60)
    return f"{whole} h {rest} min" if rest else f"{whole} h"


LOOK_AHEAD_H = 12.0  # nothing is computed further ahead


def lasting(hours: float) -> str:
    """Say how long something lasts [h]; at the end of what is computed ``12 h or more``."""
    return f"{LOOK_AHEAD_H:g} h or more" if hours >= LOOK_AHEAD_H - 1 / 24 else duration(hours)


def lasting_between(low_h: float, high_h: float) -> str:
    """Say a range of lasting [h], the unit once where both are minutes; ends that round alike are set apart."""
    low, high = lasting(low_h), lasting(high_h)
    if low == high and low_h < high_h < LOOK_AHEAD_H - 1 / 24:
        low, high = lasting(math.floor(low_h * 12) / 12), lasting(math.ceil(high_h * 12) / 12)
    if low == high:
        return low
    if low.endswith(" min") and high.endswith(" min") and " h " not in low + high:
        return f"{low.removesuffix(' min')} to {high}"
    return f"{low} to {high}"


def lasting_with_range(likely_h: float, low_h: float, high_h: float) -> str:
    """Say how long something lasts [h] with its range, which is left out where nothing is uncertain in it.

    What likely lasts as long as is computed may still be short: ``12 h or more, perhaps only 35 min``.
    """
    likely, between = lasting(likely_h), lasting_between(low_h, high_h)
    if likely == lasting(LOOK_AHEAD_H) != between:
        return f"{likely}, perhaps {'none' if low_h < 1 / 24 else f'only {duration(low_h)}'}"
    return likely if likely == between else f"{likely} ({between})"


Kind = Literal["temperature", "length", "thickness", "mass", "speed", "altitude", "clock", "date"]


@dataclass(frozen=True, slots=True)
class Measures:
    """How one reader likes numbers written; every method takes the unit used inside.

    ``customary`` names the kinds that this reader has in °F, inches, ounces and quarts, mph and feet, with the clock of
    twelve hours and the month before the day; all others are metric, with the clock of 24 hours and the day first.
    """

    name: str
    customary: frozenset[Kind]

    def is_customary(self, kind: Kind) -> bool:
        """Tell whether the reader has this kind of number in the way of the United States."""
        return kind in self.customary

    def temperature(self, celsius: float) -> str:
        """Write a temperature [°C] to the whole degree of the reader's scale."""
        return f"{self._degrees(celsius)} {self.degree}"

    def temperatures(self, low_c: float, high_c: float) -> str:
        """Write a range of temperatures [°C] with its unit once; ends that round alike are set apart."""
        if low_c == high_c:
            return self.temperature(low_c)
        low, high = self._whole_ends(self._in_degrees(low_c), self._in_degrees(high_c))
        return f"{low} to {high} {self.degree}"

    def warming(self, kelvin: float) -> str:
        """Write a difference of temperature [K] in the reader's degrees, without an offset."""
        return f"{_whole(kelvin * self._degrees_per_k)} {self.degree}"

    def warmings(self, low_k: float, high_k: float) -> str:
        """Write a range of differences [K] with its unit once; ends that round alike are set apart."""
        low, high = self._whole_ends(low_k * self._degrees_per_k, high_k * self._degrees_per_k)
        return f"{low} to {high} {self.degree}"

    def each_degree(self, per_kelvin: float) -> float:
        """Turn so much for each kelvin into so much for each of the reader's degrees."""
        return per_kelvin / self._degrees_per_k

    @property
    def degree(self) -> str:
        """The sign of the reader's degree."""
        return "°F" if self.is_customary("temperature") else "°C"

    @property
    def _degrees_per_k(self) -> float:
        return 9 / 5 if self.is_customary("temperature") else 1.0

    def _degrees(self, celsius: float) -> int:
        return _whole(self._in_degrees(celsius))

    def _in_degrees(self, celsius: float) -> float:
        return fahrenheit(celsius) if self.is_customary("temperature") else celsius

    @staticmethod
    def _whole_ends(low: float, high: float) -> tuple[int, int]:
        """Round a range to whole degrees, outwards where it would shrink to a single one."""
        ends = _whole(low), _whole(high)
        return ends if ends[0] != ends[1] or low == high else (math.floor(low), math.ceil(high))

    def length(self, cm: float) -> str:
        """Write a length [cm]; inches to the eighth, as a mixed number: ``11 ¾ in``."""
        if not self.is_customary("length"):
            return f"{cm:.4g} cm"
        return f"{_mixed(Fraction(_whole(cm / CM_PER_INCH * 8), 8))} in"

    def thickness(self, mm: float) -> str:
        """Write a thickness [mm]; inches to the sixteenth, as a ruler has them: ``¼ in``, ``1 ⅛ in``."""
        if not self.is_customary("thickness"):
            return f"{_whole(mm)} mm"
        return f"{_mixed(Fraction(_whole(mm / 10 / CM_PER_INCH * 16), 16))} in"

    def mass(self, grams: float) -> str:
        """Write a mass [g], in kilograms or pounds when it is large."""
        if not self.is_customary("mass"):
            return f"{_whole(grams)} g" if grams < 1000 else f"{grams / 1000:.1f} kg"
        ounces = grams / GRAMS_PER_OUNCE
        pounds, over = divmod(_whole(ounces), 16)
        if not pounds:
            return f"{ounces:.2g} oz"
        return f"{pounds} lb {over} oz" if over else f"{pounds} lb"

    def duration(self, hours: float) -> str:
        """Write a time span [h] to five minutes."""
        return duration(hours)

    def clock(self, moment: dt.time | dt.datetime) -> str:
        """Write a time of day: ``16:15``, or ``4:15 pm``."""
        if not self.is_customary("clock"):
            return f"{moment:%H:%M}"
        return f"{moment.hour % 12 or 12}:{moment:%M} {_half(moment.hour)}"

    def full_hour(self, hour: int) -> str:
        """Write a full hour [0..24] on a scale: ``16:00``, or ``4 pm``."""
        hour %= 24
        return f"{hour % 12 or 12} {_half(hour)}" if self.is_customary("clock") else f"{hour:02d}:00"

    def day(self, day: dt.date) -> str:
        """Write a day of this year with its weekday: ``Friday 25 June``, or ``Friday, June 25``."""
        return f"{day:%A}, {day:%B} {day.day}" if self.is_customary("date") else f"{day:%A} {day.day} {day:%B}"

    def full_day(self, day: dt.date) -> str:
        """Write a day with weekday and year: ``Friday 25 June 2027``, or ``Friday, June 25, 2027``."""
        return f"{self.day(day)}{',' if self.is_customary('date') else ''} {day.year}"

    def date(self, day: dt.date) -> str:
        """Write a day of any year: ``25 June 2027``, or ``June 25, 2027``."""
        if self.is_customary("date"):
            return f"{day:%B} {day.day}, {day.year}"
        return f"{day.day} {day:%B} {day.year}"

    def stamp(self, moment: dt.datetime) -> str:
        """Write when something was kept: ``25 Jun 2027, 16:15``, or ``Jun 25, 2027, 4:15 pm``."""
        month_first = self.is_customary("date")
        day = f"{moment:%b} {moment.day}, {moment.year}" if month_first else f"{moment.day} {moment:%b} {moment.year}"
        return f"{day}, {self.clock(moment)}"

    def moment(self, moment: dt.datetime) -> str:
        """Write a time of day with its weekday: ``Fri 16:15``, or ``Fri 4:15 pm``."""
        return f"{moment:%a} {self.clock(moment)}"


_GLYPHS = {
    Fraction(1, 8): "⅛",
    Fraction(1, 4): "¼",
    Fraction(3, 8): "⅜",
    Fraction(1, 2): "½",
    Fraction(5, 8): "⅝",
    Fraction(3, 4): "¾",
    Fraction(7, 8): "⅞",
}


def _mixed(number: Fraction) -> str:
    """Write a mixed number: ``1 ¾``, ``3/16``; the slash of fractions runs into the digits of many fonts."""
    whole, part = divmod(number, 1)
    told = _GLYPHS.get(part, f"{part.numerator}/{part.denominator}") if part else ""
    return f"{whole} {told}".strip() if whole else told or "0"


def _half(hour: int) -> str:
    """Name the half of the day of an hour [0..23]."""
    return "am" if hour < 12 else "pm"


METRIC = Measures("metric", frozenset())
US = Measures("us", frozenset(get_args(Kind)))
UK = Measures("uk", frozenset({"length", "speed"}))  # tins by the inch and wind by the mile; all else metric
MEASURES = {measures.name: measures for measures in (METRIC, US, UK)}
