"""The schema of the data files: which columns each has, what a cell may hold, what rows refer to."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.catalogue.cells import Between, Cell, Choice, Day, Name, Number, Points, Text
from webapp.catalogue.properties import PROPERTY_NAMES, PROPERTY_UNITS, SOLUTES

SOURCE_KINDS = ("standard", "published", "handbook", "web", "practice", "model")
BASES = ("published", "standard", "common-practice", "computed", "from-memory", "assumption")
ALLERGENS = ("milk", "egg", "soy", "coconut", "tree-nut", "gluten")
# What a diet may also ask about and no allergen list names.
AIDS = ("bone-char",)
LAWS = ("us", "eu")
EQUIPMENT = ("stand-mixer", "thermometer")
EGG_PARTS = ("none", "white", "yolk")
MEASURES = (
    *("cup", "cup-sifted", "cup-unpacked", "tbsp", "tsp", "fl-oz", "dash", "stick"),
    *("small", "medium", "large", "extra-large", "jumbo", "fruit"),
)
UNITS = (*PROPERTY_UNITS, "h", "kPa", "kcal/100g", "g", "mL", "%")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: what its cells hold, whether they may be empty, and the files whose keys they name."""

    name: str
    cell: Cell
    is_required: bool = True
    refers_to: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """One file: its columns, and those that together must differ from row to row."""

    file: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]

    @property
    def column_names(self) -> tuple[str, ...]:
        """The header row that the file must have, in any order."""
        return tuple(column.name for column in self.columns)


PER_100_G = Number(0, 100)
GRAMS = Number(0.1, 100_000)
SOLIDS = Number(0, 100)
MINUTES = Number(0.001, 1000)
QUANTITY = Number(-1000, 100_000)  # a property's own bounds are narrower; see properties.py
CHANGE = Number(-120, 120)
TASK_MINUTES = Number(0, 600)
TASKS = (
    *("mix", "bake", "cool", "soften", "fill", "crumb", "coat", "smooth", "texture"),
    *("pipe-borders", "pipe-rosettes", "pipe-fine", "pipe-foot", "swirl", "dowel", "box", "load", "set-up", "stack"),
    "spare",
)
BASIS = Column("basis", Choice(BASES))
SOURCE = Column("source", Name(), refers_to=("sources.csv",))
LOCATOR = Column("locator", Text(), is_required=False)
CHECKED_ON = Column("checked_on", Day())
PROVENANCE = (BASIS, SOURCE, LOCATOR, CHECKED_ON)

TABLES: tuple[Table, ...] = (
    Table(
        "sources.csv",
        (
            Column("key", Name()),
            Column("title", Text()),
            Column("author", Text(), is_required=False),
            Column("year", Number(1800, 2100), is_required=False),
            Column("edition", Text(), is_required=False),
            Column("kind", Choice(SOURCE_KINDS)),
        ),
        key=("key",),
    ),
    Table(
        "ingredients.csv",
        (
            Column("id", Name()),
            Column("name", Text()),
            Column("water", PER_100_G),
            Column("fat", PER_100_G),
            Column("protein", PER_100_G),
            Column("sugar", PER_100_G),
            Column("starch", PER_100_G),
            Column("other", PER_100_G),
            Column("energy_kcal", Number(0, 910)),
            Column("density_g_ml", Number(0.5, 3)),
            Column("relative_sweetness", Number(0, 2)),
            Column("allergens", Choice(ALLERGENS, is_several=True), is_required=False),
            Column("may_hold", Choice((*ALLERGENS, *AIDS), is_several=True), is_required=False),
            Column("made_of", Text(), is_required=False),
            Column("origin", Choice(("plant", "animal", "mineral"))),
            Column("fat_kind", Name(), is_required=False, refers_to=("fats.csv",)),
            Column("egg_part", Choice(EGG_PARTS)),
            Column("household_measure", Text()),
            Column("household_g", GRAMS),
            Column("pack_g", GRAMS),
            Column("pack_price", Number(0, 1000)),
            *PROVENANCE,
        ),
        key=("id",),
    ),
    Table(
        "household.csv",
        (
            Column("ingredient", Name(), refers_to=("ingredients.csv",)),
            Column("measure", Choice(MEASURES)),
            Column("grams", GRAMS),
            *PROVENANCE,
        ),
        key=("ingredient", "measure"),
    ),
    Table(
        "ingredient_names.csv",
        (Column("ingredient", Name(), refers_to=("ingredients.csv",)), Column("name", Text())),
        key=("ingredient", "name"),
    ),
    Table(
        "fats.csv",
        (
            Column("fat", Name()),
            Column("temperature_c", Number(-10, 80)),
            Column("solids_pct", SOLIDS),
            Column("low", SOLIDS),
            Column("high", SOLIDS),
            *PROVENANCE,
        ),
        key=("fat", "temperature_c"),
    ),
    Table(
        "families.csv",
        (
            Column("id", Name()),
            Column("name", Text()),
            Column("method", Text()),
            Column("egg_part", Choice(EGG_PARTS)),
            Column("order", Number(1, 99)),
        ),
        key=("id",),
    ),
    Table(
        "formulations.csv",
        (
            Column("id", Name()),
            Column("name", Text()),
            Column("family", Name(), refers_to=("families.csv",)),
            Column("egg_treatment", Choice(("none", "heated-71c", "syrup-cooked", "pasteurised"))),
            Column("equipment", Choice(EQUIPMENT, is_several=True), is_required=False),
            Column("note", Text(), is_required=False),
        ),
        key=("id",),
    ),
    Table(
        "formulas.csv",
        (
            Column("formulation", Name(), refers_to=("formulations.csv",)),
            Column("ingredient", Name(), refers_to=("ingredients.csv",)),
            Column("grams", GRAMS),
            Column("stage", Choice(("beat", "meringue", "yolk-foam", "syrup", "fat", "flavour"))),
        ),
        key=("formulation", "ingredient", "stage"),
    ),
    Table(
        "properties.csv",
        (
            Column("subject", Name()),
            Column("property", Choice(PROPERTY_NAMES)),
            Column("value", QUANTITY),
            Column("low", QUANTITY),
            Column("high", QUANTITY),
            Column("unit", Choice(PROPERTY_UNITS)),
            *PROVENANCE,
        ),
        key=("subject", "property"),
    ),
    Table(
        "substitutions.csv",
        (
            Column("id", Name()),
            Column("replaces", Name(), refers_to=("ingredients.csv",)),
            Column("with", Name(), refers_to=("ingredients.csv",)),
            Column("ratio", Number(0.05, 20)),
            Column("effect_property", Choice(PROPERTY_NAMES)),
            Column("effect", Text()),
            Column("faithful", Choice(("faithful", "workable", "different-icing"))),
            BASIS,
            SOURCE,
            LOCATOR,
        ),
        key=("id",),
    ),
    Table(
        "substitution_effects.csv",
        (
            Column("substitution", Name(), refers_to=("substitutions.csv",)),
            Column("property", Choice(PROPERTY_NAMES)),
            Column("change", CHANGE),
            Column("low", CHANGE),
            Column("high", CHANGE),
            Column("unit", Choice(PROPERTY_UNITS)),
            BASIS,
            SOURCE,
            LOCATOR,
        ),
        key=("substitution", "property"),
    ),
    Table(
        "allergens.csv",
        (
            Column("law", Choice(LAWS)),
            Column("allergen", Name()),
            Column("words", Text()),
            Column("named_by", Text()),
            Column("asks", Text(), is_required=False),
            Column("kinds", Text(), is_required=False),
            SOURCE,
            LOCATOR,
        ),
        key=("law", "allergen"),
    ),
    Table(
        "food_code.csv",
        (
            Column("table", Choice(("a", "b"))),
            Column("activity", Between()),
            Column("ph", Between()),
            Column("class", Choice(("non-tcs", "pa"))),
            SOURCE,
            LOCATOR,
        ),
        key=("table", "activity", "ph"),
    ),
    Table(
        "pathogens.csv",
        (
            Column("organism", Choice(("salmonella", "listeria"))),
            Column("medium", Text()),
            Column("egg_part", Choice(("white", "yolk", "whole"))),
            Column("sugar_pct", PER_100_G),
            Column("temperature_c", Number(45, 80)),
            Column("d_min", MINUTES),
            Column("low", MINUTES),
            Column("high", MINUTES),
            Column("z_k", Number(2, 15)),
            Column("z_low", Number(2, 15)),
            Column("z_high", Number(2, 15)),
            *PROVENANCE,
        ),
        key=("organism", "medium", "temperature_c"),
    ),
    Table(
        "solutes.csv",
        (
            Column("ingredient", Name(), refers_to=("ingredients.csv",)),
            Column("solute", Choice(SOLUTES)),
            Column("grams", PER_100_G),
            *PROVENANCE,
        ),
        key=("ingredient", "solute"),
    ),
    Table(
        "tasks.csv",
        (
            Column("task", Choice(TASKS)),
            Column("family", Name()),
            Column("per", Choice(("order", "tier", "dozen", "load", "cupcake-load"))),
            Column("title", Text()),
            Column("minutes", TASK_MINUTES),
            Column("low", TASK_MINUTES),
            Column("high", TASK_MINUTES),
            Column("attention", Choice(("hands", "waiting"))),
            Column("days_ahead", Number(0, 30)),
            BASIS,
            SOURCE,
            LOCATOR,
        ),
        key=("task", "family", "per"),
    ),
    Table(
        "criteria.csv",
        (
            Column("criterion", Name()),
            Column("title", Text()),
            Column("role", Choice(("coat", "filling", "pair"))),
            Column("weight", Number(0, 5)),
            Column("points", Points()),
            Column("unit", Choice(UNITS)),
            BASIS,
            SOURCE,
            LOCATOR,
        ),
        key=("criterion",),
    ),
    Table(
        "rules.csv",
        (
            Column("id", Name()),
            Column("kind", Choice(("limit", "caution", "keeping"))),
            Column("applies_to", Text()),
            Column("sentence", Text()),
            SOURCE,
            LOCATOR,
        ),
        key=("id",),
    ),
)

TABLE_OF: dict[str, Table] = {table.file: table for table in TABLES}
