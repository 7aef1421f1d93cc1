"""An ingredient's amount in cups, spoons, sticks and eggs, for those who bake so; grams stay the amount that counts."""

from __future__ import annotations

import math
from fractions import Fraction

from webapp.catalogue.model import Ingredient
from webapp.units import GRAMS_PER_OUNCE, Measures

TBSP_PER: dict[str, float] = {"cup": 16, "stick": 8, "tbsp": 1, "tsp": 1 / 3}
SOLD_IN_STICKS = frozenset({"butter"})
_GLYPHS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}


def household(ingredient: Ingredient, grams: float, measures: Measures) -> str:
    """Say so many grams in household measures; nothing where the reader weighs in grams."""
    if not measures.is_customary("mass"):
        return ""
    weighed = measures.mass(grams)
    count, unit = _measure(ingredient)
    if unit not in TBSP_PER:
        eggs = max(1, round(grams / ingredient.household_g * count))
        return (
            weighed if unit == "oz" else f"{weighed}, from about {eggs} {unit} egg{'s' if eggs > 1 else ''}"
        )
    tbsp = grams / ingredient.household_g * count * TBSP_PER[unit]
    said = f"about {_spoons(tbsp, 'stick' if ingredient.id in SOLD_IN_STICKS else 'cup')}"
    return said if grams < GRAMS_PER_OUNCE else f"{weighed}, {said}"


def _measure(ingredient: Ingredient) -> tuple[int, str]:
    count, unit, *_ = ingredient.household_measure.split()
    return int(count), unit


def _spoons(tbsp: float, largest: str) -> str:
    """Say a volume [tbsp]: quarters of a cup or stick with what is over in spoons, or spoons alone."""
    quarter = int(TBSP_PER[largest]) // 4
    if tbsp < quarter:
        return _spoon(tbsp)
    whole = round(tbsp)
    quarters, over = divmod(whole, quarter)
    said = _counted(Fraction(quarters, 4), largest)
    return f"{said} and {over} tbsp" if over else said


def _spoon(tbsp: float) -> str:
    if tbsp >= 1:
        return f"{_mixed(Fraction(round(tbsp * 2), 2))} tbsp"
    return f"{_mixed(max(Fraction(1, 4), Fraction(round(tbsp * 12), 4)))} tsp"


def _counted(number: Fraction, unit: str) -> str:
    return f"{_mixed(number)} {unit}{'s' if number > 1 else ''}"


def _mixed(number: Fraction) -> str:
    whole = math.floor(number)
    glyph = _GLYPHS.get(number - whole, "")
    return " ".join(part for part in (str(whole) if whole else "", glyph) if part) or "0"
