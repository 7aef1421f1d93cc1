"""Use case: a pairing, its cake and the user's own sponge in; an ingredient and allergen card out."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
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
_End = Literal["low", "value", "high"]
LAWS: tuple[Law, ...] = ("us", "eu")
BONE_CHAR = "bone-char"  # a wish of strict vegans, not an allergen
TO_FILL = "________________"  # on paper the kind is written here by hand
# "white" asks for egg and "cream" for milk, but not in the names of these.
_SOMETHING_ELSE = re.compile(
    r"\bwhite (?=(?:caster |granulated |icing )?sugar|(?:wheat )?flour|bread|chocolate|pepper|rice|vinegar|wine)"
    r"|\bcream of tartar\b"
)
SPONGE_NUMBERS = ("energy", "fat", "carbohydrate", "sugar", "protein")


@dataclass(frozen=True, slots=True)
class OwnSponge:
    """The user's sponge: its ingredients in falling order as written, and the allergens it holds by their codes.

    ``kinds`` says of an allergen which nuts, cereals or fish it is; ``free`` are lines that seem to name an allergen,
    each with its code, of which the user says that they hold none.
    """

    ingredients: tuple[str, ...]
    allergens: frozenset[str]
    kinds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    free: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True, slots=True)
class Component:
    """One part of the cake with its mass [g]: a buttercream with its ingredients, or the sponge with the user's."""

    name: str
    grams: float
    ingredients: tuple[WeighedIngredient, ...]
    own_ingredients: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Serving:
    """What is called a slice [g], and why: what it is taken as, with the range that the densities leave."""

    grams: float
    taken_g: float
    low_g: float
    high_g: float
    is_cupcake: bool
    volume: Fact


@dataclass(frozen=True, slots=True)
class CakeNumbers:
    """What the whole cake gives to eat, its sponge taken as a plain white cake."""

    per_100_g: Nutrition
    per_slice: Nutrition
    serving: Serving
    sponge_facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """Everything that the card says, and what the page tells beside it.

    Without a list of the sponge's ingredients nothing is said of the cake: the card is of the buttercream alone, and
    ``cake`` is none. ``listed`` are the allergens that the law names; ``unlisted`` codes of those that it does not.
    ``to_check`` are ingredients of which some makers' products hold more; ``unticked`` are lines of the sponge that
    speak of an allergen which is not said to be in it; ``by_word`` are such lines of which the user says that they
    hold none; ``ticked_without_list`` are allergens of an unlisted sponge.
    """

    law: Law
    components: tuple[Component, ...]
    listed: tuple[ListedAllergen, ...]
    unlisted: tuple[str, ...]
    handled: tuple[ListedAllergen, ...]
    to_check: tuple[WeighedIngredient, ...]
    unticked: tuple[tuple[str, ListedAllergen], ...]
    by_word: tuple[tuple[str, ListedAllergen], ...]
    ticked_without_list: tuple[ListedAllergen, ...]
    kinds: Mapping[str, tuple[str, ...]]
    icing_per_100_g: Nutrition
    cake: CakeNumbers | None

    @property
    def unsaid_kinds(self) -> tuple[ListedAllergen, ...]:
        """Allergens of which the law wants the kind named, and it is not."""
        return tuple(each for each in self.listed if each.asks and not self.kinds.get(each.allergen))

    def name_of(self, each: ListedAllergen) -> str:
        """The words of the law with the kind that it wants said, or an open place for it."""
        if not each.asks:
            return each.words
        kinds = self.kinds.get(each.allergen)
        return f"{each.words} ({', '.join(kinds)})" if kinds else f"{each.words} ({each.asks}? {TO_FILL})"

    def words_of(self, codes: Iterable[str]) -> tuple[str, ...]:
        """The words of the law for allergens of one ingredient, in the order of the list."""
        wanted = frozenset(codes)
        return tuple(self.name_of(each) for each in self.listed if each.allergen in wanted)


@dataclass(frozen=True, slots=True)
class _Masses:
    coat_g: float
    filling_g: float
    sponge_g: float
    bare_ml: float

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
    is_whole = bool(sponge.ingredients)
    components = _components(coat, filling, sponge, masses)
    held = allergens(coat) | allergens(filling) | (sponge.allergens if is_whole else frozenset())
    icing = [(nutrition_per_100_g(coat), masses.coat_g), (nutrition_per_100_g(filling), masses.filling_g)]
    names = listed_by(law, catalogue)
    seeming = [*named_but_unticked(sponge.ingredients, sponge.allergens, names)]
    return Card(
        law=law,
        components=components,
        listed=tuple(each for each in names if each.allergen in held),
        unlisted=tuple(sorted(held - {each.allergen for each in names})),
        handled=tuple(each for each in names if each.allergen in frozenset(handled) - held),
        to_check=_to_check(components),
        unticked=tuple((line, each) for line, each in seeming if (line, each.allergen) not in sponge.free),
        by_word=tuple((line, each) for line, each in seeming if (line, each.allergen) in sponge.free),
        ticked_without_list=() if is_whole else tuple(each for each in names if each.allergen in sponge.allergens),
        kinds=sponge.kinds,
        icing_per_100_g=mixed_per_100_g(icing),
        cake=_cake_numbers(catalogue, brief, (coat, filling), icing, slice_g) if is_whole else None,
    )


def _cake_numbers(
    catalogue: Catalogue,
    brief: Brief,
    pairing: tuple[Formulation, Formulation],
    icing: Sequence[tuple[Nutrition, float]],
    slice_g: float | None,
) -> CakeNumbers:
    facts = tuple(catalogue.fact("sponge-nutrition", name) for name in SPONGE_NUMBERS)
    sponge_g = _masses(catalogue, brief, *pairing).sponge_g
    per_100_g = mixed_per_100_g([*icing, (Nutrition(*(fact.value for fact in facts)), sponge_g)])
    serving = _serving(catalogue, brief, pairing, slice_g)
    return CakeNumbers(per_100_g, per_100_g.times(serving.grams / 100), serving, facts)


def _masses(
    catalogue: Catalogue, brief: Brief, coat: Formulation, filling: Formulation, end: _End = "value"
) -> _Masses:
    cake = situation_of(brief, catalogue)
    sponge = catalogue.fact(f"sponge:{brief.sponge}", "density")
    sponge_ml = 1000 * cake.sponge_g / sponge.value
    coat_density, filling_density = (catalogue.formulation_fact(each, "density") for each in (coat, filling))
    return _Masses(
        coat_g=cake.coat_ml * _at(coat_density, end),
        filling_g=cake.filling_ml * _at(filling_density, end),
        sponge_g=sponge_ml * _at(sponge, end) / 1000,
        bare_ml=cake.filling_ml + sponge_ml,
    )


def _at(fact: Fact, end: _End) -> float:
    return {"low": fact.low, "value": fact.value, "high": fact.high}[end]


def _components(coat: Formulation, filling: Formulation, sponge: OwnSponge, masses: _Masses) -> tuple[Component, ...]:
    """Return the parts of the cake, the heaviest first; one buttercream for both places is one part.

    A sponge that is not listed is no part.
    """
    icings = [("Buttercream outside", coat, masses.coat_g), ("Buttercream inside", filling, masses.filling_g)]
    if coat.id == filling.id or not masses.filling_g:
        icings = [("Buttercream", coat, masses.coat_g + masses.filling_g)]
    parts = [Component(name, grams, in_falling_order(formula, grams)) for name, formula, grams in icings]
    if sponge.ingredients:
        parts.append(Component("Sponge", masses.sponge_g, (), sponge.ingredients))
    return tuple(sorted(parts, key=lambda part: -part.grams))


def _to_check(components: Sequence[Component]) -> tuple[WeighedIngredient, ...]:
    all_ = {each.ingredient.id: each for part in components for each in part.ingredients}
    return tuple(each for each in all_.values() if each.ingredient.may_hold - {BONE_CHAR})


def named_but_unticked(
    lines: Iterable[str], ticked: Collection[str], names: Sequence[ListedAllergen]
) -> Iterator[tuple[str, ListedAllergen]]:
    """Yield each line of a sponge that speaks of an allergen which is not said to be in it, with that allergen."""
    for line in dict.fromkeys(lines):
        words = _words_in(line)
        for each in names:
            if words & each.named_by and each.allergen not in ticked:
                yield line, each


def _words_in(line: str) -> frozenset[str]:
    """Return the words of a line in small letters without accents, less those that name something else."""
    plain = "".join(each for each in unicodedata.normalize("NFKD", line.lower()) if not unicodedata.combining(each))
    return frozenset(re.findall(r"[a-z]+", _SOMETHING_ELSE.sub(" ", plain)))


def _serving(
    catalogue: Catalogue, brief: Brief, pairing: tuple[Formulation, Formulation], slice_g: float | None
) -> Serving:
    """Take a slice as the kitchen plan does: a volume of sponge and filling, with its share of the coat."""
    volume = catalogue.fact("slice:wedding", "volume")
    cut = brief.model_copy(update={"cupcakes": 0}) if brief.tiers else brief
    ends: tuple[_End, ...] = ("value", "low", "high")
    wholes = [_masses(catalogue, cut, *pairing, end) for end in ends]
    shares = [volume.value / each.bare_ml if brief.tiers else 1 / brief.cupcakes for each in wholes]
    taken_g, low_g, high_g = (each.whole_g * share for each, share in zip(wholes, shares, strict=True))
    return Serving(taken_g if slice_g is None else slice_g, taken_g, low_g, high_g, not brief.tiers, volume)
