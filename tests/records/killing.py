"""Kill a saving program at random moments and look for what it lost.

Run ``python -m tests.records.killing [kills] [seed]``; all kills hit the same file.
"""

from __future__ import annotations

import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from tests.records.saving import Acknowledged, heard, save_on, start
from webapp.records.opening import open_records
from webapp.records.storage import FILE_NAME

LONGEST_S = 0.4  # from the first moment at which the program could save


def kill_while_saving(folder: Path, kills: int, seed: int) -> tuple[int, list[str]]:
    """Return how many changes were acknowledged, and every loss that was found."""
    chance, acknowledged, losses = random.Random(seed), dict[str, Acknowledged](), list[str]()
    count = 0
    for number in range(kills):
        said = _kill_one(folder, chance, seed + number)
        count += len(said)
        acknowledged.update((change.id, change) for change in said)
        losses += _losses(folder, said)
    return count, losses + _losses(folder, acknowledged.values())


def _kill_one(folder: Path, chance: random.Random, seed: int) -> list[Acknowledged]:
    process, connection = start(save_on, folder, seed)
    try:
        assert connection.recv() == "open"
        time.sleep(chance.uniform(0, LONGEST_S))
    finally:
        process.kill()
        process.join()
    with connection:
        return heard(connection)


def _losses(folder: Path, said: Iterable[Acknowledged]) -> list[str]:
    with closing(sqlite3.connect(folder / FILE_NAME)) as link:
        checks = [*link.execute("PRAGMA integrity_check"), *link.execute("PRAGMA foreign_key_check")]
    losses = [] if checks == [("ok",)] else [f"damaged: {checks[:3]}"]
    records = open_records(folder)
    kept = {row.id: row for row in records.consultations.list(size=1_000_000).rows}
    for change in {change.id: change for change in said}.values():
        row = kept.get(change.id)
        # The change under way at the kill may have been kept: one revision more than was acknowledged.
        if row is None or not change.revision <= row.revision <= change.revision + 1:
            losses.append(f"lost: {change}")
        elif row.revision == change.revision and not _is_whole(records.consultations.get(row.id), change):
            losses.append(f"changed: {change}")
    records.close()
    return losses


def _is_whole(kept: object, change: Acknowledged) -> bool:
    course = kept.advised.advice["course"]  # type: ignore[attr-defined]
    return (kept.client, len(course)) == (change.client, change.length)  # type: ignore[attr-defined]


def main() -> None:
    """Print what was found."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory() as folder:
        begin = time.perf_counter()
        count, losses = kill_while_saving(Path(folder), kills, seed)
        size = (Path(folder) / FILE_NAME).stat().st_size / 1e6
    print(f"{kills} kills, {count} changes acknowledged, {size:.0f} MB, {time.perf_counter() - begin:.0f} s")
    print("\n".join(losses) or "nothing lost; every integrity check passed")
    sys.exit(bool(losses))


if __name__ == "__main__":
    main()
