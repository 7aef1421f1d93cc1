from __future__ import annotations

import datetime as dt
import errno
import io
import stat
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from flask import Flask

from tests.records.samples import content
from webapp import __main__ as program
from webapp.pages.shop import records_of
from webapp.records.columns import utc_now
from webapp.records.opening import open_records

PASSWORD = "flour butter sugar"


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ADVISOR_RECORDS", str(tmp_path))
    for name in ("ADVISOR_HOST", "ADVISOR_ADDRESS", "ADVISOR_SECRET", "DATABASE_URL"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


def said(monkeypatch: pytest.MonkeyPatch, *arguments: str, password: str = PASSWORD) -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    return program.main(arguments)


def test_the_first_owner_is_made_on_the_command_line(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert said(monkeypatch, "add-owner", "Olive") == 0
    records = open_records(kept)
    account = records.accounts.check("olive", PASSWORD)
    assert account and account.role == "owner"
    records.close()


def test_a_lost_password_is_replaced_on_the_command_line(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    said(monkeypatch, "add-owner", "Olive")
    assert said(monkeypatch, "new-password", "OLIVE", password="another long one") == 0
    records = open_records(kept)
    assert records.accounts.check("Olive", "another long one") and not records.accounts.check("Olive", PASSWORD)
    records.close()


@pytest.mark.parametrize(
    ("arguments", "password", "told"),
    [
        (("add-owner", "Olive"), "short", "has 5 characters"),
        (("add-owner", " "), PASSWORD, "is empty"),
        (("new-password", "Nobody"), PASSWORD, "no account 'Nobody'"),
    ],
)
def test_what_cannot_be_is_told_and_changes_nothing(
    kept: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
    password: str,
    told: str,
) -> None:
    assert said(monkeypatch, *arguments, password=password) == 2
    assert told in capsys.readouterr().err
    records = open_records(kept)
    assert records.accounts.count() == 0
    records.close()


def test_a_shop_that_is_not_ready_for_others_does_not_start(
    kept: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    served: list[object] = []
    server = served_by(lambda app: None)
    monkeypatch.setattr(program, "create_server", lambda app, **given: served.append(given) or server(app))
    monkeypatch.setattr(program, "keep_house", lambda app: None)
    monkeypatch.setenv("ADVISOR_HOST", "192.0.2.1")
    assert program.main() == 2
    monkeypatch.setenv("ADVISOR_SECRET", "s" * 40)
    assert program.main() == 2
    assert "add-owner" in capsys.readouterr().err and served == []
    said(monkeypatch, "add-owner", "Olive")
    assert program.main() == 0
    output = capsys.readouterr().out
    assert "http://192.0.2.1:8000/" in output and "unencrypted" in output
    assert served == [{"host": "192.0.2.1", "port": 8000, **program.SERVED_WITH}]
    assert program.SERVED_WITH["max_request_body_size"] == 33 * 1024 * 1024


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    status = program.main(arguments)
    output = capsys.readouterr()
    return status, output.out + output.err


def filled(kept: Path) -> str:
    records = open_records(kept)
    id = records.consultations.add(content()).id
    records.close()
    return id


def clients(kept: Path) -> list[str]:
    records = open_records(kept)
    found = [row.client for row in records.consultations.list().rows]
    records.close()
    return found


def served_by(run: Callable[[Flask], None]) -> Callable[..., SimpleNamespace]:
    """Make a server that only runs this, and where nobody waits."""
    nobody = SimpleNamespace(queue=())
    return lambda app, **given: SimpleNamespace(run=lambda: run(app), task_dispatcher=nobody)


def test_a_port_that_is_taken_is_told_in_a_line(
    kept: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refused(app: Flask, **given: object) -> None:
        raise OSError(errno.EADDRINUSE, "Address already in use")

    monkeypatch.setattr(program, "create_server", refused)
    assert program.main() == 2
    assert "Address already in use. ADVISOR_PORT chooses another" in capsys.readouterr().err


def test_what_the_server_backs_up_by_itself_is_brought_back_by_the_command(
    kept: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    id = filled(kept)
    backups: list[Path] = []

    def serve(app: Flask) -> None:
        end = time.monotonic() + 20
        while not (found := records_of(app).backups.made()):
            assert time.monotonic() < end, "no backup was made"
            time.sleep(0.02)
        backups.extend(found)

    monkeypatch.setattr(program, "create_server", served_by(serve))
    assert program.main() == 0
    capsys.readouterr()
    records = open_records(kept)
    records.consultations.delete(id)
    records.consultations.purge(utc_now() + dt.timedelta(days=1))
    records.close()
    assert clients(kept) == []
    status, output = told(capsys, "backups")
    assert status == 0 and output.split()[0] == backups[0].name
    status, output = told(capsys, "restore", backups[0].name)
    assert status == 0 and "What was there until now is in" in output
    assert clients(kept) == ["Zoë Müller"]


def test_without_records_the_server_makes_none(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(program, "create_server", served_by(lambda app: time.sleep(0.3)))
    assert program.main() == 0
    assert list(kept.iterdir()) == []


def test_all_goes_out_and_comes_back_by_the_command(
    kept: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    filled(kept)
    archive = kept / "all.zip"
    assert told(capsys, "export", str(archive))[0] == 0
    assert stat.S_IMODE(archive.stat().st_mode) == 0o600
    another = tmp_path_factory.mktemp("another")
    monkeypatch.setenv("ADVISOR_RECORDS", str(another))
    assert told(capsys, "import", str(archive)) == (0, f"Read 2 records from {archive}.\n")
    assert told(capsys, "export", str(another / "all.zip"))[0] == 0
    assert (another / "all.zip").read_bytes() == archive.read_bytes()
    status, output = told(capsys, "import", str(archive))
    assert status == 2 and "There are records already" in output
    assert told(capsys, "import", "--replace", str(archive))[0] == 0


def test_a_command_that_cannot_be_done_says_why_and_changes_nothing(kept: Path, capsys: Any) -> None:
    filled(kept)
    (kept / "other.zip").write_text("no archive")
    for arguments, why in (
        (("restore", "none"), "There is no backup"),
        (("import", str(kept / "none.zip")), "cannot be read"),
        (("import", str(kept / "other.zip")), "no archive"),
        (("export", str(kept / "other.zip")), "is there already"),
        (("export", str(kept / "none" / "all.zip")), "not where they should be"),
    ):
        status, output = told(capsys, *arguments)
        assert status == 2 and why in output, (arguments, output)
    assert (kept / "other.zip").read_text() == "no archive"
    assert clients(kept) == ["Zoë Müller"]


def test_a_backup_is_made_by_the_command(kept: Path, capsys: Any) -> None:
    filled(kept)
    assert "There are no backups" in told(capsys, "backups")[1]
    assert told(capsys, "backup")[0] == 0
    (backup,) = (kept / "backups").iterdir()
    assert backup.name in told(capsys, "backups")[1]
