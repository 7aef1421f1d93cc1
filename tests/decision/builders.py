"""Hand-made candidates, situations and parameters; what a test does not name is the same for all."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from webapp.catalogue.model import (
    CriterionSpec,
    Fact,
    Family,
    FormulaLine,
    Formulation,
    Ingredient,
    Rule,
)
from webapp.decision.grid import Grid
from webapp.decision.model import Candidate, HoldFacts, Situation
from webapp.decision.scoring import Matrix, build_matrix

DATA = Path(__file__).parents[2] / "data"
DAY = dt.date(2026, 1, 1)
DRAWS = 200


def fact(subject: str, name: str, value: float, half: float = 0.0, unit: str = "feel") -> Fact:
    return Fact(
        subject, name, value, value - half, value + half, unit, "assumption", "assumption", "test", DAY
    )


def ingredient(name: str, allergens: str = "", origin: Any = "plant", egg_part: Any = "none") -> Ingredient:
    composition = (0.0,) * 6
    return Ingredient(
        name.lower().replace(" ", "-"),
        name,
        *composition,
        energy_kcal=0,
        density_g_ml=1,
        relative_sweetness=0,
        allergens=frozenset(allergens.split()),
        origin=origin,
        fat_kind=None,
        egg_part=egg_part,
        household_measure="",
        household_g=0,
        pack_g=0,
        pack_price=0,
        basis="assumption",
        source="assumption",
        locator="test",
        checked_on=DAY,
    )


SUGAR = ingredient("Powdered sugar")
BUTTER = ingredient("Unsalted butter", "milk", "animal")
SHORTENING = ingredient("Shortening", "soy")
PLANT_BLOCK = ingredient("Plant block", "coconut soy")
NUT_PASTE = ingredient("Almond paste", "tree-nut")
COOKIES = ingredient("Cookies", "gluten")
WHITE = ingredient("Egg white", "egg", "animal", "white")
YOLK = ingredient("Egg yolk", "egg", "animal", "yolk")
AQUAFABA = ingredient("Aquafaba")

FAMILIES = {
    name: Family(name, name.title(), "", "none", order)
    for order, name in enumerate(("american", "swiss", "italian", "french"), start=1)
}
PROPERTIES: Mapping[str, float] = {
    "softens": 25,
    "smoothness": 8,
    "piping_detail": 7,
    "whiteness": 7,
    "takes_colour": 6,
    "firmness": 5,
    "richness": 6,
    "minutes": 40,
    "density": 0.8,
    "sweetness": 35,
    "filling_margin": 10,
    "waxy_fat": 0.5,
    "crusts": 0,
}
REQUIREMENTS: Mapping[tuple[str, str], Fact] = {
    (subject, name): fact(subject, name, value, unit=unit)
    for subject, name, value, unit in (
        ("piping:borders", "needs_detail", 3, "feel"),
        ("piping:rosettes", "needs_detail", 5, "feel"),
        ("piping:fine", "needs_detail", 7, "feel"),
        ("fine-piping", "least_detail", 5, "feel"),
        ("load:0-kpa", "needs_firmness", 3, "feel"),
        ("load:1-kpa", "needs_firmness", 7, "feel"),
        ("load:0-kpa", "least_firmness", 1, "feel"),
        ("load:1-kpa", "least_firmness", 5, "feel"),
        ("warm-filling", "firmness_per_k", 1, "feel/K"),
        ("crusting", "full_below", 50, "%"),
        ("crusting", "none_above", 82, "%"),
        ("texture", "smoothness_share", 0.25, "share"),
        ("pastel", "whiteness_share", 0.5, "share"),
        ("mouthful", "filling_share", 0.7, "share"),
        ("second-batch", "minutes_share", 0.8, "share"),
        ("shared-eggs", "saves_minutes", 5, "min"),
    )
}


def formulation(
    id_: str,
    *ingredients: Ingredient,
    treatment: Any = "none",
    equipment: str = "",
    family: str | None = None,
) -> Formulation:
    lines = tuple(FormulaLine(part, 100, "beat") for part in ingredients or (SUGAR, BUTTER))
    return Formulation(
        id_,
        id_.replace("-", " ").capitalize(),
        FAMILIES[family or id_.split("-")[0]],
        treatment,
        frozenset(equipment.split()),
        lines,
        "",
    )


def hold(
    likely_h: float = 6, needed_h: float = 3, chance: float = 1.0, margin_k: float = 5, range_k: float = 0
) -> HoldFacts:
    """A coat that peaks at 20 °C; the share of its draws that stand is its chance."""
    stands = np.arange(DRAWS) < round(chance * DRAWS)
    threshold = 20 + margin_k
    return HoldFacts(
        needed_h=needed_h,
        likely_h=likely_h,
        low_h=likely_h,
        high_h=likely_h,
        chance=chance,
        peak_c=20,
        peak_low_c=20,
        peak_high_c=20,
        threshold_c=threshold,
        threshold_low_c=threshold - range_k,
        threshold_high_c=threshold + range_k,
        stands=stands,
    )


def candidate(
    formula: Formulation | str,
    held: HoldFacts | None = None,
    half: Mapping[str, float] | None = None,
    subject: str | None = None,
    **properties: float,
) -> Candidate:
    """A candidate with some properties of its own; ``half`` widens properties by half a range."""
    made = formulation(formula) if isinstance(formula, str) else formula
    numbers = {**PROPERTIES, **properties}
    facts = {
        name: fact(subject or made.id, name, value, (half or {}).get(name, 0.0))
        for name, value in numbers.items()
    }
    return Candidate(made, facts, held or hold())


def situation(**changes: Any) -> Situation:
    """A small single-tier cake with borders and smooth white sides, all equipment there, nothing barred."""
    plain = Situation(
        piping="borders",
        finish="smooth",
        colour="white",
        wanted_sweetness=fact("forkful-sweetness:3", "sweetness", 28, unit="g/100g"),
        sponge_sweetness=fact("sponge-sweetness:3", "sweetness", 26, unit="g/100g"),
        sponge_g=1300,
        coat_ml=700,
        filling_ml=400,
        tier_count=1,
        humidity_pct=50,
        load_kpa=0.0,
        is_supported=True,
        diet=frozenset(),
        equipment=frozenset({"stand-mixer", "thermometer"}),
        importance={},
        requirements=REQUIREMENTS,
    )
    return replace(plain, **changes)


def read_criteria() -> dict[str, CriterionSpec]:
    """The criteria as they are shipped."""
    with (DATA / "criteria.csv").open(encoding="utf-8", newline="") as file:
        return {row["criterion"]: _spec(row) for row in csv.DictReader(file)}


def _spec(row: dict[str, Any]) -> CriterionSpec:
    points = tuple(tuple(float(part) for part in pair.split(":")) for pair in row["points"].split())
    return CriterionSpec(
        row["criterion"],
        row["title"],
        row["role"],
        float(row["weight"]),
        points,  # type: ignore[arg-type]
        row["unit"],
        row["basis"],
        row["source"],
        row["locator"],
    )


def read_rules() -> dict[str, Rule]:
    """The limits and cautions as they are shipped."""
    with (DATA / "rules.csv").open(encoding="utf-8", newline="") as file:
        return {row["id"]: Rule(**row) for row in csv.DictReader(file)}  # type: ignore[arg-type]


CRITERIA_SPECS = read_criteria()
RULES = read_rules()


def matrix(*candidates: Candidate, brief: Situation | None = None) -> Matrix:
    """Every candidate in both roles."""
    return build_matrix(Grid(candidates, candidates, brief or situation()), CRITERIA_SPECS)


def trade_candidates(*, is_hot: bool = False) -> list[Candidate]:
    """One or two formulations of each family as the trade knows them by feel; common practice, no source.

    When it is hot only the American coat with shortening holds, and the all-butter one may.
    """
    mixer = "stand-mixer thermometer"
    rows = (
        (formulation("american-butter", SUGAR, BUTTER), 0.6, "6 9 5.5 8 8 4 20 0.85 62"),
        (
            formulation("american-half-shortening", SUGAR, BUTTER, SHORTENING),
            0.95,
            "6.5 9.2 7.5 8 8 3.5 20 0.85 60",
        ),
        (
            formulation("swiss-butter", SUGAR, WHITE, BUTTER, treatment="heated-71c", equipment=mixer),
            0.1,
            "9.5 6.5 7.5 5.5 5 6 40 0.65 33",
        ),
        (
            formulation("italian-butter", SUGAR, WHITE, BUTTER, treatment="syrup-cooked", equipment=mixer),
            0.2,
            "9 7.5 7.5 5.5 6 6 50 0.7 31",
        ),
        (
            formulation("french-butter", SUGAR, YOLK, BUTTER, treatment="syrup-cooked", equipment=mixer),
            0.0,
            "8 2.5 1.5 3 2.5 9 55 0.75 29",
        ),
    )
    names = (
        "smoothness piping_detail whiteness takes_colour firmness richness minutes density sweetness".split()
    )
    half = {name: 1.0 for name in names[:6]} | {"minutes": 10.0, "density": 0.1}
    return [
        candidate(
            made,
            hold(
                likely_h=3.5 if is_hot else 12, chance=chance if is_hot else 1.0, margin_k=1 if is_hot else 5
            ),
            half,
            filling_margin=-3.0 if is_hot and made.family.id == "french" else 5.0,
            **dict(zip(names, map(float, numbers.split()), strict=True)),
        )
        for made, chance, numbers in rows
    ]
