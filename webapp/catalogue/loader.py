"""From a folder of data files to a ``Catalogue``, or to every fault in them at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from itertools import groupby
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from webapp.catalogue.cells import read_band, read_points
from webapp.catalogue.checks import Sheets, find_faults
from webapp.catalogue.model import (
    Catalogue,
    CriterionSpec,
    Fact,
    Family,
    FoodCodeCell,
    FormulaLine,
    Formulation,
    HeatResistance,
    HouseholdWeight,
    Ingredient,
    ListedAllergen,
    Rule,
    SolidsCurve,
    SoluteShare,
    Source,
    Substitution,
    SubstitutionEffect,
    TaskTime,
)
from webapp.catalogue.reading import Row, read_sheet
from webapp.catalogue.tables import TABLES
from webapp.errors import CatalogueError, DataFault

Item = TypeVar("Item")

# Cells that become something other than text, by the name of their column.
_READERS: dict[str, Callable[[str], Any]] = {
    **dict.fromkeys(("water", "fat", "protein", "sugar", "starch", "other", "energy_kcal"), float),
    **dict.fromkeys(("density_g_ml", "relative_sweetness", "household_g", "pack_g", "pack_price"), float),
    **dict.fromkeys(("value", "low", "high", "ratio", "weight", "grams", "change"), float),
    **dict.fromkeys(("allergens", "may_hold", "equipment", "named_by"), lambda text: frozenset(text.split())),
    **dict.fromkeys(("sugar_pct", "temperature_c", "d_min", "z_k", "z_low", "z_high"), float),
    **dict.fromkeys(("activity", "ph"), read_band),
    "fat_kind": lambda text: text or None,
    "kinds": lambda text: tuple(kind.strip() for kind in text.split(";") if kind.strip()),
    **dict.fromkeys(("order", "days_ahead"), lambda text: int(float(text))),
    "minutes": float,
    "points": read_points,
    "checked_on": date.fromisoformat,
}
_RENAMED = {"property": "name", "criterion": "id", "with": "with_", "class": "class_"}


def load_catalogue(folder: Path) -> Catalogue:
    """Read and check every data file of a folder.

    Raises
    ------
    CatalogueError
        With every fault of every file.
    """
    sheets = read_folder(folder)
    faults = find_faults(sheets)
    if faults:
        raise CatalogueError(faults)
    return _catalogue(sheets)


def check_folder(folder: Path) -> tuple[int, tuple[DataFault, ...]]:
    """Return how many rows a folder's files hold, and every fault in them."""
    sheets = read_folder(folder)
    return sum(len(sheet.rows) for sheet in sheets.values()), find_faults(sheets)


def read_folder(folder: Path) -> Sheets:
    """Read all files of the schema as text, in its order."""
    return {table.file: read_sheet(folder, table) for table in TABLES}


def _arguments(row: Row) -> dict[str, Any]:
    """Turn a row's cells into the arguments of its dataclass."""
    read = {name: _READERS.get(name, str)(text) for name, text in row.cells.items()}
    return {_RENAMED.get(name, name): value for name, value in read.items()}


def _by_key(items: Iterable[Item], key: Callable[[Item], Any]) -> MappingProxyType[Any, Item]:
    return MappingProxyType({key(item): item for item in items})


def _catalogue(sheets: Sheets) -> Catalogue:
    rows = {file: sheet.rows for file, sheet in sheets.items()}

    def made(file: str, model: Callable[..., Item]) -> list[Item]:
        return [model(**_arguments(row)) for row in rows[file]]

    ingredients = _by_key(made("ingredients.csv", Ingredient), lambda item: item.id)
    families = _by_key(made("families.csv", Family), lambda item: item.id)
    lines = _formula_lines(rows["formulas.csv"], ingredients)
    formulations = [_formulation(row, families, lines) for row in rows["formulations.csv"]]
    return Catalogue(
        sources=_by_key(made("sources.csv", Source), lambda item: item.key),
        ingredients=ingredients,
        families=families,
        formulations=_by_key(formulations, lambda item: item.id),
        facts=_by_key(made("properties.csv", Fact), lambda item: (item.subject, item.name)),
        fats=_by_key(_solids_curves(rows["fats.csv"]), lambda item: item.fat),
        criteria=_by_key(made("criteria.csv", CriterionSpec), lambda item: item.id),
        rules=_by_key(made("rules.csv", Rule), lambda item: item.id),
        substitutions=_by_key(made("substitutions.csv", Substitution), lambda item: item.id),
        effects=_by_key(
            made("substitution_effects.csv", SubstitutionEffect), lambda item: (item.substitution, item.name)
        ),
        allergens=_by_key(made("allergens.csv", ListedAllergen), lambda item: (item.law, item.allergen)),
        household=_by_key(made("household.csv", HouseholdWeight), lambda item: (item.ingredient, item.measure)),
        ingredient_names=tuple(
            (row.cells["name"], row.cells["ingredient"]) for row in rows["ingredient_names.csv"]
        ),
        tasks=_by_key(made("tasks.csv", TaskTime), lambda item: (item.task, item.family, item.per)),
        food_code=tuple(made("food_code.csv", FoodCodeCell)),
        pathogens=tuple(made("pathogens.csv", HeatResistance)),
        solutes=_by_key(made("solutes.csv", SoluteShare), lambda item: (item.ingredient, item.solute)),
    )


def _formula_lines(
    rows: Iterable[Row], ingredients: MappingProxyType[Any, Ingredient]
) -> dict[str, list[FormulaLine]]:
    lines: dict[str, list[FormulaLine]] = {}
    for row in rows:
        line = FormulaLine(ingredients[row.cells["ingredient"]], row.number("grams"), row.cells["stage"])
        lines.setdefault(row.cells["formulation"], []).append(line)
    return lines


def _formulation(
    row: Row, families: MappingProxyType[Any, Family], lines: dict[str, list[FormulaLine]]
) -> Formulation:
    arguments = _arguments(row)
    arguments["family"] = families[row.cells["family"]]
    return Formulation(**arguments, lines=tuple(lines[row.cells["id"]]))


def _solids_curves(rows: Iterable[Row]) -> list[SolidsCurve]:
    groups = groupby(rows, key=lambda row: row.cells["fat"])
    return [_solids_curve(fat, tuple(group)) for fat, group in groups]


def _solids_curve(fat: str, rows: tuple[Row, ...]) -> SolidsCurve:
    def column(name: str) -> tuple[float, ...]:
        return tuple(row.number(name) for row in rows)

    return SolidsCurve(
        fat=fat,
        temperature_c=column("temperature_c"),
        solids_pct=column("solids_pct"),
        low_pct=column("low"),
        high_pct=column("high"),
        source=rows[0].cells["source"],
    )
