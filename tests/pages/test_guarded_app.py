from __future__ import annotations

import dataclasses
import logging
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import text

from tests.pages.open_shop import PASSWORD, SECRET
from webapp import create_app
from webapp.config import Config
from webapp.pages.guard import may
from webapp.pages.guarded_app import StartRefused
from webapp.pages.shop import current_records, records_of

CLIENT = "Zenobia Quill"


def start(app: Flask, config: Config) -> Flask:
    return create_app(config, app.extensions["catalogue"], app.extensions["advisor"])


def with_owner(folder: Path, app: Flask) -> None:
    records = records_of(start(app, Config(records_dir=folder)))
    records.accounts.add("Olive", PASSWORD, "owner")
    records.close()


OPEN = [Config(host="0.0.0.0", address="http://cakes.example"), Config(host="192.0.2.1"), Config(address="https://a.example")]


@pytest.mark.parametrize("config", OPEN, ids=["every address", "one address", "behind a proxy"])
def test_a_shop_that_others_reach_needs_a_key_and_an_account(tmp_path: Path, app: Flask, config: Config) -> None:
    config = dataclasses.replace(config, records_dir=tmp_path)
    with pytest.raises(StartRefused, match="ADVISOR_SECRET"):
        start(app, config)
    with pytest.raises(StartRefused, match="add-owner"):
        start(app, dataclasses.replace(config, secret=SECRET))
    with_owner(tmp_path, app)
    with pytest.raises(StartRefused, match="ADVISOR_SECRET"):
        start(app, config)
    opened = start(app, dataclasses.replace(config, secret=SECRET))
    records_of(opened).close()


def test_a_shop_on_every_address_must_know_its_own(tmp_path: Path, app: Flask) -> None:
    with pytest.raises(StartRefused, match="ADVISOR_ADDRESS"):
        start(app, Config(host="0.0.0.0", secret=SECRET, records_dir=tmp_path))


def test_on_this_machine_nothing_is_needed_and_nothing_is_made(tmp_path: Path, app: Flask) -> None:
    for host in ("127.0.0.1", "localhost", "127.0.0.2"):
        made = start(app, Config(host=host, records_dir=tmp_path / "kept"))
        assert made.test_client().get("/families").status_code == 200
    assert list(tmp_path.iterdir()) == []


def test_the_log_names_no_client_and_no_secret(
    tmp_path: Path, app: Flask, caplog: pytest.LogCaptureFixture
) -> None:
    made = start(app, Config(records_dir=tmp_path))

    def fail(secret: str) -> str:
        try:
            with current_records().storage.writing() as session:
                session.execute(text("SELECT :client FROM nowhere"), {"client": CLIENT})
        except Exception as error:
            raise ValueError(f"{CLIENT} cannot be read") from error
        return secret

    made.add_url_rule("/fails/<secret>", view_func=may("staff")(fail))
    with caplog.at_level(logging.DEBUG):
        answer = made.test_client().get(f"/fails/tell-nobody?client={CLIENT}")
    assert answer.status_code == 500
    assert CLIENT not in answer.get_data(as_text=True)
    told = "\n".join(logging.Formatter().format(record) for record in caplog.records)
    assert "ValueError at /fails/<secret> [GET]" in told
    assert "OperationalError" in told and "test_guarded_app.py" in told
    assert "Zenobia" not in told and "tell-nobody" not in told
    records_of(made).close()


def test_an_error_of_the_database_repeats_no_values(tmp_path: Path, app: Flask) -> None:
    made = start(app, Config(records_dir=tmp_path))
    with pytest.raises(Exception, match="nowhere") as failed, records_of(made).storage.writing() as session:
        session.execute(text("SELECT :client FROM nowhere"), {"client": CLIENT})
    assert CLIENT not in str(failed.value)
    records_of(made).close()
