"""What the data files say, as immutable objects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

Basis = Literal["published", "standard", "common-practice", "computed", "from-memory", "assumption"]
EggTreatment = Literal["none", "heated-71c", "syrup-cooked", "pasteurised"]
Role = Literal["coat", "filling", "pair"]


@dataclass(frozen=True, slots=True)
class Source:
    """One entry of the bibliography."""

    key: str
    title: str
    author: str
    year: str
    edition: str
    kind: str

    @property
    def citation(self) -> str:
        """The entry in one line, parts that are empty left out."""
        return ", ".join(part for part in (self.author, self.title, self.edition, self.year) if part)


@dataclass(frozen=True, slots=True)
class Fact:
    """One measured, computed or judged number with its range and where it comes from."""

    subject: str
    name: str
    value: float
    low: float
    high: float
    unit: str
    basis: Basis
    source: str
    locator: str
    checked_on: date


@dataclass(frozen=True, slots=True)
class Ingredient:
    """What 100 g of an ingredient holds [g/100 g], and what it means for who may eat it.

    ``may_hold`` is what some makers' products hold or have met in refining, so that the label decides;
    ``made_of`` is what a compound ingredient is made of, parts divided by semicolons.
    """

    id: str
    name: str
    water: float
    fat: float
    protein: float
    sugar: float
    starch: float
    other: float
    energy_kcal: float
    density_g_ml: float
    relative_sweetness: float
    allergens: frozenset[str]
    origin: Literal["plant", "animal", "mineral"]
    fat_kind: str | None
    egg_part: Literal["none", "white", "yolk"]
    household_measure: str
    household_g: float
    pack_g: float
    pack_price: float
    basis: Basis
    source: str
    locator: str
    checked_on: date
    may_hold: frozenset[str] = frozenset()
    made_of: str = ""


@dataclass(frozen=True, slots=True)
class HouseholdWeight:
    """What one measure of an ingredient weighs [g]: a cup, a spoon, a stick, one egg white of a size."""

    ingredient: str
    measure: str
    grams: float
    basis: Basis
    source: str
    locator: str
    checked_on: date


@dataclass(frozen=True, slots=True)
class FormulaLine:
    """One ingredient of a formula with its mass [g] and the stage at which it goes in."""

    ingredient: Ingredient
    grams: float
    stage: str


@dataclass(frozen=True, slots=True)
class Family:
    """One of the four classic buttercreams."""

    id: str
    name: str
    method: str
    egg_part: Literal["none", "white", "yolk"]
    order: int


@dataclass(frozen=True, slots=True)
class Formulation:
    """One formula of a family: what goes in, how its egg is treated, what it takes to make."""

    id: str
    name: str
    family: Family
    egg_treatment: EggTreatment
    equipment: frozenset[str]
    lines: tuple[FormulaLine, ...]
    note: str


@dataclass(frozen=True, slots=True)
class SolidsCurve:
    """Solid fat content [%] of one fat against temperature [°C], rising temperatures, with its range."""

    fat: str
    temperature_c: tuple[float, ...]
    solids_pct: tuple[float, ...]
    low_pct: tuple[float, ...]
    high_pct: tuple[float, ...]
    source: str


@dataclass(frozen=True, slots=True)
class CriterionSpec:
    """Parameters of one criterion: whom it judges, its default weight (0..5), its value function."""

    id: str
    title: str
    role: Role
    weight: float
    points: tuple[tuple[float, float], ...]
    unit: str
    basis: Basis
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A limit, a caution or a rule of keeping: its sentence and where the sentence comes from."""

    id: str
    kind: Literal["limit", "caution", "keeping"]
    applies_to: str
    sentence: str
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class Substitution:
    """One swap: what for what, at which ratio [g/g], what it does, and whether it is faithful."""

    id: str
    replaces: str
    with_: str
    ratio: float
    effect_property: str
    effect: str
    faithful: Literal["faithful", "workable", "different-icing"]
    basis: Basis
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class SubstitutionEffect:
    """By how much a whole swap moves one property that no formula gives, in that property's unit."""

    substitution: str
    name: str
    change: float
    low: float
    high: float
    unit: str
    basis: Basis
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class ListedAllergen:
    """One allergen that a food law names, with the word that a label uses.

    ``named_by`` are words in a list of ingredients that ask whether it is in them; they do not prove it. ``asks`` is
    what must be said beside the word, where the law wants the kind named; ``kinds`` are those that the law lists.
    """

    law: Literal["us", "eu"]
    allergen: str
    words: str
    named_by: frozenset[str]
    asks: str
    kinds: tuple[str, ...]
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class Band:
    """A band of numbers as a table prints it; an end that is not included belongs to the neighbour."""

    low: float
    high: float
    includes_low: bool
    includes_high: bool

    def meets(self, low: float, high: float) -> bool:
        """Whether any number from ``low`` to ``high``, both included, lies in the band."""
        is_above = high > self.low or (self.includes_low and high == self.low)
        is_below = low < self.high or (self.includes_high and low == self.high)
        return is_above and is_below


@dataclass(frozen=True, slots=True)
class FoodCodeCell:
    """One cell of an interaction table of the Food Code: water activity by pH, and the class it prints.

    ``pa`` asks for a product assessment; until there is one, the food is kept as one that needs the fridge.
    """

    table: Literal["a", "b"]
    activity: Band
    ph: Band
    class_: Literal["non-tcs", "pa"]
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class HeatResistance:
    """How one organism stands heat in one medium: D [min] at a temperature [°C] and z [K], each with its range."""

    organism: str
    medium: str
    egg_part: Literal["white", "yolk", "whole"]
    sugar_pct: float
    temperature_c: float
    d_min: float
    low: float
    high: float
    z_k: float
    z_low: float
    z_high: float
    basis: Basis
    source: str
    locator: str
    checked_on: date


@dataclass(frozen=True, slots=True)
class SoluteShare:
    """What 100 g of an ingredient holds of a solute that is not sucrose [g]."""

    ingredient: str
    solute: str
    grams: float
    basis: Basis
    source: str
    locator: str
    checked_on: date


@dataclass(frozen=True, slots=True)
class TaskTime:
    """How long one task of the kitchen takes [min] for an order, a tier, a dozen cupcakes, a load of the oven.

    ``family`` is a family's id or ``all``; ``days_ahead`` how many days before the display it may be done at most.
    """

    task: str
    family: str
    per: Literal["order", "tier", "dozen", "load", "cupcake-load"]
    title: str
    minutes: float
    low: float
    high: float
    attention: Literal["hands", "waiting"]
    days_ahead: int
    basis: Basis
    source: str
    locator: str


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything in the data files, checked and cross-referenced; mappings keep the order of the files."""

    sources: Mapping[str, Source]
    ingredients: Mapping[str, Ingredient]
    families: Mapping[str, Family]
    formulations: Mapping[str, Formulation]
    facts: Mapping[tuple[str, str], Fact]
    fats: Mapping[str, SolidsCurve]
    criteria: Mapping[str, CriterionSpec]
    rules: Mapping[str, Rule]
    substitutions: Mapping[str, Substitution]
    effects: Mapping[tuple[str, str], SubstitutionEffect]
    allergens: Mapping[tuple[str, str], ListedAllergen]
    household: Mapping[tuple[str, str], HouseholdWeight]
    ingredient_names: tuple[tuple[str, str], ...]
    tasks: Mapping[tuple[str, str, str], TaskTime]
    food_code: tuple[FoodCodeCell, ...]
    pathogens: tuple[HeatResistance, ...]
    solutes: Mapping[tuple[str, str], SoluteShare]

    def fact(self, subject: str, name: str) -> Fact:
        """Return the fact of exactly this subject.

        Raises
        ------
        KeyError
            If the data hold no such fact.
        """
        return self.facts[subject, name]

    def formulation_fact(self, formulation: Formulation, name: str) -> Fact:
        """Return the formulation's own fact, or its family's where it has none of its own."""
        own = self.facts.get((formulation.id, name))
        return own if own is not None else self.facts[formulation.family.id, name]
