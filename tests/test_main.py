from __future__ import annotations

import io
from pathlib import Path

import pytest

from webapp import __main__ as program
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
    monkeypatch.setattr(program, "serve", lambda app, **given: served.append(given))
    monkeypatch.setenv("ADVISOR_HOST", "192.0.2.1")
    assert program.main() == 2
    monkeypatch.setenv("ADVISOR_SECRET", "s" * 40)
    assert program.main() == 2
    assert "add-owner" in capsys.readouterr().err and served == []
    said(monkeypatch, "add-owner", "Olive")
    assert program.main() == 0
    output = capsys.readouterr().out
    assert "http://192.0.2.1:8000/" in output and "unencrypted" in output
    assert served == [{"host": "192.0.2.1", "port": 8000, "threads": 4, "max_request_body_size": 1024 * 1024}]
