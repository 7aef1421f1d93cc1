"""From what a database driver raises to an error that a person can mend."""

from __future__ import annotations

import errno

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from webapp.records.errors import (
    StorageBusy,
    StorageDamaged,
    StorageError,
    StorageFailed,
    StorageFull,
    StorageMissing,
    StorageReadOnly,
)

# By the first letters of SQLite's result codes (sqlite.org/rescode.html); the longest that fits counts.
_SQLITE: dict[str, type[StorageError]] = {
    "SQLITE_FULL": StorageFull,
    "SQLITE_READONLY": StorageReadOnly,
    "SQLITE_READONLY_DBMOVED": StorageMissing,
    "SQLITE_PERM": StorageReadOnly,
    "SQLITE_BUSY": StorageBusy,
    "SQLITE_LOCKED": StorageBusy,
    "SQLITE_CANTOPEN": StorageMissing,
    "SQLITE_NOTADB": StorageDamaged,
    "SQLITE_CORRUPT": StorageDamaged,
    "SQLITE_IOERR": StorageFailed,
}
# By SQLSTATE (PostgreSQL's documentation, appendix A); a class of two characters stands for all of its codes.
_POSTGRES: dict[str, type[StorageError]] = {
    "53100": StorageFull,
    "53": StorageBusy,
    "25006": StorageReadOnly,
    "42501": StorageReadOnly,
    "55P03": StorageBusy,
    "40": StorageBusy,
    "23505": StorageBusy,  # two workers made the same row at the same time; the second finds it when it tries again
    "57": StorageMissing,
    "08": StorageMissing,
    "28": StorageMissing,
    "3D000": StorageMissing,
    "58": StorageFailed,
    "XX": StorageDamaged,
}

_OS: dict[int, type[StorageError]] = {
    errno.ENOSPC: StorageFull,
    errno.EDQUOT: StorageFull,
    errno.EROFS: StorageReadOnly,
    errno.EACCES: StorageReadOnly,
    errno.EPERM: StorageReadOnly,
    errno.EFBIG: StorageFailed,
    errno.EIO: StorageFailed,
}


def storage_error(error: Exception) -> StorageError | None:
    """Return the error to show for what a driver, the pool or the system raised; none for a fault of ours."""
    if isinstance(error, PoolTimeout):
        return StorageBusy()
    if isinstance(error, OSError):
        return _OS.get(error.errno or 0, StorageMissing)(str(error.strerror))
    cause = error.orig if isinstance(error, DBAPIError) else error
    name, state = getattr(cause, "sqlite_errorname", None), getattr(cause, "sqlstate", None)
    kind = _longest(_SQLITE, name) or _longest(_POSTGRES, state)
    # A server that cannot be reached has no code to give.
    if kind is None and state is None and type(cause).__module__.startswith("psycopg"):
        kind = StorageMissing if type(cause).__name__ == "OperationalError" else None
    return kind(str(name or state or "no answer")) if kind else None


def _longest(kinds: dict[str, type[StorageError]], code: str | None) -> type[StorageError] | None:
    fitting = [start for start in kinds if code is not None and code.startswith(start)]
    return kinds[max(fitting, key=len)] if fitting else None
