from __future__ import annotations

from pathlib import Path

import pytest

from webapp.catalogue.reading import read_sheet
from webapp.catalogue.tables import TABLE_OF

FAMILIES = TABLE_OF["families.csv"]
HEADER = "id,name,method,egg_part,order\n"
SWISS = "swiss,Swiss,Warm and whip.,white,2\n"


def write(folder: Path, content: str | bytes) -> Path:
    raw = content if isinstance(content, bytes) else content.encode()
    (folder / "families.csv").write_bytes(raw)
    return folder


def test_a_row_keeps_its_line_and_its_cells_as_text(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, HEADER + SWISS), FAMILIES)
    assert sheet.faults == ()
    assert sheet.rows[0].line == 2
    assert sheet.rows[0].cells["order"] == "2"
    assert sheet.rows[0].number("order") == 2.0


def test_columns_may_stand_in_any_order(tmp_path: Path) -> None:
    sheet = read_sheet(
        write(tmp_path, "order,egg_part,method,name,id\n2,white,Whip.,Swiss,swiss\n"), FAMILIES
    )
    assert sheet.is_whole
    assert sheet.rows[0].cells["id"] == "swiss"


@pytest.mark.parametrize(
    "text", ["\ufeff" + HEADER + SWISS, (HEADER + SWISS).replace("\n", "\r\n"), (HEADER + SWISS).rstrip("\n")]
)
def test_what_spreadsheets_write_is_read(tmp_path: Path, text: str) -> None:
    sheet = read_sheet(write(tmp_path, text), FAMILIES)
    assert sheet.is_whole
    assert [row.cells["id"] for row in sheet.rows] == ["swiss"]


def test_words_that_mean_nothing_to_a_program_stay_words(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, HEADER + "null,NA,nan,none,2\n"), FAMILIES)
    assert sheet.rows[0].cells["name"] == "NA"


@pytest.mark.parametrize(
    ("content", "line", "problem"),
    [
        (b"", 1, "the file is empty"),
        ((HEADER + SWISS).encode() + "caf\xe9".encode("latin-1"), 3, "the encoding is wrong"),
        ((HEADER + SWISS).encode("utf-16"), 1, "the encoding is wrong"),
        ((HEADER + "\n" + SWISS).encode(), 2, "the line is blank"),
        ((HEADER + ",,,,\n" + SWISS).encode(), 2, "the line is blank"),
        ((HEADER + SWISS + "swiss,Swiss\n").encode(), 3, "the line has 2 cells"),
        ((HEADER + SWISS + "a,b,c,none,5,6\n").encode(), 3, "the line has 6 cells"),
        ((HEADER + 'a,"b,c,none,5\n' + SWISS).encode(), 2, "a quotation mark is not closed on its line"),
        ((HEADER + "a,b\u00a0,c,none,5\n").encode(), 2, "the line has a hidden character"),
        ((HEADER + "a,b\rc,c,none,5\n").encode(), 2, "the line has a hidden character"),
        ((HEADER + SWISS).replace("\n", "\r").encode(), 1, "the header has a hidden character"),
    ],
)
def test_a_malformed_file_is_told_with_its_line(
    tmp_path: Path, content: bytes, line: int, problem: str
) -> None:
    sheet = read_sheet(write(tmp_path, content), FAMILIES)
    assert [(fault.line, fault.problem) for fault in sheet.faults] == [(line, problem)]
    assert not sheet.is_whole


def test_sound_lines_are_read_beside_ragged_ones_and_keep_their_numbers(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, HEADER + "ragged\n" + SWISS), FAMILIES)
    assert [(row.line, row.cells["id"]) for row in sheet.rows] == [(3, "swiss")]


@pytest.mark.parametrize(
    ("header", "faults"),
    [
        ("id,name,method,egg_part,order,colour", [("colour", "there is no such column")]),
        ("id,name,method,egg_part", [("order", "the column is missing")]),
        ("id,name,method,egg_part,order,name", [("name", "the column stands twice")]),
        (
            "id,name ,method,egg_part,order",
            [("name ", "there is no such column"), ("name", "the column is missing")],
        ),
    ],
)
def test_a_wrong_header_names_its_columns(tmp_path: Path, header: str, faults: list[tuple[str, str]]) -> None:
    sheet = read_sheet(write(tmp_path, header + "\n"), FAMILIES)
    assert [(fault.column, fault.problem) for fault in sheet.faults] == faults
    assert all(fault.line == 1 for fault in sheet.faults)


def test_a_missing_file_is_a_fault(tmp_path: Path) -> None:
    (fault,) = read_sheet(tmp_path, FAMILIES).faults
    assert (fault.file, fault.line) == ("families.csv", None)
    assert "missing" in fault.problem
