"""What lists and searches cost as consultations grow in number.

Run ``python -m tests.benchmarks.records [most] [rounds]``. The exponent is the slope of log(median) on log(number),
fitted by least squares: 0 for a cost that does not grow, 1 for one that grows with the number. Consultations carry
an advice of some 40 kB, as real ones do; names repeat as names do.
"""

from __future__ import annotations

import datetime as dt
import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
from sqlalchemy import insert, text

from tests.benchmarks.rows import timed
from webapp.records.columns import json_text
from webapp.records.folding import fold
from webapp.records.model import Consultation, new_id
from webapp.records.opening import Records, open_records

SIZES = (100, 1_000, 5_000, 20_000, 50_000, 100_000)
FIRST = ("Zoë", "Łukasz", "Anna", "Bo", "Émile", "Søren", "Maria", "Jörg", "Chloé", "Ivan", "Nour", "Mei")
LAST = ("Müller", "Ångström", "Novák", "Garcia", "Øst", "Smith", "Lefèvre", "Kowalski", "Rossi", "Tanaka", "Weiß")
EVENTS = ("Garden wedding", "Birthday", "Silver wedding", "Baptism", "Anniversary", "Jubilee", "Graduation")
ADVICE = json_text({"verdict": "holds", "course": list(range(8000))})
BATCH = 500


def grow(records: Records, count: int, chance: random.Random) -> None:
    """Add consultations, past the repository: one transaction each would take hours."""
    with records.storage.engine.connect() as connection:
        there = connection.execute(text("SELECT count(*) FROM consultation")).scalar_one()
    while there < count:
        rows = [_row(there + number, chance) for number in range(min(BATCH, count - there))]
        with records.storage.writing() as session:
            session.execute(insert(Consultation), rows)
            advised = [{"consultation_id": row["id"], "advice": ADVICE} for row in rows]
            session.execute(
                text("INSERT INTO advised VALUES (:consultation_id, '{}', :advice, 'data', 'code')"), advised
            )
        there += len(rows)


def _row(number: int, chance: random.Random) -> dict[str, object]:
    client = f"{chance.choice(FIRST)} {chance.choice(LAST)} {number}"
    event = chance.choice(EVENTS)
    moment = dt.datetime(2020, 1, 1, tzinfo=dt.UTC) + dt.timedelta(minutes=number * 30)
    date = moment.date() + dt.timedelta(days=chance.randrange(200))
    return {
        "id": new_id(),
        "client": client,
        "event": event,
        "folded": f"{fold(client)}\n{fold(event)}",
        "event_date": None if number % 10 == 0 else date,
        "verdict": "holds",
        "created_at": moment,
        "updated_at": moment + dt.timedelta(minutes=chance.randrange(50_000)),
        "archived_at": moment if number % 5 == 0 else None,
        "revision": 1,
    }


def works(records: Records) -> dict[str, Callable[[], object]]:
    """What a decorator asks for."""
    ask = records.consultations.list
    return {
        "list, latest first": ask,
        "list by client": lambda: ask(sort="client"),
        "list by event": lambda: ask(sort="event"),
        "list by event, turned round": lambda: ask(sort="event", reverse=True),
        "list, last page": lambda: ask(page=10**6),
        "list of the archive": lambda: ask(archived=True),
        "search, one word": lambda: ask("muller"),
        "search, two words by client": lambda: ask("Zoë wedding", sort="client"),
        "search, one is found": lambda: ask("novak 77"),
        "search, nothing is found": lambda: ask("nobody at all"),
        "open one": lambda: records.consultations.get(ask().rows[0].id),
    }


def main() -> None:
    """Print the table."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else SIZES[-1]
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 40
    sizes = [size for size in SIZES if size <= most]
    medians: dict[str, list[float]] = {}
    print(f"{'consultations':>13} {'work':30} {'median ms':>10} {'p95 ms':>8}")
    with tempfile.TemporaryDirectory() as folder:
        records, chance = open_records(Path(folder)), random.Random(1)
        for size in sizes:
            grow(records, size, chance)
            for work, run in works(records).items():
                median, late = timed(run, rounds)
                medians.setdefault(work, []).append(median)
                print(f"{size:13} {work:30} {median:10.2f} {late:8.2f}", flush=True)
        records.close()
    for work, found in medians.items():
        slope = np.polyfit(np.log(sizes), np.log(found), 1)[0] if len(sizes) > 1 else float("nan")
        print(f"{'exponent':>13} {work:30} {slope:10.2f}")


if __name__ == "__main__":
    main()
