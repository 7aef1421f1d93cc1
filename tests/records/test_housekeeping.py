from __future__ import annotations

import datetime as dt
import threading
import time

import pytest

from tests.records.samples import content
from webapp.records.housekeeping import TURN, TURN_LASTS, House, Housekeeping, end_turn, take_turn
from webapp.records.opening import open_records

HOUSE = House()


def wait_for(is_so):
    end = time.monotonic() + 20
    while not is_so():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.01)


def test_a_backup_is_made_when_it_is_due_and_not_before(records, clock):
    HOUSE.keep(records, clock())
    clock.go(hours=24, seconds=-1)
    HOUSE.keep(records, clock())
    assert len(records.backups.made()) == 1
    clock.go(seconds=1)
    HOUSE.keep(records, clock())
    assert len(records.backups.made()) == 2


def test_what_was_deleted_long_ago_is_purged_and_is_in_the_backup_made_before(records, clock):
    old, fresh = (records.consultations.add(content(client)) for client in ("Old", "Fresh"))
    HOUSE.keep(records, clock())
    records.consultations.delete(old.id)
    clock.go(days=29)
    records.consultations.delete(fresh.id)
    clock.go(days=1, seconds=1)
    HOUSE.keep(records, clock())
    assert [row.client for row in records.consultations.list(deleted=True).rows] == ["Fresh"]
    clock.go(hours=1)
    records.backups.restore(records.backups.made()[0], records.storage, clock())
    assert records.consultations.list(deleted=True).total == 2


def test_drafts_that_nobody_touched_for_long_are_forgotten(records, clock):
    records.drafts.keep("old", {})
    clock.go(days=60, seconds=1)
    records.drafts.keep("fresh", {})
    HOUSE.keep(records, clock())
    assert [draft.id for draft in records.drafts.of_account()] == ["fresh"]


def test_what_is_switched_off_is_never_done(records, clock):
    records.drafts.keep("old", {})
    records.consultations.delete(records.consultations.add(content()).id)
    clock.go(days=999)
    House(None, None, None).keep(records, clock())
    assert records.backups.made() == ()
    assert len(records.drafts.of_account()) == records.consultations.list(deleted=True).total == 1


def test_of_several_workers_one_keeps_house(records, tmp_path, database_url, clock):
    records.consultations.add(content())
    workers = [open_records(tmp_path / "kept", database_url, now=clock) for _ in range(4)]
    gate, failed = threading.Barrier(4), []

    def work(worker):
        gate.wait()
        try:
            HOUSE.keep(worker, clock())
        except Exception as error:
            failed.append(error)

    threads = [threading.Thread(target=work, args=(worker,)) for worker in workers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for worker in workers:
        worker.close()
    assert failed == []
    assert len(records.backups.made()) == 1


def test_a_turn_of_a_worker_that_died_passes(records, clock):
    assert take_turn(records, TURN, clock(), TURN_LASTS)
    HOUSE.keep(records, clock())
    assert records.backups.made() == ()
    clock.go(minutes=15)
    HOUSE.keep(records, clock())
    assert len(records.backups.made()) == 1
    assert take_turn(records, TURN, clock(), TURN_LASTS), "it was not given back"
    end_turn(records, TURN)


def test_a_turn_taken_by_a_clock_that_was_ahead_holds_nothing_up(records, clock):
    assert take_turn(records, TURN, clock(), TURN_LASTS)
    clock.go(days=-365)
    assert take_turn(records, TURN, clock(), TURN_LASTS)


def test_beside_a_server_it_does_what_is_due_until_it_is_stopped(records, clock):
    keeping = Housekeeping(HOUSE, lambda: records, clock, look_every_s=0.01)
    keeping.start()
    try:
        wait_for(lambda: len(records.backups.made()) == 1)
        clock.go(days=1)
        wait_for(lambda: len(records.backups.made()) == 2)
    finally:
        keeping.stop()
        keeping.join(10)
    clock.go(days=1)
    assert not keeping.is_alive()
    assert len(records.backups.made()) == 2


def test_what_goes_wrong_is_said_and_tried_again(file_records, clock, caplog):
    folder = file_records.backups.folder
    folder.write_text("a file where the folder should be")
    keeping = Housekeeping(HOUSE, lambda: file_records, clock, look_every_s=0.01)
    keeping.start()
    try:
        wait_for(lambda: "no backup was made" in caplog.text)
        folder.unlink()
        wait_for(lambda: len(file_records.backups.made()) == 1)
    finally:
        keeping.stop()
        keeping.join(10)


def test_while_there_are_no_records_nothing_is_made(tmp_path):
    keeping = Housekeeping(HOUSE, lambda: None, look_every_s=0.01)
    keeping.start()
    keeping.stop()
    keeping.join(10)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("hours", [1, 24, 24 * 7])
def test_how_often_is_a_choice(records, clock, hours):
    house = House(dt.timedelta(hours=hours), None, None)
    for _ in range(2):
        house.keep(records, clock())
        clock.go(hours=hours)
    assert len(records.backups.made()) == 2
