"""What the map of 48 by 48 cells costs, warm, and one brief with all its draws, beside one plain scenario.

Run ``python -m tests.benchmarks.heat_map [rounds]``. A plain scenario is the same cake under every family's coat
with each range at its value: one draw instead of 400. "All 400 draws" is the whole decision on the brief, with every
coat's hold and the confidence. Every row is measured in the same run.
"""

from __future__ import annotations

import datetime as dt
import json
import sys
import time
from collections.abc import Callable
from functools import partial
from unittest.mock import patch

from tests.benchmarks.rows import timed
from webapp.advice.brief import Brief, read_brief
from webapp.advice.heat import warm_cake
from webapp.advice.heat_map import heat_map
from webapp.advice.service import Advisor
from webapp.catalogue.loader import load_catalogue
from webapp.config import Config
from webapp.pages.pictures.heat_map import draw_heat_map
from webapp.thermal.uncertainty import Draws
from webapp.units import METRIC

TODAY = dt.date(2026, 6, 1)
BRIEFS = {
    "one tier in the shade": {"setting": "shade", "air_high_c": 31, "hold_hours": 3},
    "one tier in the sun": {"setting": "sun", "air_high_c": 27, "hold_hours": 3, "piping": "rosettes"},
    "three tiers, 45 min drive": {
        "setting": "shade",
        "air_high_c": 31,
        "hold_hours": 3,
        "travel_minutes": 45,
        "tiers": [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}],
    },
}


def plain_scenario(brief: Brief, advisor: Advisor) -> object:
    """Warm the same cake once, with everything that has a range at its value."""
    with patch("webapp.advice.heat.heat_draws", lambda *_: Draws.none()):
        return warm_cake(brief, advisor.catalogue, advisor.seed, TODAY)


def processor_ms(work: Callable[[], object]) -> float:
    """Return the least processor time [ms] of three rounds, which other work on the machine hardly stretches."""
    spent = []
    for _ in range(3):
        begin = time.process_time()
        work()
        spent.append(1000 * (time.process_time() - begin))
    return min(spent)


def main() -> None:
    """Print the table; ratios are to the plain scenario of the same brief."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    advisor = Advisor(load_catalogue(Config().data_dir))
    print(f"{'brief':26} {'work':30} {'median ms':>10} {'p95 ms':>8} {'CPU ms':>8} {'ratio':>7}")
    for name, fields in BRIEFS.items():
        brief = read_brief(json.dumps(fields))
        known = heat_map(advisor, brief, TODAY)
        assert known is not None
        rows: dict[str, Callable[[], object]] = {
            "one plain scenario": partial(plain_scenario, brief, advisor),
            "all 400 draws": partial(advisor.judge, brief, TODAY),
            "map, 48 x 48": partial(heat_map, advisor, brief, TODAY),
            "its picture": partial(draw_heat_map, known, METRIC),
        }
        plain = 0.0
        for work, run in rows.items():
            median, late = timed(run, rounds)
            plain = plain or median
            spent = processor_ms(run)
            print(f"{name:26} {work:30} {median:10.1f} {late:8.1f} {spent:8.1f} {median / plain:7.1f}")


if __name__ == "__main__":
    main()
