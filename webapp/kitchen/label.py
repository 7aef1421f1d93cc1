"""Ingredients by weight and what 100 g gives to eat: what an ingredient card says of a formula or of several parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from webapp.catalogue.composition import compose
from webapp.catalogue.model import Formulation, Ingredient

KJ_PER_KCAL = 4.184  # the thermochemical calorie; food law rounds it to 4.2 or uses its own factors


@dataclass(frozen=True, slots=True)
class WeighedIngredient:
    """One ingredient with all that a part of the cake holds of it [g]."""

    ingredient: Ingredient
    grams: float

    @property
    def parts(self) -> tuple[str, ...]:
        """What a compound ingredient is made of, as far as is known."""
        return tuple(part.strip() for part in self.ingredient.made_of.split(";") if part.strip())


@dataclass(frozen=True, slots=True)
class Nutrition:
    """Energy [kcal] and macronutrients [g] of some amount of food.

    Carbohydrate is sugar and starch together; what is neither (ash, fibre, alcohol) is left out.
    """

    energy_kcal: float
    fat: float
    carbohydrate: float
    sugar: float
    protein: float

    @property
    def energy_kj(self) -> float:
        """Energy [kJ]."""
        return self.energy_kcal * KJ_PER_KCAL

    def times(self, factor: float) -> Nutrition:
        """The same food in another amount."""
        return Nutrition(*(getattr(self, field.name) * factor for field in fields(self)))

    def __add__(self, other: Nutrition) -> Nutrition:
        """Put two amounts together."""
        return Nutrition(*(getattr(self, field.name) + getattr(other, field.name) for field in fields(self)))


def in_falling_order(formulation: Formulation, grams: float) -> tuple[WeighedIngredient, ...]:
    """Return the ingredients of so many grams of a formula, the heaviest first.

    Lines of one ingredient are added up. A syrup's water counts as what stays in it. Ingredients of one weight
    keep the order of the formula.
    """
    batch_g = sum(line.grams for line in formulation.lines)
    held: dict[str, WeighedIngredient] = {}
    for line in formulation.lines:
        known = held.get(line.ingredient.id, WeighedIngredient(line.ingredient, 0.0))
        held[line.ingredient.id] = replace(known, grams=known.grams + line.grams * grams / batch_g)
    return tuple(sorted(held.values(), key=lambda each: -each.grams))


def nutrition_per_100_g(formulation: Formulation) -> Nutrition:
    """Return energy and macronutrients of 100 g of a formula, by adding up its ingredients."""
    made = compose(formulation)
    return Nutrition(made.energy_kcal, made.fat, made.sugar + made.starch, made.sugar, made.protein)


def mixed_per_100_g(parts: Sequence[tuple[Nutrition, float]]) -> Nutrition:
    """Return energy and macronutrients of 100 g of a whole made of parts, each per 100 g with its mass [g]."""
    total = sum(grams for _, grams in parts)
    nothing = Nutrition(0, 0, 0, 0, 0)
    return sum((each.times(grams / total) for each, grams in parts), nothing)
