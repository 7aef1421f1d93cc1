"""What a hosted service of 10,000 shops would need, from costs measured here and a queue that is simulated.

Run ``python -m tests.benchmarks.hosted [rounds]``. Measured: processor time of a page of advice never asked before, of
the same without the page around it, of pages that need no solver, and of a save with its commit; and by how much the
file of records grows with a consultation. Assumed (nobody has counted it): what a shop asks in a day, and the share of
the day that falls into its busiest hour. Simulated: requests of that hour that come at random (Poisson) with measured
costs in the assumed mix, taken in turn by so many cores, each serving one at a time; the fewest cores are sought with
which 95 of 100 are answered within half a second. Network, TLS and the database server are not in it.
"""

from __future__ import annotations

import heapq
import json
import re
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from statistics import mean, median
from urllib.parse import urlsplit

import numpy as np
from flask import Flask
from flask.testing import FlaskClient

from tests.benchmarks.one_advice import BRIEFS
from tests.benchmarks.rows import PASSED, Row, asked, late, measured, show
from webapp import create_app
from webapp.advice.brief import read_brief
from webapp.config import Config
from webapp.pages.brief_address import address_of
from webapp.records.storage import FILE_NAME

SHOPS = 10_000
# A shop's day, assumption: briefs asked, changes of a field that the advice follows, other pages, saves.
BRIEFS_A_DAY, CHANGES_A_BRIEF, PAGES_A_DAY, SAVES_A_DAY = 12, 8, 30, 4
BUSIEST_HOUR = 0.2  # of the day's requests, assumption
DAYS_A_YEAR = 300  # assumption
WITHIN_S, SIMULATED_S = 0.5, 600.0
PAGES = ("/", "/consultations", "/families", "/consultations?q=client", "/words")


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of request: how often a shop asks in a day, and what it cost here each time [ms]."""

    name: str
    a_day: float
    costs_ms: tuple[float, ...]


def costs(app: Flask, rounds: int) -> list[Kind]:
    """Measure every kind of request in this process."""
    client, forget = app.test_client(), app.extensions["advisor"].forget
    addresses = [address_of(read_brief(json.dumps(fields))) for fields in BRIEFS.values()]

    def asks(address: str, headers: dict[str, str]) -> Callable[[], object]:
        def ask() -> None:
            forget()
            assert client.get(address, headers=headers).status_code == 200

        return ask

    def all_of(works: list[Callable[[], object]]) -> tuple[float, ...]:
        return tuple(cost for work in works for cost in measured(work, rounds))

    part = {"X-Fragment": "advice"}
    return [
        Kind("brief, its page", BRIEFS_A_DAY, all_of([asks(each, {}) for each in addresses])),
        Kind("change, its advice", BRIEFS_A_DAY * CHANGES_A_BRIEF, all_of([asks(each, part) for each in addresses])),
        Kind("other page", PAGES_A_DAY, all_of([partial(client.get, path) for path in PAGES])),
        Kind("save", SAVES_A_DAY, tuple(measured(saving(client, addresses[1], forget), 3 * rounds))),
    ]


def saving(client: FlaskClient, address: str, forget: Callable[[], None]) -> Callable[[], object]:
    """Return what keeps one more consultation."""
    query = urlsplit(address).query
    found = re.search(r'name="csrf" value="(\w+)"', client.get(f"/consultations/new?{query}").text)
    assert found
    form = {"brief": query, "client": "client", "event": "A day", "event_date": "", "csrf": found[1]}

    def save() -> None:
        forget()
        assert client.post("/consultations", data=form).status_code == 303

    return save


def busiest(kinds: list[Kind], seed: int = 1) -> tuple[list[float], list[float]]:
    """Return when requests of the busiest hour come, and what each needs of a core [s]."""
    random = np.random.default_rng(seed)
    a_second = SHOPS * BUSIEST_HOUR / 3600 * np.array([kind.a_day for kind in kinds])
    count = int(random.poisson(a_second.sum() * SIMULATED_S))
    chosen = random.choice(len(kinds), count, p=a_second / a_second.sum())
    needs = [float(random.choice(kinds[place].costs_ms)) / 1000 for place in chosen]
    return sorted(random.uniform(0, SIMULATED_S, count).tolist()), needs


def latencies(arrivals: list[float], needs: list[float], cores: int) -> list[float]:
    """Return how long each request takes when the first free core takes the next one [s]."""
    free, spent = [0.0] * cores, []
    for at, need in zip(arrivals, needs, strict=True):
        end = max(at, heapq.heappop(free)) + need
        heapq.heappush(free, end)
        spent.append(end - at)
    return spent


def fewest_cores(arrivals: list[float], needs: list[float]) -> int:
    """Return the fewest cores with which 95 of 100 requests are answered in time."""
    cores = max(1, int(sum(needs) / SIMULATED_S))
    while late(latencies(arrivals, needs, cores)) > WITHIN_S:
        cores += 1
    return cores


def rows(rounds: int = 10) -> Iterator[Row]:
    """Measure, simulate, and say what it comes to."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        app = create_app(Config(records_dir=folder))
        kinds = costs(app, rounds)
        for kind in kinds:
            yield Row(
                "hosted", f"measured: {kind.name}, {kind.a_day:g} a day", median(kind.costs_ms), late(kind.costs_ms)
            )
        yield from _storage(app, folder)
    arrivals, needs = busiest(kinds)
    busy = sum(needs) / SIMULATED_S
    yield Row(
        "hosted", f"busiest hour, {SHOPS:,} shops: {len(needs) / SIMULATED_S:.0f} requests/s, cores busy", ratio=busy
    )
    fewest = fewest_cores(arrivals, needs)
    for cores in (max(1, int(busy)), fewest, fewest + 2, 2 * fewest):
        spent = [1000 * each for each in latencies(arrivals, needs, cores)]
        yield Row("hosted", f"simulated: {cores} cores, share busy", median(spent), late(spent), busy / cores)
    advices = sum(kind.a_day * mean(kind.costs_ms) for kind in kinds[:2]) / sum(
        kind.a_day * mean(kind.costs_ms) for kind in kinds
    )
    yield Row("hosted", "share of the cores' time that is advice", ratio=advices)


def _storage(app: Flask, folder: Path) -> Iterator[Row]:
    """Say what a save adds to the records, alone and over a year of all shops."""
    client, count = app.test_client(), 200
    save = saving(client, address_of(read_brief(json.dumps(BRIEFS["garden wedding, 3 tiers"]))), lambda: None)
    before = _size(folder)
    spent = measured(save, count, PASSED)
    grown = (_size(folder) - before) / count
    yield Row("hosted", "a save, its advice known, the commit included", median(spent), late(spent))
    yield Row("hosted", "a consultation in the records", grown / 1000, unit="kB")
    yearly = SHOPS * SAVES_A_DAY * DAYS_A_YEAR * grown / 1e9
    yield Row("hosted", f"a year of {SHOPS:,} shops in the records", yearly, unit="GB", goal="computed")
    at_peak = SHOPS * SAVES_A_DAY * BUSIEST_HOUR / 3600
    yield Row("hosted", "commits per second in the busiest hour", ratio=at_peak)


def _size(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.glob(f"{FILE_NAME}*"))


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 10)))


if __name__ == "__main__":
    main()
