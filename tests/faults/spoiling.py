"""Ways to spoil a data file, each with what must become of it: refused (and where), taken, or either."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from webapp.catalogue.cells import Choice, Number
from webapp.catalogue.tables import TABLE_OF, TABLES, Column, Table

Outcome = Literal["refused", "taken", "either"]
Rows = list[list[str]]
NO_NUMBERS = ("twelve", "1,5", "1e3", "1e400", "nan", "inf", "-inf", "0x10", "١٢", "½", "5%", "3 g", "--1")
HUGE = ("1" + "0" * 12, "9" * 400, "1" + "0" * 30 + ".5")
HIDDEN = ("\x00", "\u202e", "\u200b", "\x1b", "\x0b", "\u2028", "\ufeff")
STRANGE = (
    *("<b>&amp;", "{{ 7*7 }}", "{0}", "{else}", "{", "=1+1", "%s%n", "ß İ ﬁ", "مرحبا", "a/../b", "'\";--", "𝟙𝟚"),
)
# Beside those of the schema: a cell that must name something, which only the rules over all files look up.
ALSO_REFER = {("properties.csv", "subject"), ("tasks.csv", "family")}


@dataclass(frozen=True, slots=True)
class Spoilt:
    """One spoilt file: its new content (none: deleted), what must become of it, and the place to be named."""

    content: bytes | None
    outcome: Outcome
    line: int | None = None
    column: str | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sound file to be spoilt."""

    table: Table
    content: bytes
    rows: Rows
    referred: frozenset[str]

    @property
    def header(self) -> list[str]:
        """The names of the columns."""
        return self.rows[0]

    def column(self, place: int) -> Column:
        """What a column may hold."""
        return next(column for column in self.table.columns if column.name == self.header[place])

    def places(self, wanted: Callable[[Column], bool]) -> list[int]:
        """Where the columns of a kind stand."""
        return [place for place in range(len(self.header)) if wanted(self.column(place))]


Way = Callable[[random.Random, Sheet], Spoilt | None]


def read_sheets(folder: Path) -> dict[str, Sheet]:
    """Read the sound files."""
    contents = {table.file: (folder / table.file).read_bytes() for table in TABLES}
    rows = {file: list(csv.reader(io.StringIO(content.decode()))) for file, content in contents.items()}
    return {file: Sheet(TABLE_OF[file], contents[file], rows[file], _referred(file, rows)) for file in contents}


def _referred(file: str, rows: dict[str, Rows]) -> frozenset[str]:
    """Collect all cells of other files that name a row of this one."""
    named: set[str] = set()
    for table in TABLES:
        for column in table.columns:
            if file in column.refers_to:
                place = rows[table.file][0].index(column.name)
                named |= {row[place] for row in rows[table.file][1:]}
    return frozenset(named - {""})


def written(rows: Rows, mark: str = ",", end: str = "\n") -> bytes:
    """Write rows as a spreadsheet does."""
    file = io.StringIO()
    csv.writer(file, delimiter=mark, lineterminator=end).writerows(rows)
    return file.getvalue().encode("utf-8", "surrogatepass")


def _copied(sheet: Sheet) -> Rows:
    return [list(row) for row in sheet.rows]


def _line(chance: random.Random, sheet: Sheet) -> int:
    return chance.randrange(1, len(sheet.rows))


def _in_cell(
    chance: random.Random,
    sheet: Sheet,
    wanted: Callable[[Column], bool],
    text: Callable[[str], str | None],
    outcome: Outcome = "refused",
) -> Spoilt | None:
    """Change one filled cell of a kind of column."""
    cells = [(line, place) for place in sheet.places(wanted) for line in range(1, len(sheet.rows))]
    cells = [(line, place) for line, place in cells if sheet.rows[line][place]]
    if not cells:
        return None
    line, place = chance.choice(cells)
    changed = text(sheet.rows[line][place])
    if changed is None:
        return None
    rows = _copied(sheet)
    rows[line][place] = changed
    if outcome != "refused":
        return Spoilt(written(rows), outcome)  # where it is missed may be in another file
    return Spoilt(written(rows), outcome, line + 1, sheet.header[place])


def _is_number(column: Column) -> bool:
    return isinstance(column.cell, Number)


def drop_cell(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Take a cell out, so that the rest of its line moves to the left."""
    rows, line = _copied(sheet), _line(chance, sheet)
    del rows[line][chance.randrange(len(sheet.header))]
    return Spoilt(written(rows), "refused", line + 1)


def empty_cell(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Clear a cell that must be filled."""
    return _in_cell(chance, sheet, lambda column: column.is_required, lambda text: "")


def clear_optional_cell(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Clear a cell that may be empty."""
    return _in_cell(chance, sheet, lambda column: not column.is_required, lambda text: "", "either")


def swap_headers(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Swap two names in the header and leave the cells."""
    rows = _copied(sheet)
    left, right = chance.sample(range(len(sheet.header)), 2)
    rows[0][left], rows[0][right] = rows[0][right], rows[0][left]
    return Spoilt(written(rows), "either")


def move_column(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Move a column with all its cells: the order of columns is free."""
    rows, place = _copied(sheet), chance.randrange(len(sheet.header))
    for row in rows:
        row.append(row.pop(place))
    return Spoilt(written(rows), "taken")


def text_for_number(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Write what is no plain number into a cell that must hold one."""
    return _in_cell(chance, sheet, _is_number, lambda text: chance.choice(NO_NUMBERS))


def huge_number(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Write a number that nothing can have."""
    return _in_cell(chance, sheet, _is_number, lambda text: chance.choice(HUGE))


def negative_number(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Make a share, a weight, a price, a time or a year negative."""
    return _in_cell(
        chance,
        sheet,
        lambda column: isinstance(column.cell, Number) and column.cell.low >= 0,
        lambda text: None if float(text) == 0 else f"-{text}",
    )


def other_number(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Write another number that might be right."""
    factor = chance.choice((0, 0.1, 0.5, 0.97, 1.03, 2, 10))
    return _in_cell(chance, sheet, _is_number, lambda text: f"{float(text) * factor:.6f}", "either")


def other_choice(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Write another of the words that a cell may hold; a unit must then be refused."""
    places = sheet.places(lambda column: isinstance(column.cell, Choice) and column.name != "unit")
    if not places:
        return None
    cell = sheet.column(chosen := chance.choice(places)).cell
    assert isinstance(cell, Choice)
    words = cell.options
    name = sheet.header[chosen]
    return _in_cell(
        chance,
        sheet,
        lambda column: column.name == name,
        lambda text: chance.choice([word for word in words if word != text] or [None]),
        "either",
    )


def unknown_word(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Write a word that is none of the few allowed."""
    return _in_cell(chance, sheet, lambda column: isinstance(column.cell, Choice), lambda text: "no-such-word")


def other_unit(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Give a number another unit than the one it is in."""
    places = sheet.places(lambda column: column.name == "unit")
    if not places:
        return None
    cell = sheet.column(places[0]).cell
    assert isinstance(cell, Choice)
    words = cell.options
    return _in_cell(
        chance,
        sheet,
        lambda column: column.name == "unit",
        lambda text: chance.choice([word for word in words if word != text]),
    )


def unknown_reference(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Name something that stands in no file."""
    file = sheet.table.file
    return _in_cell(
        chance,
        sheet,
        lambda column: bool(column.refers_to) or (file, column.name) in ALSO_REFER,
        lambda text: text + "-of-nowhere",
    )


def renamed_key(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Rename a row that others refer to."""
    place = sheet.header.index(sheet.table.key[0])
    lines = [line for line in range(1, len(sheet.rows)) if sheet.rows[line][place] in sheet.referred]
    if not lines or len(sheet.table.key) > 1:
        return None
    rows = _copied(sheet)
    rows[chance.choice(lines)][place] += "-renamed"
    return Spoilt(written(rows), "refused")


def delete_row(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Take a row out; one that others refer to must be missed."""
    rows, line = _copied(sheet), _line(chance, sheet)
    place = sheet.header.index(sheet.table.key[0])
    gone = rows.pop(line)[place]
    is_needed = gone in sheet.referred and gone not in {row[place] for row in rows[1:]}
    return Spoilt(written(rows), "refused" if is_needed else "either")


def delete_all_rows(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Leave the header alone."""
    return Spoilt(written(sheet.rows[:1]), "refused")


def delete_column(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Take a column out."""
    place = chance.randrange(len(sheet.header))
    rows = [row[:place] + row[place + 1 :] for row in sheet.rows]
    return Spoilt(written(rows), "refused", 1, sheet.header[place])


def add_column(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Add a column that nobody knows."""
    rows = [[*row, "remark" if line == 0 else "x"] for line, row in enumerate(sheet.rows)]
    return Spoilt(written(rows), "refused", 1, "remark")


def rename_column(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Misspell a column."""
    rows, place = _copied(sheet), chance.randrange(len(sheet.header))
    rows[0][place] += "s"
    return Spoilt(written(rows), "refused", 1, sheet.header[place])


def duplicate_row(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Write a row twice."""
    rows = _copied(sheet)
    rows.append(list(chance.choice(rows[1:])))
    return Spoilt(written(rows), "refused", len(rows))


def swap_rows(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Swap two rows."""
    if len(sheet.rows) < 3:
        return None
    rows = _copied(sheet)
    left, right = chance.sample(range(1, len(rows)), 2)
    rows[left], rows[right] = rows[right], rows[left]
    return Spoilt(written(rows), "either")


def swap_range(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Swap the low and the high end of a range."""
    if "low" not in sheet.header:
        return None
    low, high = sheet.header.index("low"), sheet.header.index("high")
    lines = [line for line in range(1, len(sheet.rows)) if sheet.rows[line][low] != sheet.rows[line][high]]
    rows, line = _copied(sheet), chance.choice(lines)
    rows[line][low], rows[line][high] = rows[line][high], rows[line][low]
    return Spoilt(written(rows), "refused", line + 1)


def other_encoding(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Save in an encoding that is not UTF-8."""
    text = sheet.content.decode().replace(",", ",é", 1) if sheet.content.isascii() else sheet.content.decode()
    return Spoilt(text.encode(chance.choice(("utf-16", "cp1252", "utf-32")), "replace"), "refused")


def wrong_bytes(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Put bytes in that UTF-8 does not have: stray, overlong, half a surrogate."""
    bad = chance.choice((b"\xff", b"\xc0\xaf", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\x80"))
    lines = sheet.content.split(b"\n")
    line = chance.randrange(len(lines) - 1)
    lines[line] = lines[line][: chance.randrange(len(lines[line]) + 1)] + bad + lines[line][-3:]
    return Spoilt(b"\n".join(lines), "refused")


def hidden_character(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Put a character in that nobody sees."""
    rows, line = _copied(sheet), _line(chance, sheet)
    rows[line][chance.randrange(len(sheet.header))] += chance.choice(HIDDEN)
    return Spoilt(written(rows), "refused")


def empty_file(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Leave nothing, or white space."""
    return Spoilt(chance.choice((b"", b"\n", b" \n\n", b"\xef\xbb\xbf")), "refused")


def missing_file(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Delete the file."""
    return Spoilt(None, "refused")


def truncated(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Cut the file off somewhere; a cut through a line must be missed."""
    cut = sheet.content[: chance.randrange(1, len(sheet.content))]
    last = next(csv.reader([cut.decode("utf-8", "replace").rsplit("\n", 1)[-1]]), [])
    is_through = 0 < len(last) < len(sheet.header)
    return Spoilt(cut, "refused" if is_through else "either")


def with_signature(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Save as spreadsheets do: UTF-8 with its signature, lines ended by two characters."""
    return Spoilt(b"\xef\xbb\xbf" + written(sheet.rows, end="\r\n"), "taken")


def semicolons(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Save as spreadsheets in half of Europe do."""
    return Spoilt(written(sheet.rows, mark=chance.choice(";\t|")), "refused", 1)


def old_line_ends(chance: random.Random, sheet: Sheet) -> Spoilt:
    """End lines as no system has for long."""
    return Spoilt(written(sheet.rows, end="\r"), "refused", 1)


def open_quote(chance: random.Random, sheet: Sheet) -> Spoilt:
    """Open a quotation mark and never close it."""
    lines = sheet.content.split(b"\n")
    line = chance.randrange(1, len(lines) - 1)
    lines[line] = b'"' + lines[line].replace(b'"', b"")
    return Spoilt(b"\n".join(lines), "refused", line + 1)


def long_cell(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Write a very long text."""
    long = chance.choice(("x" * 200_000, "e\u0301" * 5_000, "a" + "\u0301" * 3_000, "word " * 2_000))
    return _in_cell(chance, sheet, lambda column: True, lambda text: long.strip(), "either")


def strange_text(chance: random.Random, sheet: Sheet) -> Spoilt | None:
    """Write a text that templates, spreadsheets or addresses may take for something else."""
    strange = chance.choice(
        ("<b>&amp;", "{{ 7*7 }}", "{0}", "{else}", "{", "=1+1", "%s%n", "ß İ ﬁ", "مرحبا", "a/../b", "'\";--", "𝟙𝟚")
    )
    return _in_cell(chance, sheet, lambda column: True, lambda text: strange, "either")


WAYS: tuple[Way, ...] = (
    drop_cell,
    empty_cell,
    clear_optional_cell,
    swap_headers,
    move_column,
    text_for_number,
    huge_number,
    negative_number,
    other_number,
    other_choice,
    unknown_word,
    other_unit,
    unknown_reference,
    renamed_key,
    delete_row,
    delete_all_rows,
    delete_column,
    add_column,
    rename_column,
    duplicate_row,
    swap_rows,
    swap_range,
    other_encoding,
    wrong_bytes,
    hidden_character,
    empty_file,
    missing_file,
    truncated,
    with_signature,
    semicolons,
    old_line_ends,
    open_quote,
    long_cell,
    strange_text,
)
