"""The schema of the data files: which columns each has, what a cell may hold, what rows refer to."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.catalogue.cells import Cell, Choice, Day, Name, Number, Points, Text
from webapp.catalogue.properties import PROPERTY_NAMES, PROPERTY_UNITS

SOURCE_KINDS = ("standard", "published", "handbook", "web", "practice", "model")
BASES = ("published", "standard", "common-practice", "computed", "from-memory", "assumption")
ALLERGENS = ("milk", "egg", "soy", "coconut", "tree-nut", "gluten")
EQUIPMENT = ("stand-mixer", "thermometer")
EGG_PARTS = ("none", "white", "yolk")
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
QUANTITY = Number(-1000, 100_000)  # a property's own bounds are narrower; see properties.py
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
            Column("kind", Choice(("limit", "caution"))),
            Column("applies_to", Text()),
            Column("sentence", Text()),
            SOURCE,
            LOCATOR,
        ),
        key=("id",),
    ),
)

TABLE_OF: dict[str, Table] = {table.file: table for table in TABLES}
