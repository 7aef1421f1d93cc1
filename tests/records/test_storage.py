from __future__ import annotations

import os
import shutil
import sqlite3
import stat

import pytest
from sqlalchemy import text

from tests.records.samples import content
from webapp.records.errors import (
    NoSuchRecord,
    StorageBusy,
    StorageDamaged,
    StorageError,
    StorageMissing,
    StorageReadOnly,
)
from webapp.records.opening import open_records
from webapp.records.storage import FILE_NAME, create_file, read_url, url_in_folder


def test_an_acknowledged_change_is_on_the_disk_and_references_are_kept(file_records):
    with file_records.storage.reading() as session:
        found = [
            session.execute(text(f"PRAGMA {name}")).scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        ]
    assert found == ["wal", 2, 1]  # 2 is FULL


def test_the_file_is_for_this_user_alone(file_records):
    file = file_records.storage.file
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


def test_a_block_that_fails_keeps_nothing(records):
    with pytest.raises(ZeroDivisionError), records.storage.writing() as session:
        session.execute(text("INSERT INTO setting (key, value) VALUES ('a', '1')"))
        raise ZeroDivisionError
    assert records.settings.all() == {}


def test_a_nul_finds_nothing(records):
    # Seen to fail on PostgreSQL, which raised a fault for each: a page of an address with %00, and a log-in, gave 500.
    id = records.consultations.add(content()).id
    nul = f"{id}\x00"
    for find in (records.consultations.get, records.accounts.get, records.drafts.get, records.links.open):
        with pytest.raises(NoSuchRecord):
            find(nul)
    with pytest.raises(NoSuchRecord):
        records.drafts.keep("half-filled", {}, None, nul)
    assert records.consultations.list("Zo\x00").total == 1  # a blank in a search
    assert records.accounts.check("Ann\x00a", "none of ours") is None
    assert records.settings.all() == {} and records.drafts.of_account() == []


def test_a_reader_sees_one_state_throughout(records):
    records.settings.put("a", 1)
    with records.storage.reading() as session:
        before = session.execute(text("SELECT value FROM setting")).all()
        records.settings.put("a", 2)
        assert session.execute(text("SELECT value FROM setting")).all() == before
    assert records.settings.get("a") == 2


def test_a_change_waits_for_another_and_then_says_that_it_is_locked(records):
    records.settings.put("a", 1)
    with records.storage.writing() as session:
        session.execute(text("UPDATE setting SET value = '2' WHERE key = 'a'"))
        with pytest.raises(StorageBusy, match="locked"):
            records.settings.put("a", 3)
        assert records.settings.get("a") == 1  # reading goes on
    assert records.settings.get("a") == 2


def test_a_file_that_is_gone_is_said_to_be_gone_and_nothing_is_saved_into_it(file_records):
    file_records.consultations.add(content())
    file = file_records.storage.file
    for path in file.parent.glob(f"{FILE_NAME}*"):
        path.unlink()
    for attempt in (lambda: file_records.consultations.add(content()), lambda: file_records.consultations.list()):
        with pytest.raises(StorageMissing, match="moved, deleted"):
            attempt()
    assert not file.exists()  # it is not made anew in silence


def test_a_file_that_was_put_back_is_used_again(file_records, tmp_path):
    file_records.consultations.add(content())
    file_records.storage.close()
    file = file_records.storage.file
    shutil.move(file, tmp_path / "aside")
    with pytest.raises(StorageMissing):
        file_records.consultations.list()
    shutil.move(tmp_path / "aside", file)
    assert file_records.consultations.list().total == 1


def test_a_file_that_was_replaced_under_an_open_connection_is_opened_anew(file_records, tmp_path):
    file_records.consultations.add(content("Old"))
    other = open_records(tmp_path / "other")
    other.consultations.add(content("New"))
    other.close()
    os.replace(tmp_path / "other" / FILE_NAME, file_records.storage.file)
    for path in file_records.storage.file.parent.glob(f"{FILE_NAME}-*"):
        path.unlink()
    assert [row.client for row in file_records.consultations.list().rows] == ["New"]


@pytest.mark.parametrize("bytes_", [b"not a database at all, but long enough to be looked at" * 40, b"\x00" * 4096])
def test_a_file_that_is_no_database_is_refused(tmp_path, bytes_):
    (tmp_path / FILE_NAME).write_bytes(bytes_)
    with pytest.raises(StorageDamaged, match="damaged"):
        open_records(tmp_path)
    assert (tmp_path / FILE_NAME).read_bytes() == bytes_


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "kept").write_text("")
    with pytest.raises(StorageError):
        open_records(tmp_path / "kept")


def test_a_folder_that_cannot_be_written_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("os.access", lambda path, mode: False)  # also for root, whom no folder refuses
    with pytest.raises(StorageReadOnly):
        create_file(tmp_path / FILE_NAME)


def test_a_server_that_does_not_answer_is_missing(tmp_path):
    pytest.importorskip("psycopg", reason="PostgreSQL's driver is not installed")
    with pytest.raises(StorageMissing):
        open_records(tmp_path, f"postgresql://nobody@/none?host={tmp_path}", busy_s=0.1)


@pytest.mark.parametrize("scheme", ["postgresql", "postgres", "postgresql+psycopg"])
def test_an_address_of_postgresql_is_understood(scheme):
    url = read_url(f"{scheme}://ann:secret@db.example/shop")
    assert (url.drivername, url.host, url.database) == ("postgresql+psycopg", "db.example", "shop")


@pytest.mark.parametrize("bad", ["", "mysql://a:secret@b/c", "sqlite:///secret.db", "secret", "postgresql//secret@b"])
def test_any_other_address_is_refused_without_repeating_its_password(bad):
    with pytest.raises(ValueError, match="allowed: postgresql://") as refused:
        read_url(bad)
    assert "secret" not in str(refused.value)


def test_a_path_may_hold_what_an_address_may_not(tmp_path):
    folder = tmp_path / "Zoë's 100% ? # cakes"
    records = open_records(folder)
    records.consultations.add(content())
    records.close()
    with sqlite3.connect(url_in_folder(folder).database) as link:
        assert link.execute("SELECT count(*) FROM consultation").fetchone() == (1,)
    link.close()
