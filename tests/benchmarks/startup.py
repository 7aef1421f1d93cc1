"""From the start of a process to its first answer, beside importing the frameworks alone; memory over many requests.

Run ``python -m tests.benchmarks.startup [rounds] [requests]``. The frameworks are what the first answer really
imported that is neither ours nor Python's own, module by module. Processes of the two kinds take turns, with the disk
warm; each time is the processor time of a whole process, but for the server, where it is what passes. Memory is that
of the real server, resident, read from Linux's ``/proc``. The requests are a mix: each tenth brings a new brief, the
others ask for forms, lists, kept advices and styles.
"""

from __future__ import annotations

import http.client
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from statistics import median

from tests.benchmarks.rows import Row, asked, at_most, in_turn, late, show
from tests.faults.server import ROOT, Server, running

ADDRESS = "/advice?setting=shade&air_high_c=31&hold_hours=3"
FIRST_ANSWER = f"""
from webapp import create_app
assert create_app().test_client().get({ADDRESS!r}).status_code == 200
"""
LOADED = """
import sys
ours = {name for name in sys.modules if name.partition(".")[0] in {*sys.stdlib_module_names, "webapp", "__main__"}}
print("\\n".join(name for name in sys.modules if name not in ours))
"""
IMPORTING = """
import importlib, sys
for name in sys.stdin.read().split():
    try:
        importlib.import_module(name)
    except ImportError:
        pass  # a name that a package gave to a module made while it was imported
"""
START_GOAL, GROWTH_GOAL = 1.5, 1.05
PAGES = (
    "/",
    ADDRESS,
    "/consultations",
    "/families",
    "/static/style.css",
    "/words",
    "/plan?setting=shade&air_high_c=31",
)


def processor_of_children() -> float:
    """Return the processor time [s] of all processes that were started and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def run(code: str, records: Path, given: str = "") -> str:
    """Run code in a fresh process; return what it printed."""
    environment = {**os.environ, "ADVISOR_RECORDS": str(records), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-c", code]
    return subprocess.run(
        command, input=given, text=True, capture_output=True, check=True, cwd=ROOT, env=environment
    ).stdout


def served_first() -> float:
    """Start the real server and ask it until it answers; return how long that took [ms]."""
    with tempfile.TemporaryDirectory() as folder:
        begin = time.perf_counter()
        server = Server(Path(folder))
        try:
            _first_answer(server.port)
            return 1000 * (time.perf_counter() - begin)
        finally:
            server.stop()


def _first_answer(port: int, patience_s: float = 60.0) -> None:
    end = time.monotonic() + patience_s
    while True:
        try:
            assert fetch(http.client.HTTPConnection("127.0.0.1", port, timeout=30), ADDRESS) == 200
            return
        except ConnectionRefusedError:
            if time.monotonic() > end:
                raise
            time.sleep(0.01)


def fetch(link: http.client.HTTPConnection, path: str) -> int:
    """Ask for a page, by its one address where it has another, read it whole, and return its status."""
    link.request("GET", path)
    answer = link.getresponse()
    answer.read()
    return fetch(link, answer.headers["Location"]) if answer.status == 303 else answer.status


def starts(rounds: int) -> Iterator[Row]:
    """Let a first answer, the imports and nothing at all take turns."""
    with tempfile.TemporaryDirectory() as folder:
        records = Path(folder)
        modules = run(FIRST_ANSWER + LOADED, records)
        works = (
            partial(run, "", records),
            partial(run, IMPORTING, records, modules),
            partial(run, FIRST_ANSWER, records),
        )
        nothing, imports, answers = in_turn(works, rounds, processor_of_children)
    alone = median(imports)
    tops = len({name.partition(".")[0] for name in modules.split()})
    yield Row("start", "Python alone", median(nothing), late(nothing), median(nothing) / alone)
    yield Row("start", f"imports alone: {len(modules.split()):,} modules of {tops} packages", alone, late(imports), 1.0)
    ratio = median(answers) / alone
    yield Row("start", "first answer in a process", median(answers), late(answers), ratio, at_most(ratio, START_GOAL))
    served = [served_first() for _ in range(max(3, rounds // 2))]
    yield Row("start", "first answer of the server over a socket", median(served), late(served), median(served) / alone)


def memory(requests: int) -> Iterator[Row]:
    """Ask the server for many pages; after a fifth its caches are full and it must not grow any more."""
    with running() as server:
        rest = server.resident_mb()
        yield Row("memory", "at rest, after the first pages", rest, unit="MB")
        link = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        early, before = requests // 5, rest
        for number in range(requests):
            is_new = number % 10 == 0
            path = (
                f"/advice?setting=shade&air_high_c={20 + number * 0.0017:.4f}" if is_new else PAGES[number % len(PAGES)]
            )
            status = fetch(link, path)
            assert status == 200, (path, status)
            if number + 1 == early:
                before = server.resident_mb()
                yield Row("memory", f"after {early:,} requests", before, ratio=before / rest, unit="MB")
        after = server.resident_mb()
        grown = after / before
        work = f"after {requests:,} requests, to {early:,}"
        yield Row("memory", work, after, ratio=grown, goal=at_most(grown, GROWTH_GOAL), unit="MB")


def rows(rounds: int = 7, requests: int = 10_000) -> Iterator[Row]:
    """Measure starts, then memory."""
    yield from starts(rounds)
    yield from memory(requests)


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 7), asked(2, 10_000)))


if __name__ == "__main__":
    main()
