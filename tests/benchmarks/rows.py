"""Rows of a benchmark: a name, the work, median and 95th percentile, and a ratio with the goal that it is held to."""

from __future__ import annotations

import math
import statistics
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

LAYOUT = "{:18} {:50} {:>10} {:>10} {:3} {:>9}  {}"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table; ``goal`` says what the ratio must be and whether it is."""

    name: str
    work: str
    median: float | None = None
    late: float | None = None
    ratio: float | None = None
    goal: str = ""
    unit: str = "ms"

    def __str__(self) -> str:
        """Write the line."""
        spent = (_short(self.median), _short(self.late))
        return LAYOUT.format(
            self.name, self.work, *spent, "" if self.median is None else self.unit, _short(self.ratio), self.goal
        ).rstrip()


def _short(number: float | None) -> str:
    if number is None:
        return ""
    return f"{number:,.0f}" if abs(number) >= 1000 else f"{number:.3g}"


def show(rows: Iterable[Row]) -> None:
    """Print rows as they come."""
    print(LAYOUT.format("name", "work", "median", "p95", "", "ratio", "goal"))
    for row in rows:
        print(row, flush=True)


def asked(position: int, usual: int) -> int:
    """Return a count from the command line."""
    return int(sys.argv[position]) if len(sys.argv) > position else usual


def at_least(ratio: float, goal: float) -> str:
    """Say whether a ratio reaches its goal."""
    return f"at least {goal:g}: {'holds' if ratio >= goal else 'MISSED'}"


def at_most(ratio: float, goal: float) -> str:
    """Say whether a ratio stays within its goal."""
    return f"at most {goal:g}: {'holds' if ratio <= goal else 'MISSED'}"


Clock = Callable[[], float]
# Of a process on one thread: other work on the machine stretches it little, and on a quiet one it is all that passes.
PROCESSOR: Clock = time.process_time
PASSED: Clock = time.perf_counter


def once(work: Callable[[], object], clock: Clock = PROCESSOR) -> float:
    """Return the time [ms] of one round."""
    begin = clock()
    work()
    return 1000 * (clock() - begin)


def measured(work: Callable[[], object], rounds: int, clock: Clock = PROCESSOR) -> list[float]:
    """Return the times [ms] of some rounds, after one that warms up."""
    work()
    return [once(work, clock) for _ in range(rounds)]


def in_turn(works: Sequence[Callable[[], object]], rounds: int, clock: Clock = PROCESSOR) -> list[list[float]]:
    """Return the times [ms] of works that take turns, so that whatever else the machine does meets all alike."""
    for work in works:
        work()
    spent = [[once(work, clock) for work in works] for _ in range(rounds)]
    return [list(each) for each in zip(*spent, strict=True)]


def late(spent: Sequence[float]) -> float:
    """Return the 95th percentile."""
    return sorted(spent)[math.ceil(0.95 * len(spent)) - 1]


def timed(work: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Return the median and the 95th percentile [ms] that passes over some rounds, after one that warms up."""
    spent = measured(work, rounds, PASSED)
    return statistics.median(spent), late(spent)


def exponent(sizes: Sequence[float], medians: Sequence[float]) -> float:
    """Return the slope of log(median) on log(size) by least squares: 1 where cost grows with the size."""
    if len(sizes) < 2:
        return float("nan")
    return float(np.polyfit(np.log(sizes), np.log(medians), 1)[0])
