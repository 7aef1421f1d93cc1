from __future__ import annotations

import re
from pathlib import Path

import pytest

from webapp.catalogue.__main__ import main
from webapp.catalogue.tables import TABLES


def test_sound_data_are_told_in_one_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(folder)]) == 0
    rows = sum(len(file.read_text(encoding="utf-8").splitlines()) - 1 for file in folder.iterdir())
    assert capsys.readouterr().out == f"all {rows} rows of {len(TABLES)} files are sound\n"


def test_each_fault_is_a_line_and_the_shell_sees_it(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "rules.csv").unlink()
    (folder / "criteria.csv").write_text("criterion\n", encoding="utf-8")
    assert main([str(folder)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 9  # eight columns are missing
    assert all(re.match(r"(criteria|rules)\.csv[,:] ", line) for line in lines)


def test_more_than_one_folder_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["a", "b"]) == 2
    assert "usage" in capsys.readouterr().err
