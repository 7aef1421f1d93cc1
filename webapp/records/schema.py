"""The schema of the records, brought up to date when the records are opened."""

from __future__ import annotations

from pathlib import Path
from threading import Lock

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect
from sqlalchemy.engine import URL

from webapp.records.errors import SchemaForeign, SchemaNewer, StorageDamaged
from webapp.records.storage import BUSY_S, engine_for, translated

HOME = Path(__file__).parent / "migrations"
STEPS = HOME / "versions"
_alembic = Lock()  # it keeps what it works on in one place a process
_UPGRADE_LOCK = 0x0C0A7F1  # any number, the same in every worker


def steps(folder: Path = STEPS) -> tuple[str, ...]:
    """Return the revisions that a folder knows, oldest first."""
    script = ScriptDirectory.from_config(_config(folder))
    return tuple(reversed([step.revision for step in script.walk_revisions()]))


def revision_of(url: URL) -> str | None:
    """Return the revision of a database's schema; none where nothing is in it.

    Raises
    ------
    StorageError
        If it cannot be reached, or if it holds tables and no revision.
    """
    engine = engine_for(url, for_migration=True)
    with translated(), engine.connect() as connection:
        return _revision(connection)


def upgrade(url: URL, to: str = "head", folder: Path = STEPS, busy_s: float = BUSY_S) -> None:
    """Bring a database to a revision, all of it or nothing; workers that start together wait for each other.

    Raises
    ------
    SchemaNewer
        If it is from a newer version of the advisor.
    StorageError
        If it cannot be reached or written.
    """
    engine = engine_for(url, busy_s, for_migration=True)
    with translated(), engine.connect() as reader:
        current = _revision(reader)
        if current == _target(to, folder):
            return
    with translated(), engine.execution_options(writing=True).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_UPGRADE_LOCK})")
        _refuse_unknown(_revision(connection), folder)
        with _alembic:
            command.upgrade(_config(folder, connection), to)
        _check_references(connection)


def _target(to: str, folder: Path) -> str:
    return steps(folder)[-1] if to == "head" else to


def _revision(connection: Connection) -> str | None:
    revision = MigrationContext.configure(connection).get_current_revision()
    if revision is None and set(inspect(connection).get_table_names()) - {"alembic_version"}:
        raise SchemaForeign()
    return revision


def _refuse_unknown(revision: str | None, folder: Path) -> None:
    if revision is not None and revision not in steps(folder):
        raise SchemaNewer(f"schema {revision}; this version knows up to {steps(folder)[-1]}")


def _check_references(connection: Connection) -> None:
    # Foreign keys are off during a migration on SQLite, so that what it left is checked as a whole.
    if connection.dialect.name == "sqlite" and connection.exec_driver_sql("PRAGMA foreign_key_check").first():
        raise StorageDamaged("a reference leads nowhere")


def _config(folder: Path, connection: Connection | None = None) -> Config:
    config = Config()
    config.set_main_option("script_location", str(HOME).replace("%", "%%"))
    config.set_main_option("version_locations", str(folder).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config
