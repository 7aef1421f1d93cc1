"""The sentences on egg and keeping: short, concrete, every number with its range; none says more than was shown."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from webapp.catalogue.model import Fact, Formulation
from webapp.kitchen.egg_heat import COOKED_C
from webapp.kitchen.keeping import Finding, Says
from webapp.kitchen.syrup import boiling_point, sugar_share_of
from webapp.kitchen.water_activity import Range, WaterEstimate
from webapp.units import Measures

MOST_SHOWN = 7.0  # powers of ten; beyond this nothing was counted in the studies
RULE_TITLES = {
    "food-code-b": "Food Code, table B",
    "food-code-a": "Food Code, table A",
    "kansas-sugar": "Kansas State on sugar by weight",
    "minnesota": "Minnesota on Brix and water activity",
    "iowa-activity": "Iowa State on water activity and egg",
}
SAYS = {
    "room": "would let it stand out",
    "open": "cannot be told, so it is kept cold",
    "fridge": "asks for the fridge",
    "other": "not written for this food",
}
_EGG_NAMES = {"white": "whites", "yolk": "yolks"}


def egg_name(formulation: Formulation) -> str:
    """Name the egg in a formulation: ``whites``, ``yolks`` or ``egg``."""
    parts = {line.ingredient.egg_part for line in formulation.lines} - {"none"}
    return _EGG_NAMES[next(iter(parts))] if len(parts) == 1 else "egg"


def _no_egg(formulation: Formulation, reached: Range | None, measures: Measures) -> tuple[str, ...]:
    return ("There is no egg in it.",)


def _heated(formulation: Formulation, reached: Range | None, measures: Measures) -> tuple[str, ...]:
    cooked = measures.temperature(COOKED_C)
    return (
        f"The {egg_name(formulation)} and the sugar are warmed over a water bath to {cooked}, stirring all the time.",
        "That counts only if a thermometer in the middle of the mix shows it, in every batch. By eye, by touch or by "
        "sugar that has dissolved nobody can tell.",
    )


def _syrup_cooked(formulation: Formulation, reached: Range | None, measures: Measures) -> tuple[str, ...]:
    egg = egg_name(formulation)
    told = [f"Hot syrup is poured into the whipping {egg}, and nothing else heats them."]
    if reached is not None:
        span = measures.temperatures(reached.low, reached.high)
        told.append(
            f"By a heat balance the mix likely reaches {measures.temperature(reached.likely)} ({span}) and cools at "
            "once. A cold bowl, cold eggs or a small batch make it less."
        )
    told.append(
        f"So it is not shown to be pasteurised: that would take a thermometer reading {measures.temperature(COOKED_C)} "
        "in the mix itself, or egg that was pasteurised before it was sold."
    )
    return tuple(told)


def _pasteurised(formulation: Formulation, reached: Range | None, measures: Measures) -> tuple[str, ...]:
    return (
        f"The {egg_name(formulation)} are bought pasteurised, so the making does not have to cook them. They spoil "
        "like any egg once the carton is open: keep them and the buttercream cold.",
    )


def egg_told(formulation: Formulation, reached: Range | None, measures: Measures) -> tuple[str, ...]:
    """Say how the egg of a formulation is cooked and what that is worth."""
    return _EGG_TOLD[formulation.egg_treatment](formulation, reached, measures)


_EGG_TOLD: Mapping[str, Callable[[Formulation, Range | None, Measures], tuple[str, ...]]] = {
    "none": _no_egg,
    "heated-71c": _heated,
    "syrup-cooked": _syrup_cooked,
    "pasteurised": _pasteurised,
}


def syrup_told(formulation: Formulation, measures: Measures, altitude_m: float) -> str:
    """Say how hot the syrup boils at an altitude [m]."""
    share = sugar_share_of(formulation)
    here = measures.temperature(boiling_point(share, altitude_m))
    where = "at sea level" if altitude_m == 0 else "at this altitude"
    return f"Its syrup of {100 * share:.0f} % sugar boils at {here} {where}."


def _number(value: float, decimals: int, limit: float | None = None) -> str:
    """Write a number; with more decimals, up to three more, where rounding would put it on a limit it is not at."""
    written = f"{value:.{decimals}f}"
    if limit is None or math.isclose(value, limit):
        return written
    finer = (f"{value:.{places}f}" for places in range(decimals, decimals + 4))
    return next((text for text in finer if not math.isclose(float(text), limit)), written)


READ_AGAINST = 0.85  # water activity that cottage food rules allow at most, which a number near it must not be told as


def spread(value: Range, limit: float | None = None) -> str:
    """Write a number of two decimals with its ends, which are left out where they round to the same.

    What lies beside a limit that it is read against is never written as that limit.
    """
    low, likely, high = (_number(end, 2, limit) for end in (value.low, value.likely, value.high))
    return likely if low == high else f"{likely} ({low} to {high})"


def percent_spread(value: Range, limit: float | None = None) -> str:
    """Write a share in percent with its ends; a limit is a share too."""
    most = None if limit is None else 100 * limit
    low, likely, high = (_number(100 * end, 1, most) for end in (value.low, value.likely, value.high))
    return f"{likely} %" if low == high else f"{likely} % ({low} to {high})"


def reduction_text(value: Range) -> str:
    """Write powers of ten with their ends; above what the studies counted nothing more is claimed."""
    if value.low >= MOST_SHOWN:
        return f"over {MOST_SHOWN:g}"
    return f"{_power(value.likely)} ({_power(value.low)} to {_power(value.high)})"


def _power(value: float) -> str:
    if value >= MOST_SHOWN:
        return f"over {MOST_SHOWN:g}"
    return f"{value:.2f}" if value < 0.095 else f"{value:.1f}"


def ph_told(ph: Fact) -> str:
    """Write a pH with its ends, each with one decimal."""
    return f"{ph.value:.1f} ({ph.low:.1f} to {ph.high:.1f})"


def finding_told(finding: Finding, water: WaterEstimate, ph: Fact) -> str:
    """Say what a rule reads of a formula and where its limit is."""
    match finding.rule:
        case "food-code-a" | "food-code-b":
            activity = spread(water.activity, READ_AGAINST)
            return f"Water activity {activity} at pH {ph_told(ph)}: {_CODE_TOLD[finding.says]}."
        case "kansas-sugar":
            more = "more" if finding.says == "room" else "not more"
            share = percent_spread(finding.read, finding.limit)
            return f"It is {share} sugar by weight: {more} than {100 * finding.limit:g} %."
        case "minnesota":
            return (
                f"Its water phase has {percent_spread(finding.read, finding.limit)} sugar (the rule asks for more than "
                f"{100 * finding.limit:g} %); its water activity is {spread(water.activity, finding.limit_too)} "
                f"(at most {finding.limit_too:g})."
            )
        case _:
            egg = " It holds egg." if finding.rule == "iowa-activity" and finding.says == "fridge" else ""
            if egg and finding.read.low > finding.limit:
                egg = ""
            return f"Water activity {spread(finding.read, finding.limit)}; the limit is {finding.limit:g}.{egg}"


_CODE_TOLD = {
    "room": "at every value in these ranges it may stand at room temperature",
    "open": "at some values in these ranges it may stand at room temperature, at others it must be assessed first",
    "fridge": "at every value in these ranges it must be assessed first",
    "other": "read for comparison only",
}


def sides_told(said: Sequence[tuple[str, Says]], followed: Says) -> tuple[str, ...]:
    """List what each rule that was written for it says, by its title, where they do not agree; else nothing."""
    if followed == "room" or all(says != "room" for _, says in said):
        return ()
    order: tuple[Says, ...] = ("room", "open", "fridge")
    sides = sorted((row for row in said if row[1] in order), key=lambda row: order.index(row[1]))
    return tuple(f"{title}: {SAYS[says]}" for title, says in sides)


FOLLOWED = {
    "fridge": "Keep it in the fridge, and count its hours out of it.",
    "open": "Keep it in the fridge, and count its hours out of it: only a laboratory’s test of your own batch could "
    "settle what the estimate leaves open.",
    "room": "No rule here sends it to the fridge. That is no test of your batch: ask your local food authority before "
    "you let it stand out.",
    "other": "No rule here was written for it: keep it in the fridge.",
}
