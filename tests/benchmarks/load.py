"""A busy shop's mixed day on the real server: throughput, latency, errors and lost saves; then more than it can take.

Run ``python -m tests.benchmarks.load [seconds] [gunicorn]`` with the path of a gunicorn where one is to be measured
too (two workers of two threads, each a process of its own). Loopback only. A user is a thread that asks for the next
page as soon as the last one is there, without a pause, so a few of them are a busy shop and 64 are far past what two
cores give. Of ten requests five are briefs that nobody asked before, four are pages that need no solver and one saves
a consultation, its advice worked out anew. What was acknowledged is looked up in the records after the server ended.
Past saturation so many clients ask at once that each core has minutes of work; what they get is counted, and after
that how soon one user is answered as before.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from threading import Barrier
from urllib.parse import urlencode, urlsplit

from tests.benchmarks.rows import Row, late, show
from webapp.advice.brief import read_brief
from webapp.config import ROOT
from webapp.pages.brief_address import address_of
from webapp.records.opening import open_records

USERS = (1, 8, 32, 64)
FLOOD = 300  # clients at once
FLOOD_PATIENCE_S = 60.0
PAGES = ("/", "/consultations", "/families", "/consultations?q=client", "/static/style.css", "/words")
DAY = ("brief", "page", "brief", "page", "brief", "save", "page", "brief", "page", "brief")
HIDDEN = re.compile(r'name="csrf" value="([0-9a-f]+)"')


@dataclass
class Done:
    """What one or more users did."""

    spent_ms: list[float] = field(default_factory=list)
    errors: Counter[str] = field(default_factory=Counter)
    saved: dict[str, str] = field(default_factory=dict)  # client's name by the id that was acknowledged

    def add(self, other: Done) -> None:
        """Take in what another user did."""
        self.spent_ms += other.spent_ms
        self.errors += other.errors
        self.saved |= other.saved


class User:
    """One browser that keeps its connection and its cookie."""

    def __init__(self, port: int, seed: int, patience_s: float = 300.0) -> None:
        self.link = http.client.HTTPConnection("127.0.0.1", port, timeout=patience_s)
        self.chance, self.name, self.done = random.Random(seed), f"client {seed}", Done()
        self.cookie = self.token = ""

    def ask(self, path: str, form: dict[str, str] | None = None) -> tuple[int, http.client.HTTPMessage, str]:
        """Send one request and read its whole answer."""
        headers = {"Cookie": self.cookie} if self.cookie else {}
        if form is None:
            self.link.request("GET", path, headers=headers)
        else:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            self.link.request("POST", path, urlencode({**form, "csrf": self.token}), headers)
        answer = self.link.getresponse()
        text = answer.read().decode("utf-8", "replace")
        for cookie in answer.headers.get_all("Set-Cookie", []):
            self.cookie = cookie.partition(";")[0] if cookie.startswith("csrf=") else self.cookie
        return answer.status, answer.headers, text

    def new_brief(self) -> str:
        """Return the address of a brief that nobody asked before."""
        widths = ([{"width_cm": 20}], [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}])
        fields = {
            "setting": self.chance.choice(("indoors", "tent", "shade", "sun")),
            "air_high_c": round(self.chance.uniform(18, 36), 3),
            "hold_hours": self.chance.choice((2, 3, 5)),
            "tiers": self.chance.choice(widths),
        }
        return address_of(read_brief(json.dumps(fields)))

    def open_form(self) -> None:
        """Fetch the form that keeps an advice, for its hidden field."""
        found = HIDDEN.search(self.ask(f"/consultations/new?{urlsplit(self.new_brief()).query}")[2])
        assert found, "no form of ours"
        self.token = found[1]

    def do(self, what: str) -> None:
        """Do one thing of the day and note how it went."""
        begin, expected = time.perf_counter(), 200
        try:
            if what == "save":
                expected, status = 303, self._save()
            else:
                status = self.ask(self.new_brief() if what == "brief" else self.chance.choice(PAGES))[0]
        except (OSError, http.client.HTTPException) as error:
            self.link.close()
            self.done.errors[type(error).__name__] += 1
            return
        self.done.spent_ms.append(1000 * (time.perf_counter() - begin))
        if status != expected:
            self.done.errors[str(status)] += 1

    def _save(self) -> int:
        client = f"{self.name} no. {self.chance.getrandbits(60)}"
        form = {"brief": urlsplit(self.new_brief()).query, "client": client, "event": "A day", "event_date": ""}
        status, headers, _ = self.ask("/consultations", form)
        if status == 303:
            self.done.saved[urlsplit(headers["Location"]).path.rpartition("/")[2]] = client
        return status


@contextmanager
def started(command: list[str], folder: Path, port: int) -> Iterator[int]:
    """Start a server on a port, wait until it answers, and stop it."""
    environment = {
        **os.environ, "ADVISOR_PORT": str(port), "ADVISOR_RECORDS": str(folder), "OPENBLAS_NUM_THREADS": "1",
        "PYTHONPATH": str(ROOT),
    }  # fmt: skip
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=log, stderr=log)
        try:
            _wait(port, server)
            yield port
        finally:
            server.terminate()
            server.wait(60)


def _wait(port: int, server: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + 120
    while True:
        try:
            assert User(port, 0).ask("/")[0] == 200
            return
        except OSError:
            if time.monotonic() > end or server.poll() is not None:
                raise
            time.sleep(0.1)


def day(port: int, users: int, seconds: float, seed: int) -> tuple[Done, float]:
    """Let so many users work for a time; return what they did and how long it took until the last was answered [s]."""
    begun, ready = [0.0], Barrier(users, lambda: begun.__setitem__(0, time.monotonic()))

    def work(number: int) -> Done:
        user = User(port, seed + number)
        user.open_form()
        ready.wait()
        place = number
        while time.monotonic() < begun[0] + seconds:
            user.do(DAY[place % len(DAY)])
            place += 1
        user.link.close()
        return user.done

    together = Done()
    with ThreadPoolExecutor(users) as pool:
        for done in pool.map(work, range(users)):
            together.add(done)
    return together, time.monotonic() - begun[0]


def flood(port: int, name: str, clients: int = FLOOD) -> Iterator[Row]:
    """Ask for more than can be done, all at once, and say what came of it and how soon all was well again."""
    alone = User(port, 10**6)
    usual = median(_spent(alone) for _ in range(5))

    def once(number: int) -> tuple[str, float]:
        user, begin = User(port, 2 * 10**6 + number, FLOOD_PATIENCE_S), time.perf_counter()
        try:
            reply = str(user.ask(user.new_brief())[0])
        except TimeoutError:
            reply = "no answer in a minute"
        except (OSError, http.client.HTTPException) as error:
            reply = type(error).__name__
        user.link.close()
        return reply, 1000 * (time.perf_counter() - begin)

    with ThreadPoolExecutor(clients) as pool:
        replies = list(pool.map(once, range(clients)))
    begin, after = time.perf_counter(), _spent(User(port, 3 * 10**6))
    while after > 2 * usual and time.perf_counter() - begin < FLOOD_PATIENCE_S:
        after = _spent(User(port, 3 * 10**6))
    recovered = time.perf_counter() - begin
    for reply in sorted({reply for reply, _ in replies}):
        took = [spent for each, spent in replies if each == reply]
        yield Row(name, f"{clients} at once: {len(took)} got {reply}", median(took), late(took))
    is_well = recovered < FLOOD_PATIENCE_S
    yield Row(name, f"answers as before {recovered:.1f} s after them", after, ratio=after / usual, goal=_goal(is_well))


def _spent(user: User) -> float:
    begin = time.perf_counter()
    assert user.ask(user.new_brief())[0] == 200
    return 1000 * (time.perf_counter() - begin)


def _goal(is_met: bool) -> str:
    return "holds" if is_met else "MISSED"


def server_rows(name: str, command: list[str], port: int, seconds: float, clients: int) -> Iterator[Row]:
    """Measure one server: its days, its flood, and whether all that it acknowledged is kept."""
    saved: dict[str, str] = {}
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        with started(command, folder, port):
            for users in USERS:
                done, passed = day(port, users, seconds, 1000 * users)
                saved |= done.saved
                count, bad = len(done.spent_ms), sum(done.errors.values())
                work = f"{users} users, {count / passed:.1f}/s, {bad} errors of {count} {dict(done.errors) or ''}"
                goal = f"no error: {_goal(not bad)}"
                yield Row(name, work.strip(), median(done.spent_ms), late(done.spent_ms), goal=goal)
            yield from flood(port, name, clients)
        yield _kept(name, folder, saved)


def _kept(name: str, folder: Path, saved: dict[str, str]) -> Row:
    records = open_records(folder)
    kept = {row.id: row.client for row in records.consultations.list(size=1_000_000).rows}
    records.close()
    found = sum(kept.get(id_) == client for id_, client in saved.items())
    work = f"{len(saved):,} saves acknowledged, {found:,} found"
    return Row(name, work, goal=f"none lost: {_goal(found == len(saved))}")


def free_port() -> int:
    """Return a port that nobody uses."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def rows(seconds: float = 120, gunicorn: str | None = None, clients: int = FLOOD) -> Iterator[Row]:
    """Measure the server as it is started, then gunicorn where there is one."""
    yield from server_rows("waitress", [sys.executable, "-m", "webapp"], free_port(), seconds, clients)
    if gunicorn:
        port = free_port()
        # Kept open longer than anyone here pauses: who sends on a connection that is just being closed gets no answer.
        options = ["--bind", f"127.0.0.1:{port}", "--workers", "2", "--threads", "2", "--keep-alive", "60"]
        yield from server_rows("gunicorn", [gunicorn, *options, "webapp.__main__:served_app()"], port, seconds, clients)


def main() -> None:
    """Print the table."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 120.0
    show(rows(seconds, sys.argv[2] if len(sys.argv) > 2 else None))


if __name__ == "__main__":
    main()
