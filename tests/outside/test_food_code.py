"""Every cell of the Food Code's interaction tables, inside it and on its edges; its limits of time and temperature."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.kitchen.keeping import cells_touched
from webapp.kitchen.water_activity import Range
from webapp.units import celsius

CATALOGUE = load_catalogue(Config().data_dir)


def rows():
    with (Path(__file__).parent / "food_code_tables.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def class_at(table: str, activity: float, ph: float) -> str:
    """Name the class of the one cell that holds these numbers."""
    at = (Range(number, number, number) for number in (activity, ph))
    (cell,) = cells_touched(CATALOGUE.food_code, table, *at)
    return cell.class_


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['table']} {row['activity']} {row['ph']}")
def test_a_cell_has_the_class_that_the_code_prints(row):
    found = class_at(row["table"], float(row["activity"]), float(row["ph"]))
    assert found.upper().replace("NON-TCS", "non-TCS") == row["class"]


def test_the_tables_have_nine_and_sixteen_cells_and_the_check_meets_each():
    cells = CATALOGUE.food_code
    assert [sum(cell.table == table for cell in cells) for table in "ab"] == [9, 16]
    met = {
        cell
        for row in rows()
        for cell in cells
        if cell.table == row["table"]
        and cell.activity.meets(float(row["activity"]), float(row["activity"]))
        and cell.ph.meets(float(row["ph"]), float(row["ph"]))
    }
    assert met == set(cells)


@pytest.mark.parametrize("table", ["a", "b"])
def test_the_cells_of_a_table_leave_no_gap_and_do_not_overlap(table):
    for activity in (0.1, 0.8799, 0.88, 0.9, 0.90001, 0.92, 0.92001, 0.95, 0.95001, 1.0):
        for ph in (1.0, 4.1999, 4.2, 4.6, 4.60001, 5.0, 5.00001, 5.6, 5.60001, 14.0):
            assert class_at(table, activity, ph) in ("non-tcs", "pa")


@pytest.mark.parametrize(
    ("subject", "name", "hours"),
    [
        ("out:home", "hours", 2),  # USDA FSIS, two-hour rule
        ("out:home", "hot_hours", 1),  # USDA FSIS, above 90 °F
        ("out:four-hours", "hours", 4),  # Food Code 3-501.19(B)
        ("out:six-hours", "hours", 6),  # Food Code 3-501.19(C)
    ],
)
def test_time_out_of_the_fridge_is_what_the_authorities_print(subject, name, hours):
    assert CATALOGUE.fact(subject, name).value == hours


@pytest.mark.parametrize(
    ("subject", "name", "fahrenheit"),
    [
        ("out:home", "hot_above", 90),  # USDA FSIS
        ("out:four-hours", "start_at_most", 41),  # Food Code 3-501.19(B)
        ("out:six-hours", "start_at_most", 41),  # Food Code 3-501.19(C)
        ("out:six-hours", "food_at_most", 70),  # Food Code 3-501.19(C), printed as 21 °C
    ],
)
def test_temperatures_are_those_printed_in_fahrenheit(subject, name, fahrenheit):
    # 0.15 K: the code rounds 70 °F = 21.1 °C down to 21 °C.
    assert CATALOGUE.fact(subject, name).value == pytest.approx(celsius(fahrenheit), abs=0.15)


@pytest.mark.parametrize(
    ("subject", "name", "limit"),
    [
        ("rule:kansas", "least_sugar", 0.65),  # Kansas State MF3544: more than 65 % sugar by weight
        ("rule:minnesota", "least_brix", 0.65),  # Univ. of Minnesota Extension: above 65 Brix …
        ("rule:minnesota", "most_activity", 0.85),  # … and water activity 0.85 or lower
        ("rule:iowa", "most_activity", 0.85),  # Iowa State Univ. Extension, quoting FDA
    ],
)
def test_limits_of_the_extension_services_are_as_printed(subject, name, limit):
    assert CATALOGUE.fact(subject, name).value == limit
