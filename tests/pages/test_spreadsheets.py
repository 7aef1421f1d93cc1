from __future__ import annotations

import io
from dataclasses import replace

import pytest
from openpyxl import load_workbook

from tests.pages.test_plan_words import plan
from webapp.pages.spreadsheets import csv_of, sheets_of, xlsx_of


def test_every_row_has_a_cell_for_every_column():
    for sheet in sheets_of(plan({"cupcakes": 6})):
        assert all(len(row) == len(sheet.columns) for row in sheet.rows), sheet.name


def test_a_plan_without_tiers_has_an_empty_stack():
    made = plan({"tiers": [], "cupcakes": 6})
    assert sheets_of(made)[-1].rows == ()
    assert load_workbook(io.BytesIO(xlsx_of(made)))["Stack"].max_row == 1


def test_numbers_stay_numbers_in_the_workbook():
    page = load_workbook(io.BytesIO(xlsx_of(plan({}))))["Balance"]
    assert all(isinstance(row[1], int | float) for row in page.iter_rows(min_row=2, values_only=True))


@pytest.mark.parametrize("name", ['=HYPERLINK("x")', "+1", "-1", "@sum", "＝1+1", "＋1", "－1", "＠sum"])
def test_a_typed_name_that_begins_a_formula_is_a_text(name):
    made = plan({})
    (first, *rest) = made.makings
    named = replace(made, makings=(replace(first, formulation=replace(first.formulation, name=name)), *rest))
    book = load_workbook(io.BytesIO(xlsx_of(named)))
    assert book["Batches"]["A2"].value == f"'{name}"
    assert f"'{name.replace(chr(34), chr(34) * 2)}" in csv_of(named).decode("utf-8-sig")


def test_nothing_is_less_than_nothing_of_what_there_is_none():
    assert "Water boiled off,0.0" in csv_of(plan({}, "american-butter", "american-butter")).decode("utf-8-sig")
