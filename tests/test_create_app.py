from __future__ import annotations

from pathlib import Path

import pytest

from webapp import __main__ as program
from webapp import create_app
from webapp.config import Config
from webapp.errors import CatalogueError


def test_the_app_refuses_to_start_on_bad_data(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError):
        create_app(Config(data_dir=tmp_path))


def test_the_program_says_why_it_cannot_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("ADVISOR_DATA", str(tmp_path))
    monkeypatch.setenv("ADVISOR_PORT", "8001")
    assert program.main() == 2
    assert "families.csv" in capsys.readouterr().err


def test_the_whole_app_advises_on_an_empty_brief() -> None:
    response = create_app(Config()).test_client().post("/api/advice", json={})
    assert response.status_code == 200
    assert response.get_json()["verdict"] == "holds"
