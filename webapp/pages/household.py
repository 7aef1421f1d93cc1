"""An ingredient's amount in cups, spoons, sticks and eggs, for those who bake so; grams stay the amount that counts."""

from __future__ import annotations

import math
from fractions import Fraction

from webapp.catalogue.model import Ingredient
from webapp.units import GRAMS_PER_OUNCE, Measures

TBSP_PER: dict[str, float] = {"cup": 16, "stick": 8, "tbsp": 1, "tsp": 1 / 3}
TBSP_ML = 14.7868
LEAST_IN_OUNCES_G = 5.0  # a pinch has none
TENTHS_BELOW_LB = 5  # from here on a whole ounce is within a hundredth
SOLD_IN_STICKS = frozenset({"butter"})
_GLYPHS = {Fraction(1, 8): "⅛", Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}


def household(ingredient: Ingredient, grams: float, measures: Measures) -> str:
    """Say so many grams in household measures; nothing where the reader weighs in grams."""
    if not measures.is_customary("mass"):
        return ""
    weighed = ounces(grams)
    count, unit = _measure(ingredient)
    if unit not in TBSP_PER:
        eggs = max(1, round(grams / ingredient.household_g * count))
        return (
            weighed if unit == "oz" else f"{weighed}, from about {eggs} {unit} egg{'s' if eggs > 1 else ''}"
        )
    tbsp = grams / ingredient.household_g * count * TBSP_PER[unit]
    said = f"about {_spoons(tbsp, 'stick' if ingredient.id in SOLD_IN_STICKS else 'cup')}"
    return said if grams < GRAMS_PER_OUNCE else f"{weighed}, {said}"


def ounces(grams: float) -> str:
    """Say a weight as a US kitchen scale shows it: pounds, and ounces to the tenth as long as that matters."""
    if grams < GRAMS_PER_OUNCE:
        return f"{grams / GRAMS_PER_OUNCE:.1g} oz"
    if grams < TENTHS_BELOW_LB * 16 * GRAMS_PER_OUNCE:
        pounds, tenths = divmod(round(10 * grams / GRAMS_PER_OUNCE), 160)
        over = f"{tenths / 10:g} oz"
    else:
        pounds, tenths = divmod(round(grams / GRAMS_PER_OUNCE), 16)
        over = f"{tenths} oz"
    return " ".join(part for part in (f"{pounds} lb" if pounds else "", over if tenths or not pounds else "") if part)


def cups(ml: float) -> str:
    """Say a volume in cups, in steps that grow with it, or in spoons below a quarter of one."""
    tbsp = ml / TBSP_ML
    if tbsp < 15.5:
        return _spoons(tbsp, "cup")
    count = tbsp / TBSP_PER["cup"]
    parts = next(parts for below, parts in ((8, 4), (20, 2), (math.inf, 1)) if count < below)
    return _counted(Fraction(round(count * parts), parts), "cup")


def spoonfuls(ml: float) -> str:
    """Say a volume that is counted many times: in spoons, in steps that grow with it, within a sixth of it."""
    tbsp = ml / TBSP_ML
    if tbsp < 2:
        return f"{_mixed(max(Fraction(1, 4), Fraction(round(tbsp * 12), 4)))} tsp"
    if tbsp >= TBSP_PER["cup"]:
        return cups(ml)
    parts = next(parts for below, parts in ((4, 4), (8, 2), (math.inf, 1)) if tbsp < below)
    return f"{_mixed(Fraction(round(tbsp * parts), parts))} tbsp"


def cups_between(low_ml: float, high_ml: float) -> str:
    """Say a range of volumes, the unit once where both are cups."""
    low, high = cups(low_ml), cups(high_ml)
    return low if low == high else f"{low.removesuffix(' cups') if high.endswith(' cups') else low} to {high}"


def _measure(ingredient: Ingredient) -> tuple[int, str]:
    count, unit, *_ = ingredient.household_measure.split()
    return int(count), unit


def _spoons(tbsp: float, largest: str) -> str:
    """Say a volume [tbsp]: quarters of a cup or stick with what is over in spoons, or spoons alone."""
    quarter = int(TBSP_PER[largest]) // 4
    if tbsp < quarter - 0.25:  # nearer to the half spoon below it
        return _spoon(tbsp)
    whole = round(tbsp)
    quarters, over = divmod(whole, quarter)
    said = _counted(Fraction(quarters, 4), largest)
    return f"{said} and {over} tbsp" if over else said


def _spoon(tbsp: float) -> str:
    if tbsp >= 1:
        return f"{_mixed(Fraction(round(tbsp * 2), 2))} tbsp"
    tsp = Fraction(round(tbsp * 12), 4) if tbsp * 3 >= 3 / 16 else Fraction(1, 8)
    return "1 tbsp" if tsp == 3 else f"{_mixed(tsp)} tsp"


def _counted(number: Fraction, unit: str) -> str:
    return f"{_mixed(number)} {unit}{'s' if number > 1 else ''}"


def _mixed(number: Fraction) -> str:
    whole = math.floor(number)
    glyph = _GLYPHS.get(number - whole, "")
    return " ".join(part for part in (str(whole) if whole else "", glyph) if part) or "0"
