"""Every form of the shop, sent while its records take nothing: told why, and filled as it was."""

from __future__ import annotations

import html
import io
import re
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.pages.keeping_shop import BRIEF
from tests.pages.open_shop import OWNER, PASSWORD, STAFF, account_id, kept, open_shop, visitor
from tests.pages.page import Page, check_page
from tests.pages.visiting import hidden_field
from tests.records.conftest import another_database, on_server
from webapp.pages.shop import records_of
from webapp.records.outcomes import Note

TYPED = "Zoë’s “garden” & party"
DRAFT = "0123456789abcdef" * 2
FULL, READ_ONLY, MISSING = "is full", "may not be written", "not where they should be"

# Every form that posts to what is kept: its route and what was typed into it. ``<…>`` is filled in by the shop.
FORMS: dict[str, dict[str, Any]] = {
    "/accounts": {"name": TYPED, "password": "let me in, I say", "role": "staff"},
    "/accounts/<account>/password": {"password": "let me in, I say"},
    "/accounts/<account>/remove": {"sure": "yes"},
    "/accounts/<account>/role": {"role": "owner"},
    "/consultations": {"client": TYPED, "event": "A feast", "event_date": "2027-06-26", "brief": BRIEF},
    "/consultations/<id>": {"client": TYPED, "event": "A feast", "event_date": "2027-06-26", "revision": "1"},
    "/consultations/<id>/after": {
        "coat": "french-butter",
        "outcome": "held",
        "hold_hours": "3.25",
        "setting": "shade",
        "air_high_c": "29.5",
        "remark": TYPED,
    },
    "/consultations/<id>/after/<note>/remove": {},
    "/consultations/<id>/anew": {"revision": "1"},
    "/consultations/<id>/archive": {"revision": "1"},
    "/consultations/<id>/brief": {
        "setting": "shade",
        "air_high_c": "33.5",
        "hold_hours": "4 or 5",
        "tiers-0-width_cm": "27.5",
        "draft": DRAFT,
        "revision": "1",
    },
    "/consultations/<id>/choice": {"coat": "<coat>", "filling": "<filling>", "revision": "1"},
    "/consultations/<id>/delete": {"revision": "1"},
    "/consultations/<id>/duplicate": {},
    "/consultations/<id>/links": {"days": "90"},
    "/consultations/<id>/links/<link>/revoke": {},
    "/drafts/<draft>": {"air_high_c": "33.5", "hold_hours": "4 or 5"},
    "/drafts/<draft>/forget": {},
    "/events/use": {"formulation": "french-butter", "use": "yours"},
    "/log-in": {"name": STAFF, "password": PASSWORD, "back": "/keeping"},
    "/log-out": {},
    "/password": {"current": PASSWORD, "password": "let me in, I say"},
    "/shop/backups": {},
    "/shop/prices": {"currency": "GBP", "pack-butter": "454", "cost-butter": "5.65"},
}
SECRETS = ("password", "current")
# What is done all the same: a log-in is a cookie, and a backup of records that may only be read is one.
DONE_ALL_THE_SAME = {(FULL, "/log-in"), (READ_ONLY, "/log-in"), (READ_ONLY, "/shop/backups")}
Fault = Callable[[], AbstractContextManager[None]]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    place = tmp_path / "small"
    place.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", place], capture_output=True, text=True)
    if made.returncode:
        pytest.skip(f"a small file system cannot be mounted here: {made.stderr.strip()}")
    yield place
    subprocess.run(["umount", "--lazy", place], check=True)


def filled_disk(shop: Flask, disk: Path) -> Fault:
    @contextmanager
    def fault() -> Iterator[None]:
        with records_of(shop).storage.engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")  # no room left in the log either
        junk = disk / "junk"
        with pytest.raises(OSError, match="No space left"), junk.open("wb", buffering=0) as file:
            while True:
                file.write(b"x" * 4096)
        try:
            yield
        finally:
            junk.unlink()

    return fault


def read_only_file(shop: Flask, monkeypatch: pytest.MonkeyPatch) -> Fault:
    """Let SQLite open the file as one that may only be read: whoever runs as root is not stopped by its mode."""
    connect = sqlite3.connect

    def only_reading(name: Any, *given: Any, **options: Any) -> sqlite3.Connection:
        return connect(str(name).replace("mode=rw", "mode=ro"), *given, **options)

    @contextmanager
    def fault() -> Iterator[None]:
        with monkeypatch.context() as patched:
            patched.setattr(sqlite3, "connect", only_reading)
            records_of(shop).storage.close()
            yield
        records_of(shop).storage.close()

    return fault


def lost_file(shop: Flask) -> Fault:
    @contextmanager
    def fault() -> Iterator[None]:
        file = records_of(shop).storage.file
        assert file
        away = file.rename(file.with_suffix(".away"))
        try:
            yield
        finally:
            away.rename(file)

    return fault


def server_says(shop: Flask, server: str, ill: list[str], well: list[str]) -> Fault:
    @contextmanager
    def fault() -> Iterator[None]:
        on_server(server, *ill)
        records_of(shop).storage.close()
        try:
            yield
        finally:
            on_server(server, *well)
            records_of(shop).storage.close()

    return fault


READING = "ALTER DATABASE starved SET default_transaction_read_only = {}"
CLOSED = "ALTER DATABASE starved ALLOW_CONNECTIONS {}"
ENDED = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = 'starved'"


@pytest.fixture(params=["full disk", "read-only file", "lost file", "read-only server", "lost server"])
def starved(
    request: pytest.FixtureRequest, app: Flask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[Flask, Fault, str]]:
    """A shop, what goes wrong with its records, and the words that tell it."""
    kind, catalogue = str(request.param), app.extensions["catalogue"]
    if kind.endswith("server"):
        server = request.getfixturevalue("postgres_server")
        shop = open_shop(tmp_path / "kept", catalogue, another_database(server, "starved"))
        told = READ_ONLY if kind.startswith("read-only") else MISSING
        ill, well = ([READING.format("on")], [READING.format("off")])
        if told == MISSING:
            ill, well = ([CLOSED.format("false"), ENDED], [CLOSED.format("true")])
        fault = server_says(shop, server, ill, well)
    elif kind == "full disk":
        disk = request.getfixturevalue("small_disk")
        shop, told = open_shop(disk / "kept", catalogue), FULL
        fault = filled_disk(shop, disk)
    else:
        shop = open_shop(tmp_path / "kept", catalogue)
        told = READ_ONLY if kind.startswith("read-only") else MISSING
        fault = read_only_file(shop, monkeypatch) if told == READ_ONLY else lost_file(shop)
    yield shop, fault, told
    records_of(shop).close()


def known(shop: Flask) -> dict[str, str]:
    """What fills the places in the forms: each is there, so that nothing but the records is in the way."""
    records, id = records_of(shop), shop.extensions["consultation_id"]
    note = records.outcomes.add(id, Note("french-butter", "smooth", {"setting": "shade"}, held_h=3.0))
    token = records.links.make(id, records.consultations.get(id).updated_at - records.consultations.get(id).created_at)
    records.drafts.keep(DRAFT, {"pairs": [["air_high_c", "31"]]}, account_id(shop, OWNER))
    chosen = records.consultations.get(id)
    return {
        "<id>": id,
        "<note>": note.id,
        "<link>": token.link.id,
        "<draft>": DRAFT,
        "<account>": account_id(shop, STAFF),
        "<coat>": chosen.coat or "",
        "<filling>": chosen.filling or "",
    }


def put(text: str, values: dict[str, str]) -> str:
    return re.sub(r"<\w+>", lambda place: values[place[0]], text)


def posted(browser: FlaskClient, address: str, fields: dict[str, Any], hidden: dict[str, str]) -> TestResponse:
    return browser.post(address, data=fields | hidden)


def test_every_form_that_posts_is_tried_here(app: Flask) -> None:
    posts = {rule.rule for rule in app.url_map.iter_rules() if "POST" in (rule.methods or ())}
    posts = {route for route in posts if not route.startswith("/api/")}  # whoever asks there has no form
    marks = "/consultations/<id>/<any('archive', 'unarchive', 'delete', 'restore'):mark>"
    apart = {"/units", "/shop/archive", marks}  # nothing is kept; tried below; two of them stand for all
    tried = {re.sub(r"<account>|<draft>", "<id>", route) for route in FORMS}
    tried -= {"/consultations/<id>/archive", "/consultations/<id>/delete"}
    assert posts - apart == tried


def test_a_form_that_cannot_be_kept_is_told_why_and_stays_filled(starved: tuple[Flask, Fault, str]) -> None:
    shop, fault, told = starved
    values, before = known(shop), None
    browsers = {route: visitor(shop, None if route == "/log-in" else OWNER) for route in FORMS}
    hidden = {route: hidden_field(browsers[route], "/log-in" if route == "/log-in" else "/accounts") for route in FORMS}
    before = kept(shop)
    with fault():
        for route, typed in FORMS.items():
            fields = {name: put(text, values) for name, text in typed.items()}
            response = posted(browsers[route], put(route, values), fields, hidden[route])
            if (told, route) in DONE_ALL_THE_SAME:
                assert response.status_code == 303, f"{route}: {response.status_code}"
                continue
            page = Page(response)
            assert response.status_code == 503, f"{route}: {response.status_code}"
            assert told in page.text() and "Nothing was saved" in page.text(), route
            check_page(page)
            for name, text in fields.items():
                is_there = html.escape(text) in page.html or text in page.html
                assert is_there != (name in SECRETS), f"{route}: {name}"
    assert kept(shop) == before


def test_what_was_not_kept_is_kept_when_it_is_sent_again(starved: tuple[Flask, Fault, str]) -> None:
    shop, fault, _ = starved
    owner, id = visitor(shop, OWNER), shop.extensions["consultation_id"]
    typed = {"client": TYPED, "event": "A feast", "event_date": "2027-06-26", "revision": "1"}
    hidden = hidden_field(owner)
    with fault():
        page = Page(posted(owner, f"/consultations/{id}", typed, hidden))
    forms = [form for form in page.all("form") if form.get("action") == f"/consultations/{id}"]
    (form,) = [form for form in forms if form.get("method") == "post"]
    again = {field.get("name", ""): field.get("value", "") for field in form.iter("input")}
    assert owner.post(f"/consultations/{id}", data=again).status_code == 303
    assert records_of(shop).consultations.get(id).client == TYPED


def test_a_file_that_was_sent_is_asked_for_once_more(app: Flask, tmp_path: Path) -> None:
    shop = open_shop(tmp_path / "kept", app.extensions["catalogue"])
    owner = visitor(shop, OWNER)
    fields = hidden_field(owner) | {"archive": (io.BytesIO(bytes(200_000)), "kept.zip")}
    with lost_file(shop)():
        page = Page(owner.post("/shop/archive", data=fields))
    check_page(page)
    assert page.status == 503 and "choose the file once more" in page.text()
    records_of(shop).close()
