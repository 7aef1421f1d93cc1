from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Catalogue

DATA = Path(__file__).resolve().parents[2] / "data"

CRITERIA = """criterion,title,role,weight,points,unit,basis,source,locator
heat,Heat,coat,3,-2:0 0:0.5 4:1,K,assumption,assumption,
effort,Effort,pair,1,20:1 120:0,min,assumption,assumption,
"""
RULES = """id,kind,applies_to,sentence,source,locator
hot-syrup,caution,syrup,Hot syrup burns.,common-practice,
"""


def copy_data(folder: Path) -> Path:
    """The shipped files, with criteria and rules that only these tests know."""
    for file in DATA.glob("*.csv"):
        shutil.copy(file, folder)
    (folder / "criteria.csv").write_text(CRITERIA, encoding="utf-8")
    (folder / "rules.csv").write_text(RULES, encoding="utf-8")
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copy_data(tmp_path)


@pytest.fixture(scope="session")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    return load_catalogue(copy_data(tmp_path_factory.mktemp("data")))
