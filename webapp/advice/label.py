"""Use case: a pairing, its cake and the user's own sponge in; an ingredient and allergen card out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from webapp.advice.brief import Brief
from webapp.advice.candidates import situation_of
from webapp.catalogue.composition import allergens
from webapp.catalogue.model import Catalogue, Fact, Formulation, ListedAllergen
from webapp.kitchen.label import (
    Nutrition,
    WeighedIngredient,
    in_falling_order,
    mixed_per_100_g,
    nutrition_per_100_g,
)

Law = Literal["us", "eu"]
LAWS: tuple[Law, ...] = ("us", "eu")
BONE_CHAR = "bone-char"  # a wish of strict vegans, not an allergen
SPONGE_NUMBERS = ("energy", "fat", "carbohydrate", "sugar", "protein")


@dataclass(frozen=True, slots=True)
class OwnSponge:
    """The user's sponge: its ingredients in falling order as written, and the allergens it holds by their codes."""

    ingredients: tuple[str, ...]
    allergens: frozenset[str]


@dataclass(frozen=True, slots=True)
class Component:
    """One part of the cake with its mass [g]: a buttercream with its ingredients, or the sponge with the user's."""

    name: str
    grams: float
    ingredients: tuple[WeighedIngredient, ...]
    own_ingredients: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Serving:
    """What is called a slice [g], and why."""

    grams: float
    taken_g: float
    is_cupcake: bool
    volume: Fact


@dataclass(frozen=True, slots=True)
class Card:
    """Everything that the card says, and what the page tells beside it.

    ``listed`` are the allergens of the cake that the law names; ``unlisted`` codes of those that it does not.
    ``to_check`` are ingredients of which some makers' products hold more; ``unticked`` are lines of the sponge that
    speak of an allergen which is not said to be in it.
    """

    law: Law
    components: tuple[Component, ...]
    listed: tuple[ListedAllergen, ...]
    unlisted: tuple[str, ...]
    handled: tuple[ListedAllergen, ...]
    to_check: tuple[WeighedIngredient, ...]
    unticked: tuple[tuple[str, ListedAllergen], ...]
    per_100_g: Nutrition
    per_slice: Nutrition
    icing_per_100_g: Nutrition
    serving: Serving
    sponge_facts: tuple[Fact, ...]

    def words_of(self, codes: Iterable[str]) -> tuple[str, ...]:
        """The words of the law for allergens of one ingredient, in the order of the list."""
        wanted = frozenset(codes)
        return tuple(each.words for each in self.listed if each.allergen in wanted)


@dataclass(frozen=True, slots=True)
class _Masses:
    coat_g: float
    filling_g: float
    sponge_g: float
    whole_ml: float

    @property
    def whole_g(self) -> float:
        return self.coat_g + self.filling_g + self.sponge_g


def listed_by(law: Law, catalogue: Catalogue) -> tuple[ListedAllergen, ...]:
    """Return the allergens that a law names, in its order."""
    return tuple(each for each in catalogue.allergens.values() if each.law == law)


def make_card(
    catalogue: Catalogue,
    brief: Brief,
    coat: Formulation,
    filling: Formulation,
    law: Law,
    sponge: OwnSponge,
    handled: Iterable[str] = (),
    slice_g: float | None = None,
) -> Card:
    """Make the card of a pairing on the cake of a brief.

    The sponge's energy is taken as that of a plain white cake, as its recipe is the user's own.
    """
    masses = _masses(catalogue, brief, coat, filling)
    components = _components(coat, filling, sponge, masses)
    held = allergens(coat) | allergens(filling) | sponge.allergens
    sponge_facts = tuple(catalogue.fact("sponge-nutrition", name) for name in SPONGE_NUMBERS)
    icing = [(nutrition_per_100_g(coat), masses.coat_g), (nutrition_per_100_g(filling), masses.filling_g)]
    cake = mixed_per_100_g([*icing, (Nutrition(*(fact.value for fact in sponge_facts)), masses.sponge_g)])
    serving = _serving(catalogue, brief, masses, slice_g)
    names = listed_by(law, catalogue)
    return Card(
        law=law,
        components=components,
        listed=tuple(each for each in names if each.allergen in held),
        unlisted=tuple(sorted(held - {each.allergen for each in names})),
        handled=tuple(each for each in names if each.allergen in frozenset(handled) - held),
        to_check=_to_check(components),
        unticked=tuple(_unticked(sponge, names)),
        per_100_g=cake,
        per_slice=cake.times(serving.grams / 100),
        icing_per_100_g=mixed_per_100_g(icing),
        serving=serving,
        sponge_facts=sponge_facts,
    )


def _masses(catalogue: Catalogue, brief: Brief, coat: Formulation, filling: Formulation) -> _Masses:
    cake = situation_of(brief, catalogue)
    density = catalogue.fact(f"sponge:{brief.sponge}", "density").value / 1000
    return _Masses(
        coat_g=cake.coat_ml * catalogue.formulation_fact(coat, "density").value,
        filling_g=cake.filling_ml * catalogue.formulation_fact(filling, "density").value,
        sponge_g=cake.sponge_g,
        whole_ml=cake.coat_ml + cake.filling_ml + cake.sponge_g / density,
    )


def _components(coat: Formulation, filling: Formulation, sponge: OwnSponge, masses: _Masses) -> tuple[Component, ...]:
    """Return the parts of the cake, the heaviest first; one buttercream for both places is one part."""
    icings = [("Buttercream outside", coat, masses.coat_g), ("Buttercream inside", filling, masses.filling_g)]
    if coat.id == filling.id or not masses.filling_g:
        icings = [("Buttercream", coat, masses.coat_g + masses.filling_g)]
    parts = [Component(name, grams, in_falling_order(formula, grams)) for name, formula, grams in icings]
    parts.append(Component("Sponge", masses.sponge_g, (), sponge.ingredients))
    return tuple(sorted(parts, key=lambda part: -part.grams))


def _to_check(components: Sequence[Component]) -> tuple[WeighedIngredient, ...]:
    all_ = {each.ingredient.id: each for part in components for each in part.ingredients}
    return tuple(each for each in all_.values() if each.ingredient.may_hold - {BONE_CHAR})


def _unticked(sponge: OwnSponge, names: Iterable[ListedAllergen]) -> Iterator[tuple[str, ListedAllergen]]:
    for line in sponge.ingredients:
        words = frozenset(re.findall(r"[a-z]+", line.lower()))
        for each in names:
            if words & each.named_by and each.allergen not in sponge.allergens:
                yield line, each


def _serving(catalogue: Catalogue, brief: Brief, masses: _Masses, slice_g: float | None) -> Serving:
    volume = catalogue.fact("slice", "volume")
    is_cupcake = not brief.tiers
    taken_g = masses.whole_g / brief.cupcakes if is_cupcake else volume.value * masses.whole_g / masses.whole_ml
    return Serving(taken_g if slice_g is None else slice_g, taken_g, is_cupcake, volume)
