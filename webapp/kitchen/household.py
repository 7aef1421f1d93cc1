"""From cups, spoons, sticks and eggs to grams, by household weights; volumes are US customary.

A US cup is 236.588 mL (NIST Handbook 44, appendix C): 16 tablespoons of 14.787 mL, 48 teaspoons of 4.929 mL. A metric
cup (250 mL) or an Australian tablespoon (20 mL) is not meant by these words here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from webapp.catalogue.model import HouseholdWeight, Ingredient

# Each unit by the name that pint has for it.
MASSES = {"g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound", "mg": "milligram"}
VOLUMES = {
    "cup": "cup",
    "tbsp": "tablespoon",
    "tsp": "teaspoon",
    "fl oz": "fluid_ounce",
    "pint": "pint",
    "quart": "quart",
    "mL": "milliliter",
    "cL": "centiliter",
    "dL": "deciliter",
    "L": "liter",
}
PINCH_TSP, DASH_TSP = 1 / 16, 1 / 8  # common practice, no source
_SPOONED = {"cup": "cup", "tbsp": "tbsp", "tsp": "tsp", "fl-oz": "fl oz"}  # measures that are volumes
_CUPS = {"sifted": "cup-sifted", "unpacked": "cup-unpacked"}

Weights = Mapping[tuple[str, str], HouseholdWeight]


class NoWeightError(Exception):
    """What a measure of this ingredient weighs is not known; the message says what is."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A mass [g], the rule that gave it, and the source of the household weight (empty where it was weighed)."""

    grams: float
    rule: str
    source: str = ""


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint  # slow to import: only whoever reads recipes pays

    return pint.UnitRegistry()


@lru_cache(maxsize=64)
def _in(unit: str, wanted: str) -> float:
    return float(_registry().Quantity(1, unit).to(wanted).magnitude)


def grams_in(unit: str) -> float:
    """Return what a unit of mass weighs [g]."""
    return _in(MASSES[unit], "gram")


def millilitres_in(unit: str) -> float:
    """Return what a unit of volume holds [mL], US customary."""
    return _in(VOLUMES[unit], "milliliter")


def weigh(
    number: float, unit: str, ingredient: Ingredient, weights: Weights, *, size: str = "", state: str = ""
) -> Weighed:
    """Return what a number of units of an ingredient weighs, with the rule.

    Parameters
    ----------
    unit
        A key of ``MASSES`` or ``VOLUMES``, ``stick``, ``pinch``, ``dash``, or nothing for pieces.
    size
        The size of an egg by the US scale; large where it is not said.
    state
        ``sifted`` or ``unpacked`` where the cup was filled so.

    Raises
    ------
    NoWeightError
        If no household weight of the ingredient fits; it says what would.
    """
    if unit in MASSES:
        rule = "weighed" if unit == "g" else f"1 {unit} = {grams_in(unit):.5g} g"
        return Weighed(number * grams_in(unit), rule)
    known = _weights_of(ingredient, weights)
    if unit == "":
        return _pieces(number, ingredient, known, size)
    if unit in ("pinch", "dash"):
        return _pinches(number, unit, ingredient, known)
    if unit == "stick":
        return _sticks(number, ingredient, known)
    return _volume(number, unit, ingredient, known, state)


def _weights_of(ingredient: Ingredient, weights: Weights) -> dict[str, HouseholdWeight]:
    """Collect the ingredient's household weights by measure, the one beside its composition among them."""
    known = {measure: weight for (owner, measure), weight in weights.items() if owner == ingredient.id}
    count, measure, *_ = ingredient.household_measure.split()
    each = ingredient.household_g / float(count)
    own = (ingredient.id, measure, each, ingredient.basis, ingredient.source, ingredient.locator)
    known.setdefault(measure, HouseholdWeight(*own, ingredient.checked_on))
    return known


def _pieces(number: float, ingredient: Ingredient, known: Mapping[str, HouseholdWeight], size: str) -> Weighed:
    measure = size or ("large" if "large" in known else "fruit")
    if measure not in known:
        raise NoWeightError(f"{ingredient.name} is not counted in pieces: {_known_measures(known)}")
    one = known[measure]
    what = "lemon" if measure == "fruit" else f"{measure.replace('-', ' ')} egg"
    return Weighed(number * one.grams, f"1 {what} gives {one.grams:.3g} g", one.source)


def _sticks(number: float, ingredient: Ingredient, known: Mapping[str, HouseholdWeight]) -> Weighed:
    if "stick" not in known:
        raise NoWeightError(f"what a stick of it weighs is not known: {_known_measures(known)}")
    return Weighed(number * known["stick"].grams, f"1 stick = {known['stick'].grams:.3g} g", known["stick"].source)


def _pinches(number: float, unit: str, ingredient: Ingredient, known: Mapping[str, HouseholdWeight]) -> Weighed:
    if unit in known:
        return Weighed(number * known[unit].grams, f"1 {unit} = {known[unit].grams:.2g} g", known[unit].source)
    share = PINCH_TSP if unit == "pinch" else DASH_TSP
    made = _volume(share, "tsp", ingredient, known, "")
    rule = f"1 {unit} taken as 1/{1 / share:.0f} tsp, {made.grams:.2g} g (common practice)"
    return Weighed(number * made.grams, rule, made.source)


def _volume(
    number: float, unit: str, ingredient: Ingredient, known: Mapping[str, HouseholdWeight], state: str
) -> Weighed:
    """Use the weight of this very measure, or go by volume from the largest one that is known."""
    filled = _CUPS.get(state, "")
    if unit == "cup" and filled in known:
        cup = known[filled]
        return Weighed(number * cup.grams, f"1 cup, {state} = {cup.grams:.4g} g", cup.source)
    own = known.get(unit.replace(" ", "-"))
    if own is not None:
        return Weighed(number * own.grams, f"1 {unit} = {own.grams:.4g} g", own.source)
    base = next((measure for measure in _SPOONED if measure in known), None)
    if base is None:
        raise NoWeightError(f"what a {unit} of it weighs is not known: {_known_measures(known)}")
    base_ml, asked_ml = millilitres_in(_SPOONED[base]), millilitres_in(unit)
    each = known[base].grams * asked_ml / base_ml
    rule = f"1 {_SPOONED[base]} ({base_ml:.4g} mL) = {known[base].grams:.4g} g, so 1 {unit} = {each:.3g} g"
    return Weighed(number * each, rule, known[base].source)


def _known_measures(known: Mapping[str, HouseholdWeight]) -> str:
    counted = [measure.replace("-", " ") for measure in known if measure != "oz"]
    return "give grams or ounces" + (f", or use {', '.join(counted)}" if counted else "")
