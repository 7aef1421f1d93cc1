"""What rules say of a formula's water activity, acidity and sugar: the Food Code's tables, extension services.

A rule here reads numbers and returns what it says; which of them is followed is decided by the strictest. None of
them is a laboratory's test of a batch.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from webapp.catalogue.model import Catalogue, FoodCodeCell, Formulation
from webapp.kitchen.water_activity import Range, WaterEstimate

Says = Literal["room", "open", "fridge", "other"]
"""``room``: the rule would let it stand out; ``open``: the estimate straddles its limit; ``fridge``: it asks for
refrigeration; ``other``: the rule was not written for this food and decides nothing."""

STRICTEST: tuple[Says, ...] = ("fridge", "open", "room", "other")


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says of one formula, by the rule's id, with the figure that it read and its limit.

    ``limit_too`` is the limit of water activity of a rule that also has one.
    """

    rule: str
    says: Says
    read: Range
    limit: float
    limit_too: float = float("nan")


def cells_touched(cells: Iterable[FoodCodeCell], table: str, activity: Range, ph: Range) -> tuple[FoodCodeCell, ...]:
    """Return the cells of Food Code table ``a`` or ``b`` that the ranges of water activity and pH reach."""
    return tuple(
        cell
        for cell in cells
        if cell.table == table and cell.activity.meets(activity.low, activity.high) and cell.ph.meets(ph.low, ph.high)
    )


def food_code_finding(table: str, is_meant: bool, activity: Range, ph: Range, cells: Iterable[FoodCodeCell]) -> Finding:
    """Return what a Food Code table says; a cell that asks for an assessment counts as needing the fridge."""
    classes = {cell.class_ for cell in cells_touched(cells, table, activity, ph)}
    says: Says = "room" if classes == {"non-tcs"} else "fridge" if classes == {"pa"} else "open"
    return Finding(f"food-code-{table}", says if is_meant else "other", activity, float("nan"))


def _at_most(rule: str, read: Range, limit: float) -> Finding:
    says: Says = "room" if read.high <= limit else "fridge" if read.low > limit else "open"
    return Finding(rule, says, read, limit)


def _more_than(rule: str, read: Range, limit: float) -> Finding:
    says: Says = "room" if read.low > limit else "fridge" if read.high <= limit else "open"
    return Finding(rule, says, read, limit)


def strictest(said: Iterable[Says]) -> Says:
    """Return the strictest of what rules say."""
    return min(said, key=STRICTEST.index)


def findings(formulation: Formulation, water: WaterEstimate, catalogue: Catalogue) -> tuple[Finding, ...]:
    """Return what every rule says of a formula, in the order in which a page shows them."""
    ph, cells = Range.of(catalogue.formulation_fact(formulation, "ph")), catalogue.food_code
    return (
        food_code_finding("b", True, water.activity, ph, cells),
        # Table A is for food heated through and then packed so that nothing gets in: no coat is.
        food_code_finding("a", False, water.activity, ph, cells),
        _kansas(water, catalogue),
        _minnesota(formulation, water, catalogue),
        _iowa(formulation, water, catalogue),
    )


def _kansas(water: WaterEstimate, catalogue: Catalogue) -> Finding:
    share = water.sugar_share
    return _more_than("kansas-sugar", Range(share, share, share), catalogue.fact("rule:kansas", "least_sugar").value)


def _minnesota(formulation: Formulation, water: WaterEstimate, catalogue: Catalogue) -> Finding:
    """Return what a rule with two conditions says, that is written for uncooked frostings with dairy."""
    least, most = (catalogue.fact("rule:minnesota", name).value for name in ("least_brix", "most_activity"))
    brix, activity = _more_than("minnesota", water.dissolved_share, least), _at_most("minnesota", water.activity, most)
    is_meant = _has(formulation, "milk") and not _has(formulation, "egg") and not _is_boiled(formulation)
    says: Says = strictest((brix.says, activity.says)) if is_meant else "other"
    return Finding("minnesota", says, water.dissolved_share, least, most)


def _iowa(formulation: Formulation, water: WaterEstimate, catalogue: Catalogue) -> Finding:
    """Return what a rule says that sends egg to the fridge whatever the numbers are."""
    found = _at_most("iowa-activity", water.activity, catalogue.fact("rule:iowa", "most_activity").value)
    return Finding(found.rule, "fridge", found.read, found.limit) if _has(formulation, "egg") else found


def _has(formulation: Formulation, allergen: str) -> bool:
    return any(allergen in line.ingredient.allergens for line in formulation.lines)


def _is_boiled(formulation: Formulation) -> bool:
    return any(line.stage in ("syrup", "meringue") for line in formulation.lines)


@dataclass(frozen=True, slots=True)
class TimeRule:
    """How long food may be out of the fridge under one rule [h], and whether this event may use it.

    ``allows_h`` is what the rule gives for this event, ``why_not`` the condition that it misses, if any;
    ``hot_above_c`` is the air [°C] above which it gives less, where that is so here; ``is_by_coat`` tells that only the
    coat is that warm, in air that is not.
    """

    rule: str
    allows_h: float
    why_not: Literal["", "start-too-warm", "gets-too-warm", "start-and-gets-too-warm"] = ""
    hot_above_c: float | None = None
    is_by_coat: bool = False


def home_rule(warmest_c: float, catalogue: Catalogue, coat_c: float | None = None) -> TimeRule:
    """Return the rule for homes in air that gets as warm as this [°C]: 2 h, or 1 h above 90 °F.

    The source speaks of the air around the food. That a coat which the sun makes that warm [°C] is out as if the air
    were is an assumption, on the side of caution.
    """
    hot_above_c = catalogue.fact("out:home", "hot_above").value
    is_by_coat = coat_c is not None and warmest_c <= hot_above_c < coat_c
    if warmest_c > hot_above_c or is_by_coat:
        hours = catalogue.fact("out:home", "hot_hours").value
        return TimeRule("time-out", hours, hot_above_c=hot_above_c, is_by_coat=is_by_coat)
    return TimeRule("time-out", catalogue.fact("out:home", "hours").value)


def four_hour_rule(start_c: float, catalogue: Catalogue) -> TimeRule:
    """Return the Food Code's 4 h for a business, for a cake that starts so cold [°C]: from 41 °F or colder."""
    is_cold = start_c <= catalogue.fact("out:four-hours", "start_at_most").value
    return TimeRule("four-hours", catalogue.fact("out:four-hours", "hours").value, "" if is_cold else "start-too-warm")


def six_hour_rule(start_c: float, warmest_food_c: float, catalogue: Catalogue) -> TimeRule:
    """Return the Food Code's 6 h for a business: starts at 41 °F or colder, never gets above 70 °F (both in °C)."""
    is_cold = start_c <= catalogue.fact("out:six-hours", "start_at_most").value
    stays_cool = warmest_food_c <= catalogue.fact("out:six-hours", "food_at_most").value
    why: Literal["", "start-too-warm", "gets-too-warm", "start-and-gets-too-warm"]
    why = "start-too-warm" if not is_cold else "gets-too-warm" if not stays_cool else ""
    if not is_cold and not stays_cool:
        why = "start-and-gets-too-warm"
    return TimeRule("six-hours", catalogue.fact("out:six-hours", "hours").value, why)
