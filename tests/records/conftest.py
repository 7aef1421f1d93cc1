"""Every test that asks for ``records`` runs on SQLite and on PostgreSQL."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from argon2 import PasswordHasher
from sqlalchemy import create_engine

from tests.records.postgres import NoServer, running_server
from tests.records.samples import Clock
from webapp.records.accounts import Accounts
from webapp.records.opening import Records, open_records
from webapp.records.storage import FILE_NAME, read_url


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    try:
        with running_server() as url:
            yield url
    except NoServer as reason:
        pytest.skip(f"no PostgreSQL: {reason}")


def emptied(server: str) -> str:
    """The server with nothing in it."""
    on_server(server, "DROP SCHEMA public CASCADE", "CREATE SCHEMA public")
    return server


@pytest.fixture
def postgres_url(postgres_server: str) -> str:
    return emptied(postgres_server)


def on_server(server: str, *statements: str) -> None:
    """Run statements from beside the database that they are about."""
    engine = create_engine(read_url(server), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        for statement in statements:
            connection.exec_driver_sql(statement)
    engine.dispose()


def another_database(server: str, name: str) -> str:
    """A database of its own, for what outlives one test."""
    on_server(server, f"DROP DATABASE IF EXISTS {name} WITH (FORCE)", f"CREATE DATABASE {name}")
    return server.replace("/postgres?", f"/{name}?")


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> str | None:
    """What ``DATABASE_URL`` would give; none for the file."""
    return request.getfixturevalue("postgres_url") if request.param == "postgresql" else None


@pytest.fixture
def clock() -> Clock:
    return Clock(dt.datetime(2027, 5, 1, 9, 0, tzinfo=dt.UTC))


def quick(opened: Records, clock: Clock) -> Records:
    """The same with hashes that cost next to nothing."""
    hasher = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    return dataclasses.replace(opened, accounts=Accounts(opened.storage, clock, hasher))


@cache
def _empty_file() -> bytes:
    with TemporaryDirectory() as folder:
        open_records(Path(folder)).close()
        assert [file.name for file in Path(folder).iterdir()] == [FILE_NAME]  # no part of it in a log beside it
        return Path(folder, FILE_NAME).read_bytes()


def prepared(folder: Path) -> Path:
    """Lay an empty file of today's schema into a folder; the steps that lead to it are test_schema's matter."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    file = folder / FILE_NAME
    file.touch(mode=0o600, exist_ok=False)
    file.write_bytes(_empty_file())
    return folder


@pytest.fixture
def records(tmp_path: Path, database_url: str | None, clock: Clock) -> Iterator[Records]:
    folder = tmp_path / "kept" if database_url else prepared(tmp_path / "kept")
    opened = quick(open_records(folder, database_url, now=clock, busy_s=0.3), clock)
    yield opened
    opened.close()


@pytest.fixture
def patient_records(records: Records, tmp_path: Path, database_url: str | None, clock: Clock) -> Iterator[Records]:
    """The same records for who waits for others as long as the product does."""
    opened = open_records(tmp_path / "kept", database_url, now=clock)
    yield opened
    opened.close()


@pytest.fixture
def file_records(tmp_path: Path, clock: Clock) -> Iterator[Records]:
    """Records in a file, for what only a file can suffer."""
    opened = quick(open_records(prepared(tmp_path / "kept"), now=clock, busy_s=0.3), clock)
    yield opened
    opened.close()
