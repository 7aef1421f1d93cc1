from __future__ import annotations

from dataclasses import fields

import pytest

from webapp.catalogue import model
from webapp.catalogue.tables import TABLE_OF, TABLES, Table

RENAMED = {"property": "name", "criterion": "id", "with": "with_", "class": "class_"}
MODELS = {
    "sources.csv": model.Source,
    "ingredients.csv": model.Ingredient,
    "families.csv": model.Family,
    "properties.csv": model.Fact,
    "substitutions.csv": model.Substitution,
    "substitution_effects.csv": model.SubstitutionEffect,
    "allergens.csv": model.ListedAllergen,
    "food_code.csv": model.FoodCodeCell,
    "pathogens.csv": model.HeatResistance,
    "solutes.csv": model.SoluteShare,
    "criteria.csv": model.CriterionSpec,
    "rules.csv": model.Rule,
}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.file)
def test_keys_are_columns_and_references_are_files(table: Table) -> None:
    assert set(table.key) <= set(table.column_names)
    assert len(set(table.column_names)) == len(table.columns)
    for column in table.columns:
        assert set(column.refers_to) <= set(TABLE_OF)


@pytest.mark.parametrize("file", MODELS)
def test_a_files_columns_are_the_fields_of_its_object(file: str) -> None:
    columns = {RENAMED.get(name, name) for name in TABLE_OF[file].column_names}
    assert columns == {field.name for field in fields(MODELS[file])}


@pytest.mark.parametrize(
    "file",
    ["ingredients.csv", "fats.csv", "properties.csv", "substitutions.csv", "criteria.csv", "rules.csv"],
)
def test_every_file_with_figures_or_sentences_asks_for_a_source(file: str) -> None:
    (source,) = [column for column in TABLE_OF[file].columns if column.name == "source"]
    assert source.is_required
    assert source.refers_to == ("sources.csv",)
