"""The guides say what is there: every data column, module of the layout and command they name exists, and back."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from webapp.catalogue.tables import TABLES

ROOT = Path(__file__).parents[1]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
README = (ROOT / "README.md").read_text()


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.file)
def test_every_data_column_is_in_the_guide_in_its_order(table):
    row = next(line for line in DEVELOPERS.splitlines() if line.startswith(f"| `{table.file}`"))
    assert row.split("|")[3].strip() == ", ".join(column.name for column in table.columns)


def test_every_data_file_is_in_the_guide():
    assert {path.name for path in (ROOT / "data").iterdir()} == set(
        re.findall(r"^\| `(\w+\.csv)` \|", DEVELOPERS, re.MULTILINE)
    )


def test_every_program_named_in_the_guides_is_there():
    modules = re.findall(r"-m ((?:webapp|tests)[\w.]*)", DEVELOPERS + README)
    assert modules
    for module in modules:
        path = ROOT / module.replace(".", "/")
        assert path.with_suffix(".py").exists() or (path / "__main__.py").exists(), module


def test_every_check_file_named_in_the_guide_is_there():
    for name in re.findall(r"`(tests/[\w/]+\.py)`", DEVELOPERS):
        assert (ROOT / name).exists(), name


def test_every_setting_is_in_the_readme():
    settings = set(re.findall(r'"(ADVISOR_\w+)"', (ROOT / "webapp" / "config.py").read_text()))
    assert settings == set(re.findall(r"`(ADVISOR_\w+)`", README))


def test_the_readme_opens_with_the_job_in_one_paragraph():
    assert README.split("\n\n")[1].startswith("For every custom cake")


def test_the_top_level_holds_only_what_was_agreed():
    agreed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "webapp",
        "data",
        "templates",
        "static",
        "tests",
    }
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert {name for name in found if not name.endswith(".egg-info")} == agreed
