"""From bytes to rows: encoding, header, ragged and blank lines, each fault with its line."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from webapp.catalogue.cells import listed
from webapp.catalogue.tables import Table
from webapp.errors import DataFault


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a file: its line, counted from 1 with the header, and its cells by column."""

    line: int
    cells: dict[str, str]

    def number(self, column: str) -> float:
        """Read a cell that has been found to be a number."""
        return float(self.cells[column])


@dataclass(frozen=True, slots=True)
class Sheet:
    """What could be read of one file; ``is_whole`` is false where its keys cannot be relied on."""

    table: Table
    rows: tuple[Row, ...]
    faults: tuple[DataFault, ...]
    is_whole: bool


def read_sheet(folder: Path, table: Table) -> Sheet:
    """Read one file; whatever is wrong with its form is a fault, and its sound lines are still read."""
    try:
        content = (folder / table.file).read_bytes()
    except OSError:
        return _unreadable(table, None, "the file is missing or cannot be opened", "a CSV file of this name")
    try:
        text = content.decode("utf-8-sig")  # spreadsheets mark UTF-8 with a leading signature
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        return _unreadable(table, line, "the encoding is wrong", "UTF-8 text")
    if not text.strip():
        return _unreadable(table, 1, "the file is empty", listed(table.column_names))
    return _read_text(table, text.replace("\r\n", "\n"))


def _unreadable(table: Table, line: int | None, problem: str, allowed: str) -> Sheet:
    return Sheet(table, (), (DataFault(table.file, line, None, problem, allowed),), is_whole=False)


def _read_text(table: Table, text: str) -> Sheet:
    lines = text.removesuffix("\n").split("\n")
    if not lines[0].isprintable():
        return _unreadable(table, 1, "the header has a hidden character", listed(table.column_names))
    header = _fields(lines[0]) or []
    faults = list(_header_faults(table, header))
    sound: list[tuple[int, str]] = []
    for number, line in enumerate(lines[1:], start=2):
        problem = _line_problem(line, len(header))
        if problem is None:
            sound.append((number, line))
        else:
            faults.append(
                DataFault(table.file, number, None, problem, f"{len(header)} cells of plain text on one line")
            )
    can_name_cells = bool(sound) and len(set(header)) == len(header)
    rows = tuple(_rows(lines[0], sound)) if can_name_cells else ()
    return Sheet(table, rows, tuple(faults), is_whole=not faults)


def _fields(line: str) -> list[str] | None:
    """Split one line as CSV, or return nothing where its quotes do not close."""
    try:
        return next(csv.reader([line], strict=True), [])
    except csv.Error:
        return None


def _header_faults(table: Table, header: list[str]) -> Iterator[DataFault]:
    allowed = listed(table.column_names)
    for name in dict.fromkeys(header):
        if name not in table.column_names:
            yield DataFault(table.file, 1, name, "there is no such column", allowed)
        if header.count(name) > 1:
            yield DataFault(table.file, 1, name, "the column stands twice", "each column once")
    for name in table.column_names:
        if name not in header:
            yield DataFault(table.file, 1, name, "the column is missing", allowed)


def _line_problem(line: str, width: int) -> str | None:
    if not line.strip(" ,\t"):
        return "the line is blank"
    if not line.isprintable():
        return "the line has a hidden character"
    fields = _fields(line)
    if fields is None:
        return "a quotation mark is not closed on its line"
    return None if len(fields) == width else f"the line has {len(fields)} cells"


def _rows(header: str, sound: list[tuple[int, str]]) -> Iterator[Row]:
    """Hand the sound lines to pandas, every cell as the text it is."""
    import pandas as pd  # slow to import: only whoever reads the files pays

    text = "\n".join([header, *(line for _, line in sound)])
    frame = pd.read_csv(io.StringIO(text), dtype=str, keep_default_na=False, index_col=False)
    records: list[dict[str, str]] = frame.to_dict("records")  # type: ignore[assignment]
    for (number, _), record in zip(sound, records, strict=True):
        yield Row(number, record)
