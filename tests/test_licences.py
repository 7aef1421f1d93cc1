"""Every dependency is listed with its licence, and none that the advisor runs with asks more than the list allows."""

from __future__ import annotations

import csv
import re
from importlib.metadata import PackageNotFoundError

import pytest

from tests.licences import LOCKS, licence, locked_here

PERMISSIVE = {"0BSD", "Apache-2.0", "BSD", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "MIT", "MIT-0", "MIT-CMU"}
PERMISSIVE |= {"PSF-2.0", "ZPL-2.1", "Zlib"}
# Copyleft of a file or a library: used as it is, unchanged and not copied into the wheel, it asks nothing of the rest.
UNCHANGED = {"LGPL-3.0-only", "MPL-2.0"}
LISTED = {row["package"]: row for row in csv.DictReader((LOCKS.parent / "licences.csv").read_text().splitlines())}


def parts(expression: str) -> set[str]:
    return set(re.split(r" AND | OR ", expression.replace("(", "").replace(")", "")))


def test_everything_locked_is_listed_once_as_what_it_is_needed_for() -> None:
    listed = [(row["package"], row["needed_by"]) for row in LISTED.values()]
    runtime = set(locked_here("runtime"))
    for package in locked_here("test"):
        assert (package, "runtime" if package in runtime else "tests") in listed, "run python -m tests.licences"


@pytest.mark.parametrize("package", sorted(LISTED))
def test_a_licence_is_one_that_is_allowed(package: str) -> None:
    assert parts(LISTED[package]["licence"]) <= PERMISSIVE | UNCHANGED


@pytest.mark.parametrize("package", locked_here("runtime"))
def test_what_is_installed_says_an_allowed_licence_itself(package: str) -> None:
    try:
        assert parts(licence(package)) <= PERMISSIVE | UNCHANGED
    except PackageNotFoundError:
        pytest.fail(f"{package} is locked and not installed: run sh .ci/prepare")
