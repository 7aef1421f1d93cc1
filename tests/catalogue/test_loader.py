from __future__ import annotations

import subprocess
import sys
from dataclasses import FrozenInstanceError
from datetime import date
from pathlib import Path

import pytest

from tests.catalogue.conftest import DATA
from webapp.catalogue.loader import check_folder, load_catalogue, read_folder
from webapp.catalogue.model import Catalogue
from webapp.catalogue.tables import TABLES
from webapp.errors import CatalogueError

FORMULATIONS = [
    "american-butter",
    "american-half-shortening",
    "american-half-ordinary",
    "american-shortening",
    "american-plant",
    "american-plant-shortening",
    "swiss-butter",
    "swiss-butter-shortening",
    "swiss-aquafaba-plant",
    "italian-butter",
    "italian-butter-shortening",
    "italian-aquafaba-plant",
    "italian-pasteurised-whites",
    "french-butter",
    "french-pasteurised-yolks",
    "french-plant",
]


def test_the_shipped_data_are_sound() -> None:
    assert [str(fault) for fault in check_folder(DATA)[1]] == []


def test_every_file_is_in_the_schema() -> None:
    assert {file.name for file in DATA.iterdir()} <= {table.file for table in TABLES}


def test_every_source_is_cited() -> None:
    """As the source of a row, within a locator, in a check against the outside, or as where all formulas come from."""
    of_all_formulas = {"textbook-formulas", "field-reports", "versteeg-2016"}
    checks = Path(__file__).parents[1] / "outside"
    citing = [*checks.glob("*.py"), *(file for file in DATA.glob("*.csv") if file.name != "sources.csv")]
    files = [file.read_text(encoding="utf-8") for file in citing]
    keys = [row.cells["key"] for row in read_folder(DATA)["sources.csv"].rows]
    assert [key for key in keys if key not in of_all_formulas and not any(key in text for text in files)] == []


def test_all_formulations_are_there_in_the_order_of_the_file(catalogue: Catalogue) -> None:
    assert list(catalogue.formulations) == FORMULATIONS


def test_cells_become_what_the_model_says(catalogue: Catalogue) -> None:
    butter = catalogue.ingredients["butter"]
    assert (butter.fat, butter.allergens, butter.fat_kind) == (81.11, frozenset({"milk"}), "milk-fat")
    assert catalogue.ingredients["salt"].fat_kind is None
    assert isinstance(butter.checked_on, date)
    swiss = catalogue.formulations["swiss-butter"]
    assert swiss.family is catalogue.families["swiss"]
    assert swiss.equipment == {"stand-mixer", "thermometer"}
    assert catalogue.criteria["heat"].points == ((-6.0, 0.0), (0.0, 0.35), (2.0, 0.85), (4.0, 1.0))
    assert catalogue.substitutions["butter-to-plant-block"].with_ == "plant-block"
    assert catalogue.families["french"].order == 4


def test_a_curve_has_its_points_and_ranges(catalogue: Catalogue) -> None:
    milk = catalogue.fats["milk-fat"]
    index = milk.temperature_c.index(20.0)
    assert (milk.solids_pct[index], milk.low_pct[index], milk.high_pct[index]) == (20.0, 14.6, 29.6)
    assert len(milk.temperature_c) == len(milk.low_pct) == len(milk.high_pct)


def test_every_curve_starts_cold_and_ends_molten(catalogue: Catalogue) -> None:
    for curve in catalogue.fats.values():
        assert curve.temperature_c[0] <= 0
        assert curve.solids_pct[-1] == 0


def test_a_formulation_has_its_own_fact_or_its_familys(catalogue: Catalogue) -> None:
    shortening = catalogue.formulations["american-shortening"]
    assert catalogue.formulation_fact(shortening, "whiteness").subject == "american-shortening"
    assert catalogue.formulation_fact(shortening, "softens").subject == "american"


def test_what_was_loaded_cannot_be_changed(catalogue: Catalogue) -> None:
    with pytest.raises(TypeError):
        catalogue.sources["new"] = catalogue.sources["usda-sr28"]  # type: ignore[index]
    with pytest.raises(FrozenInstanceError):
        catalogue.ingredients["butter"].fat = 0.0  # type: ignore[misc]


def test_bad_data_raise_with_every_fault(folder: Path) -> None:
    (folder / "fats.csv").unlink()
    (folder / "families.csv").unlink()
    with pytest.raises(CatalogueError) as caught:
        load_catalogue(folder)
    assert [fault.file for fault in caught.value.faults] == ["fats.csv", "families.csv"]
    assert "families.csv: the file is missing" in str(caught.value)


def test_importing_the_model_does_not_import_pandas() -> None:
    code = "import sys, webapp.catalogue.model, webapp.catalogue.loader; sys.exit('pandas' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False, cwd=DATA.parent).returncode == 0
