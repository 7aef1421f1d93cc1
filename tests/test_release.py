"""The wheel holds what the advisor runs with, and runs where there is no checkout; so does an editable install."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import sysconfig
import tomllib
import zipfile
from datetime import date
from pathlib import Path

import pytest

from tests.installed import answers, home_of

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
RUNS = {"webapp": ("webapp", "*.py"), "data": ("webapp/data", "*"), "static": ("webapp/static", "*")}
RUNS |= {"templates": ("webapp/templates", "*")}


def run(*command: object) -> None:
    done = subprocess.run([str(part) for part in command], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", folder)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    """Return the Python of an empty environment that is lent only the libraries of this one, to need no network."""
    run(sys.executable, "-m", "venv", "--without-pip", tmp_path / "venv")
    (packages,) = (tmp_path / "venv").glob("lib/python*/site-packages")
    # Paths that a .pth file adds are not searched for more .pth files: an editable install of here is not lent.
    (packages / "lent.pth").write_text("\n".join({sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}))
    return tmp_path / "venv" / "bin" / "python"


def install(python: Path, *what: object) -> None:
    run(sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-index", "--no-deps", *what)


def must_answer(python: Path, folder: Path) -> None:
    served = answers(python, folder)
    advice = json.loads(served["advice"])
    assert advice["verdict"] in {"holds", "marginal"} and advice["pairing"]["coat"]["name"]
    assert served["page"].lower().startswith("<!doctype html>")
    assert served["style"] == (ROOT / "static" / "style.css").read_text()


def test_the_wheel_holds_every_file_the_advisor_runs_with_and_no_test(wheel: Path) -> None:
    held = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    expected = {
        f"{inside}/{file.relative_to(ROOT / folder).as_posix()}"
        for folder, (inside, names) in RUNS.items()
        for file in (ROOT / folder).rglob(names)
        if file.is_file()
    }
    assert held == expected


def test_the_wheel_runs_where_there_is_no_checkout(wheel: Path, empty: Path, tmp_path: Path) -> None:
    install(empty, wheel)
    assert home_of(empty, tmp_path).is_relative_to(tmp_path / "venv")
    must_answer(empty, tmp_path)


def test_an_editable_install_runs_from_another_folder(empty: Path, tmp_path: Path) -> None:
    install(empty, "--no-build-isolation", "--editable", ROOT)
    assert home_of(empty, tmp_path) == ROOT / "webapp"
    must_answer(empty, tmp_path)


def test_the_change_log_begins_with_this_version_and_goes_back_in_time() -> None:
    entries = re.findall(
        r"^\*\*(\d+\.\d+\.\d+)\*\* \((\d{4}-\d\d-\d\d)\)", (ROOT / "README.md").read_text(), re.MULTILINE
    )
    versions = [tuple(map(int, version.split("."))) for version, _ in entries]
    days = [date.fromisoformat(day) for _, day in entries]
    assert entries[0][0] == PROJECT["version"]
    assert versions == sorted(set(versions), reverse=True) and days == sorted(days, reverse=True)
