"""Rows as a database holds them, past the models of today: what an older version left behind.

``python -m tests.records.rows REVISION`` writes ``released/<revision>.json`` and ``.zip``, the archive, from the
samples, once, when a schema is released; the files are never written again.
"""

from __future__ import annotations

import datetime as dt
import json
import sys
import tempfile
from pathlib import Path
from typing import Any

from sqlalchemy import MetaData, select
from sqlalchemy.engine import URL

from webapp.records.model import PASSING
from webapp.records.storage import engine_for

RELEASED = Path(__file__).parent / "released"
Rows = dict[str, list[dict[str, Any]]]


def released(revision: str) -> Rows:
    """What the samples were at a revision."""
    rows: Rows = json.loads((RELEASED / f"{revision}.json").read_text())
    return rows


def put_rows(url: URL, rows: Rows) -> None:
    """Insert rows, tables that are referred to first."""
    engine = engine_for(url, for_migration=True)
    metadata = MetaData()
    metadata.reflect(engine)
    with engine.execution_options(writing=True).begin() as connection:
        for table in metadata.sorted_tables:
            for row in rows.get(table.name, []):
                times = {n: dt.datetime.fromisoformat(v) for n, v in row.items() if v and n.endswith("_at")}
                dates = {n: dt.date.fromisoformat(v) for n, v in row.items() if v and n.endswith("_date")}
                connection.execute(table.insert().values({**row, **times, **dates}))
    engine.dispose()


def take_rows(url: URL) -> Rows:
    """All rows, by table, sorted by their key; times in UTC."""
    engine = engine_for(url, for_migration=True)
    metadata = MetaData()
    metadata.reflect(engine)
    with engine.connect() as connection:
        rows = {
            table.name: [
                {name: _plain(value) for name, value in row.items()}
                for row in connection.execute(select(table)).mappings()
            ]
            for table in metadata.sorted_tables
            if table.name != "alembic_version"
        }
    engine.dispose()
    return {name: sorted(found, key=lambda row: str(next(iter(row.values())))) for name, found in rows.items()}


def lasting(rows: Rows) -> Rows:
    """What of some rows an archive holds."""
    return {name: found for name, found in rows.items() if name not in PASSING}


def _plain(value: Any) -> Any:
    if isinstance(value, dt.datetime):
        aware = value.replace(tzinfo=dt.UTC) if value.tzinfo is None else value.astimezone(dt.UTC)
        return aware.isoformat()
    return value.isoformat() if isinstance(value, dt.date) else value


def main() -> None:
    """Write the samples as the current schema holds them."""
    from tests.records.samples import Clock, fill
    from webapp.records.archive import export_archive
    from webapp.records.opening import open_records
    from webapp.records.schema import revision_of

    with tempfile.TemporaryDirectory() as folder:
        records = open_records(Path(folder), now=Clock(dt.datetime(2027, 5, 1, 9, 0, tzinfo=dt.UTC)))
        fill(records)
        assert revision_of(records.storage.url) == sys.argv[1]
        with (RELEASED / f"{sys.argv[1]}.zip").open("xb") as archive:
            export_archive(records.storage, archive)
        records.close()
        with (RELEASED / f"{sys.argv[1]}.json").open("x") as file:
            json.dump(take_rows(records.storage.url), file, indent=1)
            file.write("\n")


if __name__ == "__main__":
    main()
