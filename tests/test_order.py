"""Tests run in an order that lets all workers end at about the same time."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

import pytest

from tests.conftest import LONGEST_FILES, place_in_line


def test_what_is_named_as_long_is_there() -> None:
    # Seen to fail: with a name that no file has.
    assert [name for name in LONGEST_FILES if not (Path(__file__).parent / name).exists()] == []


def test_a_file_goes_before_the_rest_of_its_folder_and_a_folder_before_what_is_not_named() -> None:
    assert place_in_line("tests/browser/test_every_state.py::test") < place_in_line("tests/browser/test_paper.py::test")
    assert place_in_line("tests/pages/test_csrf.py::test") < place_in_line("tests/kitchen/test_oven.py::test")


def test_each_file_is_run_in_one_piece(request: pytest.FixtureRequest) -> None:
    # Seen to fail: with the tests sorted by their own names.
    files = [file for file, _ in groupby(item.nodeid.partition("::")[0] for item in request.session.items)]
    assert len(files) == len(set(files))
