"""Take the disk, the database or the time away from a shop while it works, and note what its user sees.

Run ``python -m tests.faults.outages``; random kills are ``python -m tests.records.killing``. Full and read-only disks
are small file systems in memory, which only root may make; PostgreSQL needs its server's programs. What cannot be
tried here says so.
"""

from __future__ import annotations

import datetime as dt
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.pages.keeping_shop import BRIEF, NAMES
from tests.pages.open_shop import OWNER, new_token, open_shop, visitor
from tests.pages.page import Page
from tests.pages.sample_advice import sample_advisor
from tests.pages.visiting import hidden_field
from tests.records.postgres import NoServer, running_server
from tests.records.samples import Clock, content
from webapp import create_app
from webapp.config import Config
from webapp.pages.shop import records_of
from webapp.records.columns import utc_now
from webapp.records.errors import StorageError
from webapp.records.housekeeping import House
from webapp.records.opening import Records, open_records
from webapp.records.storage import FILE_NAME

YEAR = dt.timedelta(days=365)
PAGE_OF_FORM = f"/consultations/new?{BRIEF}"
ASKED = ("/", f"/advice?{BRIEF}", "/consultations")


@dataclass(frozen=True, slots=True)
class Seen:
    """What a user did during an outage, and saw."""

    outage: str
    did: str
    answer: str
    told: str

    def row(self) -> str:
        """Write it as a row of a table."""
        return f"| {self.outage} | {self.did} | {self.answer} | {self.told} |"


class Shop:
    """One shop on this machine, which has kept a consultation before anything goes wrong."""

    def __init__(self, folder: Path, database_url: str | None = None) -> None:
        self.app: Flask = create_app(Config(records_dir=folder, database_url=database_url), None, sample_advisor)
        self.browser: FlaskClient = self.app.test_client()
        self.hidden = hidden_field(self.browser, PAGE_OF_FORM)
        self.kept = self.save()
        assert self.kept.status_code == 303

    def save(self, event: str = NAMES["event"]) -> TestResponse:
        """Save as a form that was opened before the outage does."""
        return self.browser.post("/consultations", data={**self.hidden, **NAMES, "event": event, "brief": BRIEF})

    def seen(self, outage: str) -> Iterator[Seen]:
        """Look at pages, then save; what was typed must be there still where it was not saved."""
        for address in ASKED:
            yield _seen(outage, f"opens {address.partition('?')[0]}", self.browser.get(address))
        response = self.save("Unsaved wedding")
        stays = "; what was typed is still there" if "Unsaved wedding" in response.get_data(as_text=True) else ""
        yield _seen(outage, "saves", response, stays)

    def count(self) -> int:
        """How many consultations there are."""
        return records_of(self.app).consultations.list().total

    def close(self) -> None:
        """Let go of the records."""
        records_of(self.app).close()


def _seen(outage: str, did: str, response: TestResponse, more: str = "") -> Seen:
    if response.status_code == 303:
        return Seen(outage, did, "303", "done" + more)
    page = Page(response)
    alerts = [
        page.text(each) for each in page.root.iter() if each.get("role") == "alert" or each.get("id") == "problems"
    ]
    said = alerts[0] if alerts else page.text(page.all("h1")[0])
    if response.status_code >= 400 and not alerts:
        said = " / ".join(page.text(each) for each in [*page.all("h1"), *page.all("p")[:2]])
    return Seen(outage, did, str(response.status_code), said[:220].replace("|", "/") + more)


@contextmanager
def small_disk(size: str) -> Iterator[Path]:
    """Give a file system of its own; refused to all but root."""
    with tempfile.TemporaryDirectory() as folder:
        made = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", folder], capture_output=True)
        if made.returncode:
            raise PermissionError("only root can make a small disk")
        try:
            yield Path(folder)
        finally:
            subprocess.run(["umount", "-l", folder], check=True)


def full_disk() -> Iterator[Seen]:
    """Fill the disk to the last byte, then make room again."""
    with small_disk("2m") as folder:
        shop = Shop(folder)
        filler = folder / "filler"
        with filler.open("wb", buffering=0) as file:
            try:
                while True:
                    file.write(b"x" * 4096)
            except OSError:
                pass
        yield from shop.seen("disk full")
        before = shop.count()
        filler.unlink()
        yield _after("disk full", "room is made, saves again", shop, before)
        shop.close()


def read_only_disk() -> Iterator[Seen]:
    """Make the file system read-only under a running shop, then writable again."""
    with small_disk("16m") as folder:
        shop = Shop(folder)
        shop.close()  # a disk on which a file is open for writing does not become read-only
        subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
        yield from shop.seen("disk read-only")
        subprocess.run(["mount", "-o", "remount,rw", str(folder)], check=True)
        yield _after("disk read-only", "it may be written again, saves", shop, 1)
        shop.close()


def lost_file() -> Iterator[Seen]:
    """Delete the file of records under a running shop, then put it back."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shop = Shop(folder)
        shop.close()  # so that nothing is left in the log ahead, and the copy is whole
        shop.browser.get("/consultations")  # which opens it again
        aside = folder / "aside"
        os.replace(folder / FILE_NAME, aside)
        for rest in folder.glob(FILE_NAME + "-*"):
            rest.unlink()
        yield from shop.seen("file of records deleted")
        os.replace(aside, folder / FILE_NAME)
        yield _after("file of records deleted", "it is put back, saves", shop, 1)
        shop.close()


def damaged_file() -> Iterator[Seen]:
    """Write over the file of records, then bring the copy back."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shop = Shop(folder)
        shop.close()
        file = folder / FILE_NAME
        sound = file.read_bytes()
        file.write_bytes(b"not a database" * 2000)
        yield from shop.seen("file of records overwritten")
        file.write_bytes(sound)
        yield _after("file of records overwritten", "the copy is put back, saves", shop, 1)
        shop.close()


def stopped_server() -> Iterator[Seen]:
    """Stop PostgreSQL under a running shop."""
    with tempfile.TemporaryDirectory() as name:
        with running_server() as url:
            shop = Shop(Path(name), url)
        yield from shop.seen("PostgreSQL stopped")
        shop.close()


def _after(outage: str, did: str, shop: Shop, before: int) -> Seen:
    response = shop.save("Saved again")
    is_whole = response.status_code == 303 and shop.count() == before + 1
    told = "saved, and nothing kept before is missing" if is_whole else "NOT AS BEFORE"
    return Seen(outage, did, str(response.status_code), told)


def clock_jumps() -> Iterator[Seen]:
    """Let the clock of a shop that others can reach go back and forward by a year."""
    for name, jump in (("clock goes back a year", -YEAR), ("clock goes forward a year", YEAR)):
        with tempfile.TemporaryDirectory() as folder:
            yield from _jump(Path(folder), name, jump)


def _jump(folder: Path, name: str, jump: dt.timedelta) -> Iterator[Seen]:
    app = open_shop(folder)
    start = utc_now()
    clock = Clock(start)
    records = open_records(folder, now=clock)
    app.extensions["records"] = records
    token = new_token(app, app.extensions["consultation_id"])
    with _time_is(clock):
        browser = visitor(app, OWNER)
        records.backups.make(records.storage, clock())
        records.drafts.keep("d" * 32, {"pairs": [["air_high_c", "31"]], "revision": 1}, None, None)
        clock.moment = start + jump
        yield Seen(name, "goes on with a log-in", *_login(browser))
        clock.moment = start + jump + dt.timedelta(hours=13)
        yield Seen(name, "goes on with it 13 h later", *_login(browser))
        clock.moment = start + jump
        yield Seen(name, "client opens a link for 7 days", *_link(app, token))
        yield Seen(name, "daily backup", "-", _backup(records, clock()))
        saved = records.consultations.add(content("Time traveller"))
        yield Seen(name, "saves", "-", f"kept, dated {saved.created_at:%Y-%m-%d}")
        yield Seen(name, "housekeeping looks", "-", _kept_house(records, clock()))
    records.close()


@contextmanager
def _time_is(clock: Callable[[], dt.datetime]) -> Iterator[None]:
    with patch("webapp.pages.session.utc_now", clock):
        yield


def _login(browser: FlaskClient) -> tuple[str, str]:
    status = browser.get("/consultations").status_code
    return str(status), "still logged in" if status == 200 else "asked to log in again"


def _link(app: Flask, token: str) -> tuple[str, str]:
    status = app.test_client().get(f"/s/{token}").status_code
    return str(status), "opens" if status == 200 else "the page of a link that opens nothing"


def _kept_house(records: Records, now: dt.datetime) -> str:
    House().keep(records, now)
    drafts, consultations = len(records.drafts.of_account()), records.consultations.list().total
    backups = len(records.backups.made())
    return f"{consultations} of 2 consultations and {drafts} of 1 drafts stay; {backups} backups"


def _backup(records: Records, now: dt.datetime) -> str:
    is_due = records.backups.is_due(now + dt.timedelta(days=1), dt.timedelta(days=1))
    try:
        made = records.backups.make(records.storage, now + dt.timedelta(days=1))
    except StorageError as error:
        return f"refused: {error}"
    told = "is due a day later" if is_due else "is NOT due a day later"
    return f"{told}; made by hand it {'stays' if made.exists() else 'does NOT stay'}"


OUTAGES = (full_disk, read_only_disk, lost_file, damaged_file, stopped_server, clock_jumps)


def main() -> None:
    """Print a table of what was seen."""
    print("| what happens | the user | answer | what is said |\n| --- | --- | --- | --- |")
    is_bad = False
    for outage in OUTAGES:
        try:
            for seen in outage():
                print(seen.row(), flush=True)
                is_bad |= seen.answer == "500" or "NOT" in seen.told
        except (NoServer, PermissionError) as reason:
            print(f"| {outage.__name__.replace('_', ' ')} | - | - | not tried here: {reason} |")
    sys.exit(is_bad)


if __name__ == "__main__":
    main()
