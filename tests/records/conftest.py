"""Every test that asks for ``records`` runs on SQLite and on PostgreSQL."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from sqlalchemy import create_engine

from tests.records.postgres import NoServer, running_server
from tests.records.samples import Clock
from webapp.records.accounts import Accounts
from webapp.records.opening import Records, open_records
from webapp.records.storage import read_url


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    try:
        with running_server() as url:
            yield url
    except NoServer as reason:
        pytest.skip(f"no PostgreSQL: {reason}")


@pytest.fixture
def postgres_url(postgres_server: str) -> str:
    """The server with nothing in it."""
    engine = create_engine(read_url(postgres_server), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql("DROP SCHEMA public CASCADE")
        connection.exec_driver_sql("CREATE SCHEMA public")
    engine.dispose()
    return postgres_server


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


@pytest.fixture
def records(tmp_path: Path, database_url: str | None, clock: Clock) -> Iterator[Records]:
    opened = quick(open_records(tmp_path / "kept", database_url, now=clock, busy_s=0.3), clock)
    yield opened
    opened.close()


@pytest.fixture
def file_records(tmp_path: Path, clock: Clock) -> Iterator[Records]:
    """Records in a file, for what only a file can suffer."""
    opened = quick(open_records(tmp_path / "kept", now=clock, busy_s=0.3), clock)
    yield opened
    opened.close()
