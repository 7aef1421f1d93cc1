"""Local backups: made while the records are in use, checked, the latest few kept, and brought back.

On SQLite a backup is the file itself, copied by SQLite; on PostgreSQL it is an archive (see ``archive``), beside
whatever the server's keeper does with ``pg_dump``.
"""

from __future__ import annotations

import datetime as dt
import logging
import os
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from webapp.records.archive import export_archive, import_archive
from webapp.records.columns import utc_now
from webapp.records.errors import RecordsError, SchemaNewer, StorageDamaged
from webapp.records.schema import revision_of, steps, upgrade
from webapp.records.storage import Storage, translated, url_of_file

NAME = "records-%Y%m%dT%H%M%S%fZ"
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Backups:
    """The backups in one folder: the latest ``keep``, one ``every`` so often."""

    folder: Path
    keep: int = 14
    every: dt.timedelta = dt.timedelta(days=1)

    def made(self) -> tuple[Path, ...]:
        """Return all backups, the latest first."""
        found = [path for path in self.folder.glob("records-*Z.*") if path.suffix in (".sqlite3", ".zip")]
        return tuple(sorted(found, reverse=True))

    def is_due(self, now: dt.datetime) -> bool:
        """Whether the latest backup is older than it should be."""
        made = self.made()
        return not made or now - _moment(made[0]) >= self.every

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
        for path in self.made()[self.keep :] if prune else ():
            path.unlink()
        return done

    def restore(self, backup: Path, storage: Storage, now: dt.datetime) -> Path:
        """Put a backup in the place of the records; return the backup made of what they held until then.

        Raises
        ------
        SchemaNewer
            If the backup is from a newer version of the advisor.
        StorageError
            If the backup is damaged or the records cannot be written; then they are as they were.
        """
        if storage.file is None:
            before = self.make(storage, now, prune=False)
            with backup.open("rb") as file:
                import_archive(storage, file, replace=True)
            return before
        _check_backup(backup)
        before = self.make(storage, now, prune=False)
        with translated(), closing(sqlite3.connect(backup)) as source:
            with closing(sqlite3.connect(storage.file, timeout=storage.busy_s)) as target:
                source.backup(target)
        upgrade(storage.url)
        return before


def _moment(backup: Path) -> dt.datetime:
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


class BackupSchedule(threading.Thread):
    """Makes a backup whenever one is due, beside the server; what goes wrong is logged and tried again."""

    def __init__(
        self,
        backups: Backups,
        storage: Storage,
        now: Callable[[], dt.datetime] = utc_now,
        look_every_s: float = 300.0,
    ) -> None:
        super().__init__(name="backups", daemon=True)
        self._backups, self._storage, self._now = backups, storage, now
        self._look_every_s = look_every_s
        self._ended = threading.Event()

    def run(self) -> None:
        """Look, wait, look again."""
        while not self._ended.is_set():
            self._look()
            self._ended.wait(self._look_every_s)

    def stop(self) -> None:
        """End after the backup under way, if any."""
        self._ended.set()

    def _look(self) -> None:
        try:
            if self._backups.is_due(self._now()):
                self._backups.make(self._storage, self._now())
        except (RecordsError, OSError) as error:
            _log.error("no backup was made: %s", error)
