from __future__ import annotations

import threading

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from tests.records.rows import RELEASED, lasting, put_rows, released, take_rows
from tests.records.samples import ADVICE, BRIEF, PASSWORD, content, fill
from tests.records.trial import REVISION, trial_steps
from webapp.records.columns import utc_now
from webapp.records.errors import SchemaForeign, SchemaNewer, StorageDamaged
from webapp.records.model import Base
from webapp.records.opening import open_records
from webapp.records.schema import revision_of, steps, upgrade
from webapp.records.storage import create_file, engine_for, file_of, read_url, url_in_folder


@pytest.fixture
def url(tmp_path, database_url):
    """A database with nothing in it."""
    made = read_url(database_url) if database_url else url_in_folder(tmp_path / "kept")
    if file := file_of(made):
        create_file(file)
    return made


def run(url, statement):
    engine = engine_for(url, for_migration=True)
    with engine.execution_options(writing=True).begin() as connection:
        connection.exec_driver_sql(statement)
    engine.dispose()


def test_the_steps_lead_to_the_models(records):
    with records.storage.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_every_released_schema_has_its_data_here():
    for kind in ("json", "zip"):
        assert {path.stem for path in RELEASED.glob(f"*.{kind}")} == set(steps())


@pytest.mark.parametrize("revision", steps())
def test_a_released_schema_with_data_in_it_is_brought_up_to_date(revision, url, tmp_path, database_url):
    upgrade(url, revision)
    put_rows(url, released(revision))
    assert revision_of(url) == revision
    records = open_records(tmp_path / "kept", database_url)
    assert revision_of(url) == steps()[-1]
    (kept,) = records.consultations.list("zoe").rows
    assert records.consultations.get(kept.id).advised.advice == ADVICE
    assert records.consultations.get(kept.id).advised.brief == BRIEF
    assert records.consultations.list(deleted=True).total == 1
    assert records.accounts.check("anna", PASSWORD).role == "owner"
    assert [note.held_h for note in records.outcomes.of_formulation("american")] == [4.0]
    assert len(records.links.of_consultation(kept.id)) == 2
    assert records.drafts.get("nobody's").fields == {}
    assert records.settings.get("house") == {"units": "metric", "rate": 24}
    check_backup_before_the_step(records, revision)
    records.close()


def check_backup_before_the_step(records, revision):
    """What was backed up before the step brings back what there was after it."""
    made, before = records.backups.made(), lasting(take_rows(records.storage.url))
    assert len(made) == (revision != steps()[-1])
    for backup in made:
        records.consultations.add(content("Later"))
        records.backups.restore(backup, records.storage, utc_now())
        assert lasting(take_rows(records.storage.url)) == before


def test_a_schema_that_is_up_to_date_is_left_as_it_is(records):
    fill(records)
    before = take_rows(records.storage.url)
    upgrade(records.storage.url)
    assert take_rows(records.storage.url) == before


@pytest.mark.parametrize("recreate", ["auto", "always"])
def test_a_step_keeps_every_row_also_where_a_table_is_made_anew(records, tmp_path, recreate):
    if recreate == "always" and records.storage.file is None:
        recreate = "auto"  # PostgreSQL changes a table in its place; what refers to it forbids to drop it
    fill(records)
    url = records.storage.url
    before = take_rows(url)
    records.close()
    upgrade(url, folder=trial_steps(tmp_path, recreate=recreate))
    after = take_rows(url)
    assert revision_of(url) == REVISION
    assert {row.pop("initial") for row in after["consultation"]} == {"Z", "Æ"}
    assert after == before
    assert all(before.values())  # every table held something


@pytest.mark.parametrize(
    ("more", "error"),
    [
        ("raise ZeroDivisionError", ZeroDivisionError),
        ("op.execute(\"INSERT INTO setting (key) VALUES ('a')\")", IntegrityError),
    ],
)
def test_a_step_that_fails_leaves_all_as_it_was(records, tmp_path, more, error):
    fill(records)
    url = records.storage.url
    before = take_rows(url)
    records.close()
    with pytest.raises(error):
        upgrade(url, folder=trial_steps(tmp_path, more))
    assert revision_of(url) == steps()[-1]
    assert take_rows(url) == before


def test_a_step_that_leaves_a_reference_to_nothing_is_undone(file_records, tmp_path):
    fill(file_records)
    url = file_records.storage.url
    before = take_rows(url)
    file_records.close()
    with pytest.raises(StorageDamaged, match="reference"):
        upgrade(url, folder=trial_steps(tmp_path, "op.execute('DELETE FROM consultation')"))
    assert take_rows(url) == before


def test_records_of_a_newer_version_are_refused_and_left_alone(url, tmp_path, database_url):
    upgrade(url, folder=trial_steps(tmp_path))
    with pytest.raises(SchemaNewer, match="Update the advisor"):
        open_records(tmp_path / "kept", database_url)
    assert revision_of(url) == REVISION


def test_a_database_of_something_else_is_refused(url, tmp_path, database_url):
    run(url, "CREATE TABLE someone_elses (id INTEGER)")
    with pytest.raises(SchemaForeign, match="of its own"):
        open_records(tmp_path / "kept", database_url)


def test_workers_that_start_together_make_one_schema(url, tmp_path, database_url):
    failed = []

    def start():
        try:
            open_records(tmp_path / "kept", database_url).close()
        except Exception as error:
            failed.append(error)

    threads = [threading.Thread(target=start) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert revision_of(url) == steps()[-1]


def test_a_backup_is_made_before_a_step(file_records, tmp_path, monkeypatch):
    fill(file_records)
    file_records.close()
    folder = trial_steps(tmp_path)
    monkeypatch.setattr("webapp.records.opening.steps", lambda: steps(folder))
    monkeypatch.setattr("webapp.records.opening.upgrade", lambda url, busy_s: upgrade(url, folder=folder))
    records = open_records(tmp_path / "kept")
    (backup,) = records.backups.made()
    assert revision_of(records.storage.url) == REVISION
    with records.storage.reading() as session:
        assert session.scalar(text("SELECT count(initial) FROM consultation")) == 2
    records.close()
    assert revision_of(file_records.storage.url.set(database=str(backup))) == steps()[-1]
