from __future__ import annotations

import errno
import sqlite3

import pytest
from sqlalchemy.exc import OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from webapp.records.errors import (
    StorageBusy,
    StorageDamaged,
    StorageFailed,
    StorageFull,
    StorageMissing,
    StorageReadOnly,
)
from webapp.records.faults import storage_error


def raised(name: str, code: str) -> Exception:
    cause = sqlite3.OperationalError("a driver's words")
    setattr(cause, name, code)
    return OperationalError("SELECT", {}, cause)


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        ("SQLITE_FULL", StorageFull),
        ("SQLITE_IOERR_WRITE", StorageFailed),
        ("SQLITE_READONLY", StorageReadOnly),
        ("SQLITE_READONLY_DIRECTORY", StorageReadOnly),
        ("SQLITE_READONLY_DBMOVED", StorageMissing),
        ("SQLITE_BUSY_SNAPSHOT", StorageBusy),
        ("SQLITE_LOCKED", StorageBusy),
        ("SQLITE_CANTOPEN", StorageMissing),
        ("SQLITE_NOTADB", StorageDamaged),
        ("SQLITE_CORRUPT_INDEX", StorageDamaged),
    ],
)
def test_a_code_of_sqlite_says_what_to_do(code, kind):
    error = storage_error(raised("sqlite_errorname", code))
    assert type(error) is kind
    assert code in str(error)


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        ("53100", StorageFull),
        ("53300", StorageBusy),
        ("25006", StorageReadOnly),
        ("55P03", StorageBusy),
        ("40P01", StorageBusy),
        ("57P01", StorageMissing),
        ("08006", StorageMissing),
        ("28P01", StorageMissing),
    ],
)
def test_a_state_of_postgresql_says_what_to_do(code, kind):
    assert type(storage_error(raised("sqlstate", code))) is kind


@pytest.mark.parametrize("code", ["SQLITE_CONSTRAINT_NOTNULL", "SQLITE_ERROR", "SQLITE_MISUSE"])
def test_a_fault_of_the_program_is_not_made_up_as_anything_else(code):
    assert storage_error(raised("sqlite_errorname", code)) is None


@pytest.mark.parametrize(
    ("number", "kind"),
    [(errno.ENOSPC, StorageFull), (errno.EROFS, StorageReadOnly), (errno.EIO, StorageFailed), (0, StorageMissing)],
)
def test_a_refusal_of_the_system_says_what_to_do(number, kind):
    assert type(storage_error(OSError(number, "the system's words"))) is kind


def test_no_free_connection_is_busy():
    assert type(storage_error(PoolTimeout())) is StorageBusy
