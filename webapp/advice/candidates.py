"""Turns catalogue, brief and heat into what a decision reads: candidates and a situation."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from webapp.advice.brief import Brief
from webapp.advice.heat import tier_sizes
from webapp.advice.holds import CoatHold, hold_facts
from webapp.advice.softness import MOUTH_C, Softness
from webapp.catalogue.composition import compose
from webapp.catalogue.model import Catalogue, Fact, Formulation
from webapp.decision.model import Candidate, Situation
from webapp.kitchen.geometry import cake_amounts, unsupported_load_kpa
from webapp.thermal.holding import Spread

# Density of icing where only the load of upper tiers is asked and no formulation is chosen yet [g/mL]: the middle of
# the families' densities, which differ by less than the sponge's own range.
_LOAD_ICING_DENSITY = 0.75
COMPUTED = ("sweetness", "sugar", "fat", "water", "energy_kcal")


def formulation_facts(catalogue: Catalogue, formulation: Formulation, softness: Softness) -> dict[str, Fact]:
    """Return every property of a formulation by name: its family's, its own over it, and what its formula gives."""
    facts: dict[str, Fact] = {}
    for subject in (formulation.family.id, formulation.id):
        facts |= {fact.name: fact for (about, _), fact in catalogue.facts.items() if about == subject}
    made = compose(formulation)
    for name in COMPUTED:
        value = float(getattr(made, name))
        unit = "kcal/100g" if name == "energy_kcal" else "g/100g"
        facts[name] = _computed(formulation, name, (value, value, value), unit, "from the formula's lines")
    waxy = softness.waxy_fat_share(formulation)
    solid = (made.fat * waxy[0], made.fat * waxy[1], made.fat * waxy[2])
    facts["waxy_fat"] = _computed(formulation, "waxy_fat", solid, "g/100g", f"fat still solid at {MOUTH_C:g} C")
    return facts


def _computed(
    formulation: Formulation, name: str, numbers: tuple[float, float, float], unit: str, locator: str
) -> Fact:
    today = dt.date.min  # computed anew each time, never checked on a day
    return Fact(formulation.id, name, *numbers, unit, "computed", "computed", locator, today)


def candidates_of(
    catalogue: Catalogue,
    facts: Mapping[str, Mapping[str, Fact]],
    holds: Mapping[str, CoatHold],
    margins: Mapping[str, Spread],
    brief: Brief,
) -> list[Candidate]:
    """Return every formulation as a candidate, in the catalogue's order."""
    formulations = catalogue.formulations.values()
    held = hold_facts([holds[each.id] for each in formulations], brief.hold_hours)
    return [
        Candidate(each, {**facts[each.id], "filling_margin": _margin(each, margins[each.id])}, hold)
        for each, hold in zip(formulations, held, strict=True)
    ]


def _margin(formulation: Formulation, margin: Spread) -> Fact:
    numbers = (margin.likely, margin.low, margin.high)
    where = "temperature at which it creeps less its warmest between the layers"
    return _computed(formulation, "filling_margin", numbers, "K", where)


def situation_of(brief: Brief, catalogue: Catalogue) -> Situation:
    """Return the brief and its cake in the numbers that criteria and limits read."""
    filling_mm = catalogue.fact("cake", "filling_mm").value
    density = catalogue.fact(f"sponge:{brief.sponge}", "density").value / 1000
    tiers = tier_sizes(brief, catalogue)[: len(brief.tiers)]
    amounts = cake_amounts(tiers, brief.coat_mm, filling_mm, density)
    if brief.cupcakes:
        cupcake = tier_sizes(brief, catalogue)[-1]
        swirl_mm = catalogue.fact("cupcake", "swirl_mm").value
        swirl_ml = cupcake.area_cm2 * swirl_mm / 30  # a cone holds a third of its cylinder
        amounts = type(amounts)(
            amounts.coat_ml + brief.cupcakes * swirl_ml,
            amounts.filling_ml,
            amounts.sponge_g + brief.cupcakes * cupcake.sponge_ml(0) * density,
        )
    return Situation(
        piping=brief.piping,
        finish=brief.finish,
        colour=brief.colour,
        wanted_sweetness=catalogue.fact(f"forkful-sweetness:{brief.sweetness}", "sweetness"),
        sponge_sweetness=catalogue.fact(f"sponge-sweetness:{brief.cake_sweetness}", "sweetness"),
        sponge_g=amounts.sponge_g,
        coat_ml=amounts.coat_ml,
        filling_ml=amounts.filling_ml,
        tier_count=len(brief.tiers),
        humidity_pct=brief.humidity_pct,
        load_kpa=unsupported_load_kpa(tiers, brief.coat_mm, filling_mm, density, _LOAD_ICING_DENSITY),
        is_supported=brief.supported,
        diet=frozenset(brief.diet),
        equipment=frozenset(brief.equipment),
        importance={str(id_): weight for id_, weight in brief.importance.items()},
        requirements=catalogue.facts,
    )
