from __future__ import annotations

import shutil

import pytest

from webapp.catalogue.tables import TABLES
from webapp.catalogue.version import data_version
from webapp.config import Config

DATA = Config().data_dir


def test_the_same_data_have_the_same_version_wherever_they_are(tmp_path):
    shutil.copytree(DATA, tmp_path / "data")
    assert data_version(tmp_path / "data") == data_version(DATA)
    assert len(data_version(DATA)) == 16


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.file)
def test_any_change_of_a_data_file_changes_the_version(tmp_path, table):
    shutil.copytree(DATA, tmp_path / "data")
    with (tmp_path / "data" / table.file).open("ab") as file:
        file.write(b"\n")
    assert data_version(tmp_path / "data") != data_version(DATA)
