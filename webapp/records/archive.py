"""All records as one file that any program can read, and back.

The file is a zip with ``manifest.json`` and, for each table, ``<table>.jsonl``: one JSON object a line, by the names
of the columns, sorted by the key, ASCII only. The manifest names the schema and, for each table, its number of rows,
the SHA-256 of its lines and what its columns are: ``text``, ``number``, ``date`` and ``time`` (ISO 8601, UTC) or
``json`` (a document). The same records give the same lines, and with the same zlib the same bytes. It holds clients'
names and the hashes of passwords: keep it as carefully as the records themselves. What only the running workers
need (attempts to log in, turns) is not in it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from sqlalchemy import (
    Column,
    ColumnClause,
    Date,
    DateTime,
    Float,
    Integer,
    MetaData,
    Table,
    TableClause,
    Text,
    column,
    delete,
    func,
    insert,
    select,
    table,
)
from sqlalchemy.exc import IntegrityError, StatementError
from sqlalchemy.orm import Session
from sqlalchemy.types import TypeEngine

from webapp.records.columns import Document, UtcTime, json_text
from webapp.records.errors import ArchiveError, RecordsError
from webapp.records.model import PASSING, Account, Base, Price, Setting
from webapp.records.schema import STEPS, revision_of, steps, upgrade
from webapp.records.storage import Storage, create_file, url_in_folder

FORMAT = "coat-and-filling records"
LAYOUT = 1
MANIFEST = "manifest.json"
BATCH = 200
_TABLES = tuple(kept for kept in Base.metadata.sorted_tables if kept.name not in PASSING)
# What a shop is set up with before its first client; an archive may go over it.
_FITTINGS = frozenset({Account.__tablename__, Price.__tablename__, Setting.__tablename__})
LONGEST_LINE = 4 * 1024 * 1024  # bytes of one record; an advice has some tens of thousands
LONGEST_MANIFEST = 1024 * 1024  # bytes; ours has some thousands
LARGEST_NUMBER = 1e9  # of revisions, hours, degrees and prices
ENCRYPTED = 1  # the bit of a zip's member
# What reading a file that anybody may have made can raise.
_UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    KeyError,
    IndexError,
    TypeError,
    AttributeError,
    ValueError,
    RecursionError,
)
_KINDS: Mapping[str, Callable[[], TypeEngine[Any]]] = {
    "text": Text,
    "number": Float,
    "date": Date,
    "time": UtcTime,
    "json": Document,
}


def export_archive(storage: Storage, file: IO[bytes]) -> None:
    """Write all records, in one state, into a file opened for writing."""
    schema = revision_of(storage.url)
    with storage.reading() as session, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        tables = {kept.name: _export_table(session, kept, archive) for kept in _tables(session, schema)}
        manifest = {"format": FORMAT, "layout": LAYOUT, "schema": schema, "tables": tables}
        with archive.open(_member(MANIFEST), "w") as member:
            member.write(json.dumps(manifest, indent=1).encode("ascii") + b"\n")


def _tables(session: Session, schema: str | None) -> Sequence[Table]:
    """List the tables of a schema; those of an older one, as before a step, are as the database has them."""
    if schema == steps()[-1]:
        return _TABLES
    found = MetaData()
    found.reflect(session.connection(), only=lambda name, _: name not in PASSING | {"alembic_version"})
    for kept in found.sorted_tables:
        for older in kept.columns:
            older.type = _type(kept.name, older)
    return found.sorted_tables


def _type(name: str, older: Column[Any]) -> TypeEngine[Any]:
    known = Base.metadata.tables.get(name)
    if known is not None and older.name in known.columns:
        return known.columns[older.name].type
    return UtcTime() if isinstance(older.type, DateTime) else older.type


def _export_table(session: Session, kept: Table, archive: zipfile.ZipFile) -> dict[str, Any]:
    digest, count = hashlib.sha256(), 0
    letter_by_letter = "BINARY" if session.get_bind().dialect.name == "sqlite" else "C"
    keys = [key.collate(letter_by_letter) for key in kept.primary_key.columns]
    with archive.open(_member(f"{kept.name}.jsonl"), "w", force_zip64=True) as member:
        for row in session.execute(select(kept).order_by(*keys).execution_options(yield_per=BATCH)).mappings():
            line = json_text({name: _plain(value) for name, value in row.items()}).encode("ascii") + b"\n"
            member.write(line)
            digest.update(line)
            count += 1
    return {"rows": count, "sha256": digest.hexdigest(), "columns": {c.name: _kind(c) for c in kept.columns}}


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, dt.date) else value


def _kind(kept: Column[Any]) -> str:
    by_type = {UtcTime: "time", Document: "json", Date: "date", Integer: "number", Float: "number"}
    return next((kind for type_, kind in by_type.items() if isinstance(kept.type, type_)), "text")


def _member(name: str) -> zipfile.ZipInfo:
    # No clock, no user, no system: the same records give the same file.
    member = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    member.compress_type, member.create_system, member.external_attr = zipfile.ZIP_DEFLATED, 3, 0o600 << 16
    return member


def import_archive(
    storage: Storage,
    file: IO[bytes],
    *,
    replace: bool = False,
    largest: int | None = None,
    folder: Path = STEPS,
    first: Callable[[], None] | None = None,
) -> int:
    """Read an archive into records that are empty, or in the place of all that is there; all or nothing.

    Records are empty while nothing of a client is in them: accounts, prices and settings give way to those of the
    archive, but the accounts stay where it holds none. An archive of an older schema goes through the steps that its
    records would have gone through. ``largest`` bounds what it may unfold to [bytes]. ``first`` is called when
    nobody else can write any more, before anything is changed. Returns the number of records read.

    Raises
    ------
    ArchiveError
        If it is no archive of ours, from a newer version, damaged, or if there are records and ``replace`` is false.
    """
    with _as_archive_error(), zipfile.ZipFile(file) as archive:
        if not all(map(_is_written_as_ours, archive.infolist())):
            raise ArchiveError("The archive is locked by a password, or packed in a way that is not ours.")
        if largest is not None and sum(member.file_size for member in archive.infolist()) > largest:
            raise ArchiveError("The archive unfolds to more than is taken here. Import it by the command.")
        manifest = _manifest(archive)
        if manifest["schema"] not in steps(folder):
            raise ArchiveError("The archive is from a newer version of the advisor. Update the advisor first.")
        if manifest["schema"] == steps(folder)[-1]:
            return _import_current(storage, archive, manifest, replace, first)
        return _import_older(storage, archive, manifest, replace, folder, first)


def _import_current(
    storage: Storage,
    archive: zipfile.ZipFile,
    manifest: dict[str, Any],
    replace: bool,
    first: Callable[[], None] | None,
) -> int:
    with storage.writing() as session:
        _keep_others_from_writing(session)
        if first is not None:
            first()
        _make_room(session, replace, bool(manifest["tables"][Account.__tablename__]["rows"]))
        return _import_tables(session, archive, manifest)


def _import_older(
    storage: Storage,
    archive: zipfile.ZipFile,
    manifest: dict[str, Any],
    replace: bool,
    folder: Path,
    first: Callable[[], None] | None,
) -> int:
    with tempfile.TemporaryDirectory() as place:
        url = url_in_folder(Path(place))
        create_file(Path(str(url.database)))
        upgrade(url, manifest["schema"], folder)
        older = Storage(url)
        try:
            with older.writing() as session:
                _import_tables(session, archive, manifest)
            upgrade(url, "head", folder)
            with tempfile.TemporaryFile() as current:
                export_archive(older, current)
                return import_archive(storage, current, replace=replace, folder=folder, first=first)
        finally:
            older.close()


def _keep_others_from_writing(session: Session) -> None:
    # On SQLite a change holds the file from its start; on PostgreSQL others could write between two statements.
    if session.get_bind().dialect.name == "postgresql":
        names = ", ".join(kept.name for kept in _TABLES)
        session.connection().exec_driver_sql(f"LOCK TABLE {names} IN EXCLUSIVE MODE")


def _import_tables(session: Session, archive: zipfile.ZipFile, manifest: dict[str, Any]) -> int:
    # The order of the manifest is that of the export: what is referred to comes first.
    return sum(_import_table(session, archive, name, facts) for name, facts in manifest["tables"].items())


def _import_table(session: Session, archive: zipfile.ZipFile, name: str, facts: dict[str, Any]) -> int:
    kinds: dict[str, str] = facts["columns"]
    into = table(name, *(_column(key, kind) for key, kind in kinds.items()))
    digest, count = hashlib.sha256(), 0
    with archive.open(f"{name}.jsonl") as member:
        for lines in _batches(_lines(member, digest.update)):
            _insert(session, into, [_row(line, kinds) for line in lines])
            count += len(lines)
    if (count, digest.hexdigest()) != (facts["rows"], facts["sha256"]):
        raise ArchiveError(f"{name}.jsonl is not what the manifest says; the archive is damaged.")
    return count


def _insert(session: Session, into: TableClause, rows: list[dict[str, Any]]) -> None:
    try:
        session.execute(insert(into), rows)
    except IntegrityError as error:
        problem = "The archive holds a key twice, a reference that leads nowhere or a word that is not allowed."
        raise ArchiveError(problem) from error


def _column(name: str, kind: str) -> ColumnClause[Any]:
    return column(name, _KINDS[kind]())


def _lines(member: IO[bytes], seen: Callable[[bytes], None]) -> Iterator[bytes]:
    while line := member.readline(LONGEST_LINE):
        if not line.endswith(b"\n"):
            raise ArchiveError("A line of the archive is too long or cut off.")
        seen(line)
        yield line


def _batches(lines: Iterable[bytes]) -> Iterator[list[bytes]]:
    """Gather lines, but no more than fit in memory also when each is as long as may be."""
    batch: list[bytes] = []
    for line in lines:
        batch.append(line)
        if len(batch) == BATCH or sum(map(len, batch)) >= LONGEST_LINE:
            yield batch
            batch = []
    if batch:
        yield batch


def _row(line: bytes, kinds: Mapping[str, str]) -> dict[str, Any]:
    row = json.loads(line)
    if not isinstance(row, dict) or set(row) != set(kinds):
        raise ArchiveError("A line of the archive does not have the columns of its table.")
    return {name: _value(value, kinds[name]) for name, value in row.items()}


def _value(value: Any, kind: str) -> Any:
    if value is None or kind == "json":
        return value
    is_number = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= LARGEST_NUMBER
    if not (is_number if kind == "number" else isinstance(value, str)):
        raise ArchiveError(f"The archive holds {value!r:.40} where a {kind} should be.")
    if isinstance(value, str) and "\x00" in value:
        raise ArchiveError("The archive holds a character that no text has.")
    readers = {"date": dt.date.fromisoformat, "time": dt.datetime.fromisoformat}
    return readers[kind](value) if kind in readers else value


def _is_written_as_ours(member: zipfile.ZipInfo) -> bool:
    return not member.flag_bits & ENCRYPTED and member.compress_type in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


def _manifest(archive: zipfile.ZipFile) -> dict[str, Any]:
    if archive.getinfo(MANIFEST).file_size > LONGEST_MANIFEST:
        raise ArchiveError("This is no archive of records: its manifest is too long.")
    manifest = json.loads(archive.read(MANIFEST))
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise ArchiveError("This is no archive of records.")
    if manifest.get("layout") != LAYOUT:
        raise ArchiveError("The archive is from a newer version of the advisor. Update the advisor first.")
    if not set(manifest["tables"]) <= {kept.name for kept in _TABLES}:
        raise ArchiveError("The archive holds tables that are not known.")
    return manifest


def _make_room(session: Session, replace: bool, brings_accounts: bool) -> None:
    for kept in reversed(_TABLES):
        if not (replace or kept.name in _FITTINGS) and session.scalar(select(func.count()).select_from(kept)):
            raise ArchiveError("There are records already. Import into an empty shop, or replace all that is there.")
    for kept in reversed(_TABLES):
        # Without accounts nobody could log in to mend it.
        if replace or brings_accounts or kept.name != Account.__tablename__:
            session.execute(delete(kept))


@contextmanager
def _as_archive_error() -> Iterator[None]:
    try:
        yield
    except RecordsError:
        raise
    except _UNREADABLE as error:
        raise ArchiveError("This is no archive of records, or a damaged one.") from error
    except StatementError as error:
        raise ArchiveError("The archive holds values that cannot be kept.") from error
