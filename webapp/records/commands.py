"""What can be done with the records without a browser; each tells what it did in one line."""

from __future__ import annotations

import os
from pathlib import Path

from webapp.records.archive import export_archive, import_archive
from webapp.records.backups import moment_of
from webapp.records.columns import utc_now
from webapp.records.errors import ArchiveError, NoSuchRecord
from webapp.records.opening import Records
from webapp.records.storage import translated


def list_backups(records: Records) -> str:
    """Name the backups that are there, the latest first, with time and size."""
    lines = [f"{path.name}  {moment_of(path):%Y-%m-%d %H:%M} UTC  {_size(path)}" for path in records.backups.made()]
    return "\n".join(lines) or f"There are no backups in {records.backups.folder}."


def _size(path: Path) -> str:
    return f"{path.stat().st_size / 1024:.0f} kB"


def make_backup(records: Records) -> str:
    """Make one now; raises as :meth:`Backups.make` does."""
    return f"Made {records.backups.make(records.storage, utc_now())}"


def restore_backup(records: Records, name: str) -> str:
    """Put a backup, by its name or its place, where the records are; raises as :meth:`Backups.restore` does."""
    given = Path(name)
    backup = given if given.is_file() else records.backups.find(name)
    before = records.backups.restore(backup, records.storage, utc_now())
    return f"Restored {backup.name}. What was there until now is in {before}"


def export_to(records: Records, name: str) -> str:
    """Write all records into a new file, for this user alone.

    Raises
    ------
    StorageError
        If it cannot be written.
    ArchiveError
        If there is such a file already.
    """
    try:
        with translated(), os.fdopen(os.open(name, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
            export_archive(records.storage, file)
    except BaseException as error:
        if isinstance(error.__cause__, FileExistsError):
            raise ArchiveError(f"{name} is there already; name a new file.") from error
        Path(name).unlink(missing_ok=True)
        raise
    return f"Wrote {name}. It holds clients' names: keep it as carefully as the records."


def import_from(records: Records, name: str, *, replace: bool) -> str:
    """Read an archive into empty records, or in the place of all that is there; raises as the import does."""
    try:
        file = Path(name).open("rb")
    except OSError as error:
        raise NoSuchRecord(f"{name} cannot be read: {error.strerror}.") from error
    with file:
        count = import_archive(records.storage, file, replace=replace)
    return f"Read {count} records from {name}."
