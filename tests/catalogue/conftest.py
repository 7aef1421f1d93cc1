from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Catalogue

DATA = Path(__file__).resolve().parents[2] / "data"


def copy_data(folder: Path) -> Path:
    """The shipped files, to be spoiled."""
    for file in DATA.glob("*.csv"):
        shutil.copy(file, folder)
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copy_data(tmp_path)


@pytest.fixture(scope="session")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    return load_catalogue(copy_data(tmp_path_factory.mktemp("data")))
