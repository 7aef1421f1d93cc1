"""A file that is killed, starved or closed to us loses nothing that was acknowledged, and says why it stops."""

from __future__ import annotations

import os
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.records.killing import kill_while_saving
from tests.records.samples import content
from tests.records.saving import NOBODY, Acknowledged, heard, open_without_rights, save_until_refused, start
from webapp.records.errors import StorageFull, StorageReadOnly
from webapp.records.opening import open_records


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of two megabytes."""
    place = tmp_path / "small"
    place.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", place], capture_output=True, text=True)
    if made.returncode:
        pytest.skip(f"a small file system cannot be mounted here: {made.stderr.strip()}")
    yield place
    subprocess.run(["umount", "--lazy", place], check=True)


@pytest.fixture
def nobodys_folder() -> Iterator[Path]:
    """A folder that an ordinary user may write, outside of the folders that only we may enter."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as parent:
        Path(parent).chmod(0o755)
        folder = Path(parent) / "kept"
        folder.mkdir()
        if os.geteuid() == 0:
            os.chown(folder, NOBODY, -1)
        yield folder
        folder.chmod(0o755)


def said_by(target, *arguments):
    process, connection = start(target, *arguments)
    with connection:
        said = heard(connection)
    process.join()
    assert process.exitcode == 0
    return said


def test_killed_while_saving_nothing_acknowledged_is_lost(tmp_path):
    count, losses = kill_while_saving(tmp_path, kills=20, seed=7)
    assert losses == []
    assert count > 20  # more than one a kill, or the kills came before the saves


def test_on_a_full_disk_nothing_acknowledged_is_lost(small_disk):
    *saved, (name, message), total = said_by(save_until_refused, small_disk, None)
    assert name == "StorageFull"
    assert "disk" in message and "full" in message
    assert len(saved) == total > 0
    records = open_records(small_disk)
    assert {change.id for change in saved} == {row.id for row in records.consultations.list(size=1000).rows}
    records.close()


def test_a_disk_that_became_read_only_is_told_from_a_lost_file(small_disk):
    records = open_records(small_disk)
    records.close()  # a disk on which a file is open for writing does not become read-only
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    for door in (records.consultations.list, lambda: records.consultations.add(content())):
        with pytest.raises(StorageReadOnly):
            door()
    records.close()


def test_at_a_limit_of_size_nothing_acknowledged_is_lost_and_work_goes_on_above_it(tmp_path):
    *saved, (name, message), total, after = said_by(save_until_refused, tmp_path, 1_000_000)
    assert name == "StorageFailed"
    assert "limit" in message
    assert len(saved) == total > 0
    assert isinstance(after, Acknowledged)
    records = open_records(tmp_path)
    ids = {row.id for row in records.consultations.list(size=1000).rows}
    records.close()
    assert ids == {change.id for change in [*saved, after]}


def test_a_file_that_may_grow_no_more_is_a_full_disk(file_records):
    with file_records.storage.engine.connect() as connection:
        (pages,) = connection.exec_driver_sql("PRAGMA page_count").one()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 4}")
    with pytest.raises(StorageFull):
        file_records.consultations.add(content(advice={"course": "x" * 100_000}))
    assert file_records.consultations.list().total == 0


def test_without_the_right_to_write_a_save_and_a_start_say_so_and_reading_goes_on(nobodys_folder):
    saving, starting, client = said_by(open_without_rights, nobodys_folder)
    assert saving[0] == starting[0] == "StorageReadOnly"
    assert "right to write" in saving[1]
    assert client == "Zoë Müller"
