from __future__ import annotations

import datetime as dt
import threading

from sqlalchemy import text

from webapp.records.opening import open_records

WINDOW = dt.timedelta(minutes=15)


def test_attempts_are_admitted_up_to_each_limit(records, clock):
    limits = [("both", 3), ("name", 5)]
    assert [records.attempts.admit(limits, WINDOW) for _ in range(5)] == [True, True, True, False, False]
    assert records.attempts.admit([("elsewhere", 3), ("name", 5)], WINDOW)


def test_what_is_older_than_the_window_counts_no_more_and_is_gone(records, clock):
    assert records.attempts.admit([("both", 1)], WINDOW)
    clock.go(minutes=15, seconds=-1)
    assert not records.attempts.admit([("both", 1)], WINDOW)
    clock.go(seconds=1)
    assert records.attempts.admit([("both", 1)], WINDOW)
    assert records.attempts.count() == 1


def test_attempts_dated_far_ahead_lock_nobody_out(records, clock):
    assert records.attempts.admit([("both", 1)], WINDOW)
    clock.go(days=-365)
    assert records.attempts.admit([("both", 1)], WINDOW)


def test_what_is_proved_is_forgiven(records):
    limits = [("both", 9), ("name", 9), ("place", 9)]
    for _ in range(3):
        records.attempts.admit(limits, WINDOW)
    records.attempts.forgive("both", ["name", "place"])
    assert records.attempts.count() == 4


def test_several_workers_count_together(records, tmp_path, database_url, clock):
    workers = [open_records(tmp_path / "kept", database_url, now=clock) for _ in range(4)]
    gate, admitted = threading.Barrier(4), []

    def work(worker):
        gate.wait()
        for _ in range(5):
            admitted.append(worker.attempts.admit([("both", 7)], WINDOW))

    threads = [threading.Thread(target=work, args=(worker,)) for worker in workers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for worker in workers:
        worker.close()
    assert (len(admitted), sum(admitted)) == (20, 7)


def test_neither_names_nor_places_are_kept(records):
    records.attempts.admit([("Zenobia Quill from 192.0.2.7", 3)], WINDOW)
    with records.storage.reading() as session:
        (row,) = session.execute(text("SELECT * FROM attempt"))
    assert "Zenobia" not in str(row) and "192.0.2.7" not in str(row)
