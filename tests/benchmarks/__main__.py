"""All benchmarks, one table: ``python -m tests.benchmarks [seconds of each load] [gunicorn]``.

Takes about half an hour on two cores with loads of two minutes, which is what they last unless told; a quarter of an
hour more where there is a gunicorn, on the path or as told. What follows a field in a browser (``follow``), the map
(``heat_map``) and lists of records (``records``) have tables of their own.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator

from tests.benchmarks import cake, growth, hosted, load, matrices, page, startup
from tests.benchmarks.rows import Row, asked, show


def rows(seconds: int, gunicorn: str | None) -> Iterator[Row]:
    """Run one program after the other."""
    yield from matrices.rows(10_000, 150)
    yield from cake.rows(1000, 10)
    yield from page.rows(15)
    yield from startup.rows(5, 10_000)
    yield from growth.rows(100_000)
    yield from hosted.rows(5)
    yield from load.rows(seconds, gunicorn)


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 120), sys.argv[2] if len(sys.argv) > 2 else shutil.which("gunicorn")))


if __name__ == "__main__":
    main()
