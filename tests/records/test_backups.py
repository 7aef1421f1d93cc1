from __future__ import annotations

import datetime as dt
import sqlite3
import stat
import threading
from contextlib import closing

import pytest

from tests.records.rows import take_rows
from tests.records.samples import content, fill
from tests.records.trial import trial_steps
from webapp.records.backups import Backups
from webapp.records.errors import (
    NoSuchRecord,
    RecordsError,
    SchemaNewer,
    StorageBusy,
    StorageDamaged,
    StorageError,
    StorageFull,
)
from webapp.records.schema import upgrade
from webapp.records.storage import url_of_file

DAY = dt.timedelta(days=1)


def test_a_backup_brings_back_what_was_there(records, clock):
    fill(records)
    before = take_rows(records.storage.url)
    backup = records.backups.make(records.storage, clock())
    clock.go(hours=1)
    records.consultations.add(content("Later"))
    records.settings.remove("house")
    after = take_rows(records.storage.url)
    replaced = records.backups.restore(backup, records.storage, clock())
    assert take_rows(records.storage.url) == before
    records.consultations.add(content("Work goes on"))
    clock.go(hours=1)
    records.backups.restore(replaced, records.storage, clock())
    assert take_rows(records.storage.url) == after


def test_nobody_saves_between_the_backup_before_a_restore_and_its_end(records, clock):
    # Seen to fail: made before the lock was taken, it lacked 398 of 613 saves that three savers were told were kept.
    class Asking(Backups):
        def make(self, storage, now, *, prune=True):
            made = super().make(storage, now, prune=prune)
            with pytest.raises(StorageBusy):
                records.consultations.add(content("Between"))
            return made

    backup = records.backups.make(records.storage, clock())
    clock.go(hours=1)
    Asking(records.backups.folder).restore(backup, records.storage, clock())
    records.consultations.add(content("Later"))
    assert records.consultations.list().total == 1


def test_without_a_backup_of_what_is_there_nothing_is_restored(records, clock):
    # Seen to fail: with the backup made after the last part was copied.
    class Full(Backups):
        def make(self, storage, now, *, prune=True):
            raise StorageFull

    backup = records.backups.make(records.storage, clock())
    fill(records)
    before = take_rows(records.storage.url)
    with pytest.raises(StorageFull):
        Full(records.backups.folder).restore(backup, records.storage, clock())
    assert take_rows(records.storage.url) == before


def test_a_restore_does_not_wait_forever_for_another_program(file_records, clock):
    # Seen to fail (it hangs): without looking at the status of each part.
    backup = file_records.backups.make(file_records.storage, clock())
    with closing(sqlite3.connect(file_records.storage.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StorageBusy):
            file_records.backups.restore(backup, file_records.storage, clock())


def test_a_backup_is_one_file_for_this_user_alone(records, clock):
    backup = records.backups.make(records.storage, clock())
    assert [path.name for path in records.backups.folder.iterdir()] == [backup.name]
    assert backup.name.startswith("records-20270501T090000")
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600


def test_a_backup_is_made_while_others_read_and_write(records, patient_records, clock):
    fill(records)
    ended = threading.Event()

    def work():
        while not ended.is_set():
            patient_records.consultations.add(content("Meanwhile"))

    worker = threading.Thread(target=work)
    worker.start()
    try:
        backup = patient_records.backups.make(patient_records.storage, clock())
    finally:
        ended.set()
        worker.join()
    clock.go(hours=1)
    records.backups.restore(backup, records.storage, clock())
    assert records.consultations.list("zoe").total == 1


def test_the_latest_few_are_kept(records, clock):
    backups = Backups(records.backups.folder, keep=3)
    made = []
    for _ in range(5):
        made.append(backups.make(records.storage, clock()))
        clock.go(days=1)
    assert list(backups.made()) == made[:1:-1]


def test_a_backup_is_due_once_the_latest_is_old_enough(records, clock):
    backups = records.backups
    assert backups.is_due(clock(), DAY)
    backups.make(records.storage, clock())
    clock.go(hours=24, seconds=-1)
    assert not backups.is_due(clock(), DAY)
    clock.go(seconds=1)
    assert backups.is_due(clock(), DAY)


def test_a_clock_set_back_stops_no_backup_and_drops_not_the_one_just_made(records, clock):
    backups = Backups(records.backups.folder, keep=2)
    for _ in range(2):
        backups.make(records.storage, clock())
        clock.go(days=1)
    clock.go(days=-365)
    assert backups.is_due(clock(), DAY)
    made = backups.make(records.storage, clock())
    assert made in backups.made() and len(backups.made()) == 2
    assert not backups.is_due(clock(), DAY)


def test_a_backup_is_found_by_its_name_and_nothing_else_is(records, clock):
    backup = records.backups.make(records.storage, clock())
    assert records.backups.find(backup.name) == backup
    (records.backups.folder / "records-oldZ.zip").write_text("of somebody else")
    assert records.backups.made() == (backup,)
    for name in ("", "..", f"../backups/{backup.name}", str(backup), "records-oldZ.zip"):
        with pytest.raises(NoSuchRecord):
            records.backups.find(name)


def test_a_damaged_backup_is_refused_and_nothing_changed(records, clock):
    fill(records)
    before = take_rows(records.storage.url)
    backup = records.backups.make(records.storage, clock())
    content_ = bytearray(backup.read_bytes())
    content_[len(content_) // 2 :] = b"\xff" * (len(content_) - len(content_) // 2)
    backup.write_bytes(content_)
    clock.go(hours=1)
    with pytest.raises(RecordsError):
        records.backups.restore(backup, records.storage, clock())
    assert take_rows(records.storage.url) == before


def test_a_backup_that_is_no_file_of_ours_is_refused(file_records, clock, tmp_path):
    for content_ in (b"", b"text" * 500):
        (tmp_path / "other.sqlite3").write_bytes(content_)
        with pytest.raises(StorageError):
            file_records.backups.restore(tmp_path / "other.sqlite3", file_records.storage, clock())
    assert file_records.backups.made() == ()


def test_a_backup_of_a_newer_version_is_refused(file_records, clock, tmp_path):
    backup = file_records.backups.make(file_records.storage, clock())
    upgrade(url_of_file(backup), folder=trial_steps(tmp_path))
    with pytest.raises(SchemaNewer):
        file_records.backups.restore(backup, file_records.storage, clock() + dt.timedelta(hours=1))


def test_damage_in_the_records_is_found_by_the_backup_and_older_ones_stay(file_records, clock):
    fill(file_records)
    good = file_records.backups.make(file_records.storage, clock())
    file_records.storage.close()
    file = file_records.storage.file
    content_ = bytearray(file.read_bytes())
    content_[-4096 * 3 :] = b"\xff" * (4096 * 3)
    file.write_bytes(content_)
    clock.go(days=1)
    with pytest.raises(StorageDamaged):
        Backups(file_records.backups.folder, keep=1).make(file_records.storage, clock())
    assert file_records.backups.made() == (good,)
