"""Local backups: made while the records are in use, checked, the latest few kept, and brought back.

On SQLite a backup is the file itself, copied by SQLite; on PostgreSQL it is an archive (see ``archive``), beside
whatever the server's keeper does with ``pg_dump``.
"""

from __future__ import annotations

import datetime as dt
import os
import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from webapp.records.archive import export_archive, import_archive
from webapp.records.errors import NoSuchRecord, SchemaNewer, StorageBusy, StorageDamaged
from webapp.records.schema import revision_of, steps, upgrade
from webapp.records.storage import Storage, translated, url_of_file

NAME = "records-%Y%m%dT%H%M%S%fZ"
CLOCKS_DIFFER = dt.timedelta(minutes=5)  # of two machines that write to one folder
_NAMED = re.compile(r"records-[0-9]{8}T[0-9]{12}Z\.(sqlite3|zip)")


@dataclass(frozen=True)
class Backups:
    """The backups in one folder: the latest ``keep``."""

    folder: Path
    keep: int = 14

    def made(self) -> tuple[Path, ...]:
        """Return all backups, the latest first."""
        found = [path for path in self.folder.glob("records-*Z.*") if _NAMED.fullmatch(path.name)]
        return tuple(sorted(found, reverse=True))

    def is_due(self, now: dt.datetime, every: dt.timedelta) -> bool:
        """Whether the latest backup is that old, or there is none; one that is dated ahead does not count.

        Otherwise a clock that was set back would stop the backups until that time is reached.
        """
        moments = [moment_of(path) for path in self.made()]
        latest = max((moment for moment in moments if moment <= now + CLOCKS_DIFFER), default=None)
        return latest is None or now - latest >= every

    def find(self, name: str) -> Path:
        """Return the backup of a name.

        Raises
        ------
        NoSuchRecord
            If none in the folder is called so.
        """
        found = next((path for path in self.made() if name == path.name), None)
        if found is None:
            raise NoSuchRecord(f"There is no backup {name!r}.")
        return found

    def make(self, storage: Storage, now: dt.datetime, *, prune: bool = True) -> Path:
        """Make a backup, check it, and drop those that are too many.

        Raises
        ------
        StorageError
            If it cannot be written, or if the copy does not pass SQLite's check; older backups then stay.
        """
        suffix = ".zip" if storage.file is None else ".sqlite3"
        done = self.folder / (now.astimezone(dt.UTC).strftime(NAME) + suffix)
        partial = done.with_suffix(".partial")
        with translated():
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            try:
                os.close(os.open(partial, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
                _write(storage, partial)
                os.replace(partial, done)
            finally:
                partial.unlink(missing_ok=True)
        for path in self._too_many(done) if prune else ():
            path.unlink()
        return done

    def _too_many(self, newest: Path) -> list[Path]:
        """Return all but the latest; the one just made stays, whatever dates a wrong clock gave the others."""
        others = [path for path in self.made() if path != newest]
        return others[self.keep - 1 :]

    def restore(self, backup: Path, storage: Storage, now: dt.datetime) -> Path:
        """Put a backup in the place of the records; return the backup made of what they held until then.

        Nobody else writes from before that backup until the end, so that what was saved meanwhile is in one of both.

        Raises
        ------
        SchemaNewer
            If the backup is from a newer version of the advisor.
        StorageError
            If the backup is damaged or the records cannot be written; then they are as they were.
        """
        made: list[Path] = []

        def make_before() -> None:
            made.append(self.make(storage, now, prune=False))

        if storage.file is None:
            with backup.open("rb") as file:
                import_archive(storage, file, replace=True, first=make_before)
        else:
            _check_backup(backup)
            with translated(), closing(sqlite3.connect(backup)) as source:
                with closing(sqlite3.connect(storage.file, timeout=storage.busy_s)) as target:
                    _copy_over(source, target, make_before)
            upgrade(storage.url)
        return made[0]


def moment_of(backup: Path) -> dt.datetime:
    """Return when a backup was made, as its name says."""
    return dt.datetime.strptime(backup.stem, NAME).replace(tzinfo=dt.UTC)


def _write(storage: Storage, partial: Path) -> None:
    if storage.file is None:
        with partial.open("wb") as file:
            export_archive(storage, file)
    else:
        _copy(storage.file, partial)
    with partial.open("rb") as file:
        os.fsync(file.fileno())


def _copy(file: Path, partial: Path) -> None:
    with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=rw", uri=True)) as source:
        with closing(sqlite3.connect(partial)) as target:
            source.backup(target)
            target.execute("PRAGMA journal_mode = DELETE")  # one file, without a log beside it
            check_integrity(target)


def _copy_over(source: sqlite3.Connection, target: sqlite3.Connection, first: Callable[[], None]) -> None:
    """Copy a database over another in one change, and call something once the other takes no writes of anybody else."""
    begun = False

    def after_a_part(status: int, remaining: int, total: int) -> None:
        nonlocal begun
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise StorageBusy
        if not begun:
            begun = True
            first()

    # SQLite locks the target with the first part and lets go after the last: never may the first be the last.
    (pages,) = source.execute("PRAGMA page_count").fetchone()
    source.backup(target, pages=max(1, pages // 2), progress=after_a_part)


def _check_backup(backup: Path) -> None:
    with translated(), closing(sqlite3.connect(f"{backup.absolute().as_uri()}?mode=ro", uri=True)) as link:
        check_integrity(link)
    revision = revision_of(url_of_file(backup))
    if revision not in steps():
        raise SchemaNewer(f"schema {revision}")


def check_integrity(link: sqlite3.Connection) -> None:
    """Run SQLite's own checks.

    Raises
    ------
    StorageDamaged
        With what they found first.
    """
    (found,) = link.execute("PRAGMA integrity_check(1)").fetchone()
    if found != "ok":
        raise StorageDamaged(str(found))
    if link.execute("PRAGMA foreign_key_check").fetchone():
        raise StorageDamaged("a reference leads nowhere")
