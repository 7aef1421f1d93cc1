"""All benchmarks with modest counts, one table: ``python -m tests.benchmarks [seconds of each load]``.

Takes about a quarter of an hour on two cores. Each program takes larger counts on its own; what follows a field in a
browser (``follow``), the map (``heat_map``) and lists of records (``records``) have tables of their own.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.benchmarks import cake, growth, hosted, load, matrices, page, startup
from tests.benchmarks.rows import Row, asked, show


def rows(seconds: int) -> Iterator[Row]:
    """Run one program after the other."""
    yield from matrices.rows(10_000, 150)
    yield from cake.rows(1000, 10)
    yield from page.rows(15)
    yield from startup.rows(5, 3000)
    yield from growth.rows(20_000)
    yield from hosted.rows(5)
    yield from load.rows(seconds, clients=200)


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 20)))


if __name__ == "__main__":
    main()
