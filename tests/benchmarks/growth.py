"""What the work costs as it grows: tiers, draws, formulations, consultations; the exponent of each is printed.

Run ``python -m tests.benchmarks.growth [most consultations]``. The exponent is the slope of log(median) on log(size),
fitted by least squares: 1 for a cost that grows with the size. Draws are those of the whole decision; formulations
beyond ours are made by program, each with a little more sugar than the last. A decision ranks every pairing of a coat
and a filling, the square of the formulations, and knows of each what the range of each fact does to it; so it is
measured up to what that table needs in memory, and what it would need for the most is computed and told.
"""

from __future__ import annotations

import json
import random
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from pathlib import Path
from statistics import median
from unittest.mock import patch

from tests.benchmarks.one_advice import TODAY
from tests.benchmarks.records import SIZES, grow, works
from tests.benchmarks.rows import PASSED, Row, asked, at_most, exponent, late, measured, show
from webapp.advice.brief import Brief, read_brief
from webapp.advice.heat import warm_cake
from webapp.advice.service import Advisor
from webapp.advice.softness import FAT_DRAWS
from webapp.catalogue.loader import load_catalogue
from webapp.catalogue.model import Formulation
from webapp.config import Config
from webapp.records.opening import open_records

GOAL = 1.1
TIERS = (1, 2, 4, 6, 8, 10)
DRAWS = (104, 400, 1000, 4000, 10_000)
FORMULATIONS = (15, 60, 250, 1000)
WHOLE_UP_TO = 150  # formulations of a whole decision: the tables of more would not fit beside other work
GARDEN = {"setting": "shade", "air_high_c": 31, "hold_hours": 3}
SHADE = read_brief(json.dumps(GARDEN))
LISTS = ("list, latest first", "list by client", "search, two words by client", "search, nothing is found")


def fitted(
    name: str, sizes: Sequence[int], work: Callable[[int], Callable[[], object]], rounds: int, why: str = ""
) -> Iterator[Row]:
    """Measure a work at every size, and fit how it grows."""
    medians = []
    for size in sizes:
        spent = measured(work(size), rounds)
        medians.append(median(spent))
        yield Row("growth", f"{size:,} {name}", medians[-1], late(spent))
    yield _fit(name, sizes, medians, why)


def _fit(name: str, sizes: Sequence[int], medians: Sequence[float], why: str = "") -> Row:
    slope = exponent(sizes, medians)
    goal = at_most(slope, GOAL) + (f" ({why})" if why and slope > GOAL else "")
    return Row("growth", f"exponent of {name}", None, None, slope, goal)


def tiered(count: int) -> Brief:
    """Return a brief of so many tiers, each of its own width."""
    return read_brief(json.dumps({**GARDEN, "tiers": [{"width_cm": 60 - 5 * place} for place in range(count)]}))


def with_draws(advisor: Advisor, count: int) -> Callable[[], object]:
    """Return a whole decision over so many draws."""
    courses = count // FAT_DRAWS

    def judge() -> object:
        with ExitStack() as stack:
            for module in ("softness", "heat"):
                stack.enter_context(patch(f"webapp.advice.{module}.HEAT_DRAWS", courses))
            return Advisor(advisor.catalogue, advisor.seed).judge(SHADE, TODAY)

    return judge


def made(advisor: Advisor, count: int) -> Advisor:
    """Return an advisor that knows so many formulations."""
    ours = list(advisor.catalogue.formulations.values())
    more = tuple(_sweeter(ours[number % len(ours)], number) for number in range(max(0, count - len(ours))))
    return advisor.knowing(more)


def _sweeter(base: Formulation, number: int) -> Formulation:
    lines = tuple(
        replace(line, grams=line.grams * (1 + 0.0002 * (number + 1))) if "sugar" in line.ingredient.id else line
        for line in base.lines
    )
    return replace(base, id=f"made-{number}", name=f"Made {number}", lines=lines)


def holds(advisor: Advisor, count: int) -> Callable[[], object]:
    """Return the hours of so many formulations as the coat of one warmed cake."""
    known = made(advisor, count)
    every, heat = list(known.catalogue.formulations.values())[:count], warm_cake(SHADE, advisor.catalogue, 0, TODAY)
    return lambda: known.coat_holds(heat, every)


def table_gb(advisor: Advisor, count: int) -> float:
    """Return what the table of ranges of a decision on so many formulations takes [GB], from one on fewer."""
    choice = made(advisor, 30).judge(SHADE, TODAY)[2].choice
    assert choice is not None
    pairings, facts = choice.matrix.spreads().change.shape
    per_formulation = facts / pairings**0.5
    return float(count**2 * (per_formulation * count) * 8 / 1e9)


def decisions(advisor: Advisor) -> Iterator[Row]:
    """Measure whole decisions on more and more formulations, as far as they go."""
    sizes = (16, 40, 75, WHOLE_UP_TO)
    why = "n formulations make n x n pairings, each with the range of each of about n facts"

    def judge(count: int) -> Callable[[], object]:
        return partial(made(advisor, count).judge, SHADE, TODAY)

    yield from fitted("formulations, whole decision", sizes, judge, 3, why)
    most = FORMULATIONS[-1]
    work = f"{most:,} formulations, whole decision: not run, its table"
    yield Row("growth", work, table_gb(advisor, most), unit="GB", goal="computed")


def consultations(most: int, rounds: int = 15) -> Iterator[Row]:
    """List and search as consultations grow in number; the time that passes, the disk included."""
    sizes = [size for size in SIZES if size <= most]
    medians: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        records, chance = open_records(Path(folder)), random.Random(1)
        for size in sizes:
            grow(records, size, chance)
            every = works(records)
            for work in LISTS:
                spent = measured(every[work], rounds, PASSED)
                medians.setdefault(work, []).append(median(spent))
                yield Row("growth", f"{size:,} consultations, {work}", medians[work][-1], late(spent))
        records.close()
    for work, found in medians.items():
        yield _fit(f"consultations, {work}", sizes, found)


def rows(most: int = 100_000) -> Iterator[Row]:
    """Measure everything that grows."""
    advisor = Advisor(load_catalogue(Config().data_dir))
    yield from fitted("tiers, whole decision", TIERS, lambda n: partial(advisor.judge, tiered(n), TODAY), 7)
    yield from fitted("tiers, whole advice", TIERS, lambda n: partial(advisor.advise, tiered(n), TODAY), 3)
    yield from fitted("draws, whole decision", DRAWS, partial(with_draws, advisor), 3)
    yield from fitted("formulations, hours as a coat", FORMULATIONS, partial(holds, advisor), 3)
    yield from decisions(advisor)
    yield from consultations(most)


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 100_000)))


if __name__ == "__main__":
    main()
