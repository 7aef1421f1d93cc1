"""What follows from a formula by adding up its lines: shares, sweetness, energy, density, allergens, fats."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.catalogue.model import Formulation, Ingredient


@dataclass(frozen=True, slots=True)
class Composition:
    """What 100 g of a buttercream holds; nothing is lost, and syrup water is what stays in it.

    Attributes
    ----------
    water, fat, protein, sugar, starch, other
        Mass [g/100 g].
    sweetness
        Sucrose equivalents [g/100 g]: each sugar by its relative sweetness at equal mass. That fat and cold
        dull sweetness is not counted.
    energy_kcal
        Energy [kcal/100 g].
    gas_free_density
        Density with no air beaten in [g/mL], volumes of the ingredients added.
    sugar_share
        Mass of sugar over the whole mass [0..1].
    animal
        Whether any ingredient comes from an animal.
    allergens
        Allergens of all ingredients together.
    """

    water: float
    fat: float
    protein: float
    sugar: float
    starch: float
    other: float
    sweetness: float
    energy_kcal: float
    gas_free_density: float
    sugar_share: float
    animal: bool
    allergens: frozenset[str]


def batch_mass(formulation: Formulation) -> float:
    """Return the mass [g] of one batch as the formula gives it."""
    return sum(line.grams for line in formulation.lines)


def compose(formulation: Formulation) -> Composition:
    """Compute the composition per 100 g from the formula's lines, by mass balance."""
    lines, total = formulation.lines, batch_mass(formulation)

    def per_100_g(of: str) -> float:
        return sum(float(getattr(line.ingredient, of)) * line.grams for line in lines) / total

    volume_ml = sum(line.grams / line.ingredient.density_g_ml for line in lines)
    sweetness = sum(_sweetness(line.ingredient) * line.grams for line in lines) / total
    return Composition(
        water=per_100_g("water"),
        fat=per_100_g("fat"),
        protein=per_100_g("protein"),
        sugar=per_100_g("sugar"),
        starch=per_100_g("starch"),
        other=per_100_g("other"),
        sweetness=sweetness,
        energy_kcal=per_100_g("energy_kcal"),
        gas_free_density=total / volume_ml,
        sugar_share=per_100_g("sugar") / 100,
        animal=any(line.ingredient.origin == "animal" for line in lines),
        allergens=allergens(formulation),
    )


def _sweetness(ingredient: Ingredient) -> float:
    """Sucrose equivalents of an ingredient [g/100 g]."""
    return ingredient.sugar * ingredient.relative_sweetness


def allergens(formulation: Formulation) -> frozenset[str]:
    """Return the allergens of all ingredients together."""
    return frozenset().union(*(line.ingredient.allergens for line in formulation.lines))


def fat_blend(formulation: Formulation) -> dict[str, float]:
    """Return the mass share [0..1] of each kind of fat whose crystals stiffen the buttercream.

    Fat of yolk is bound in lipoprotein and makes no crystal network: ingredients without a kind of fat do not
    count. The shares add up to 1; a formula without such fat gives an empty blend.
    """
    grams: dict[str, float] = {}
    for line in formulation.lines:
        kind = line.ingredient.fat_kind
        if kind is not None:
            grams[kind] = grams.get(kind, 0.0) + line.grams * line.ingredient.fat / 100
    total = sum(grams.values())
    return {kind: mass / total for kind, mass in grams.items()} if total > 0 else {}
