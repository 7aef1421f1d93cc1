"""What a killed, starved or disowned program does: it saves, and says what was acknowledged.

Run in processes of their own (``forkserver``: one import for all), which end by a kill or by an error.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import resource
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from typing import Any

from tests.records.samples import content
from webapp.records.errors import RecordsError
from webapp.records.opening import Records, open_records

NOBODY = 65534


@dataclass(frozen=True)
class Acknowledged:
    """One change that the records said they hold."""

    id: str
    revision: int
    client: str
    length: int


def start(target: Callable[..., None], *arguments: Any) -> tuple[ForkServerProcess, Connection]:
    """Start a process; what it says comes out of the connection."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__])
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=target, args=(theirs, *arguments), daemon=True)
    process.start()
    theirs.close()
    return process, ours


def heard(connection: Connection) -> list[Any]:
    """All that was said until the process ended; a last word that was cut off was not said."""
    said = []
    try:
        while True:
            said.append(connection.recv())
    except (EOFError, OSError):
        return said


def save_on(to: Connection, folder: Path, seed: int) -> None:
    """Add and change consultations until killed."""
    records, chance = open_records(folder), random.Random(seed)
    to.send("open")
    known: list[Acknowledged] = []
    while True:
        known.append(_save_one(records, chance, known))
        to.send(known[-1])


def save_until_refused(to: Connection, folder: Path, most_bytes: int | None) -> None:
    """Add consultations until an error says why no more can be; then list what is there."""
    records, chance = open_records(folder), random.Random(1)
    if most_bytes is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, resource.RLIM_INFINITY))
    try:
        while True:
            to.send(_save_one(records, chance, []))
    except RecordsError as error:
        to.send((type(error).__name__, str(error)))
    to.send(records.consultations.list().total)
    if most_bytes is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        to.send(_save_one(records, chance, []))


def open_without_rights(to: Connection, folder: Path) -> None:
    """Save, lose the right to write, and try again; then start anew."""
    if os.geteuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    records = open_records(folder)
    kept = records.consultations.add(content())
    records.close()
    for path in folder.iterdir():
        path.chmod(0o444 if path.is_file() else 0o555)
    for attempt in (lambda: records.consultations.save(kept.id, content("Changed"), 1), lambda: open_records(folder)):
        try:
            attempt()
        except RecordsError as error:
            to.send((type(error).__name__, str(error)))
    to.send(records.consultations.get(kept.id).client)


def _save_one(records: Records, chance: random.Random, known: list[Acknowledged]) -> Acknowledged:
    advice = {"verdict": "holds", "course": "x" * chance.randrange(60_000)}
    fields = content(f"client {chance.random()}", advice=advice)
    if known and chance.random() < 0.4:
        old = chance.choice(known)
        kept = records.consultations.save(old.id, fields, records.consultations.get(old.id).revision)
    else:
        kept = records.consultations.add(fields)
    return Acknowledged(kept.id, kept.revision, kept.client, len(advice["course"]))
