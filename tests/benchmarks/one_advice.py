"""What one advice costs, warm, and which share of it is the solver and which the page.

Run ``python -m tests.benchmarks.one_advice [rounds]``. Every row is measured in the same run; shares are of the
whole page's median.
"""

from __future__ import annotations

import datetime as dt
import json
import sys
from collections.abc import Callable
from functools import partial

from flask import Flask
from flask.testing import FlaskClient

from tests.benchmarks.rows import timed
from webapp import create_app
from webapp.advice.brief import Brief, read_brief
from webapp.advice.heat import warm_cake
from webapp.advice.service import Advisor
from webapp.advice.wording import write_advice
from webapp.pages.brief_address import address_of
from webapp.units import METRIC

BRIEFS = {
    "one tier indoors": {"setting": "indoors", "air_high_c": 21, "hold_hours": 3},
    "garden wedding, 3 tiers": {
        "setting": "shade",
        "air_high_c": 31,
        "hold_hours": 3,
        "tiers": [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}],
    },
    "noon sun, nothing holds": {
        "setting": "sun",
        "air_high_c": 37,
        "hold_hours": 5,
        "start": "12:00",
        "colour": "deep",
    },
}
TODAY = dt.date(2026, 6, 1)


def whole_page(app: Flask, client: FlaskClient, address: str) -> object:
    """Ask for a page as if for the first time: one that was just shown is kept, and a new brief is what counts here."""
    app.extensions["advisor"].forget()
    return client.get(address)


def whole_advice(advisor: Advisor, brief: Brief) -> object:
    """Give the advice without a page around it."""
    return write_advice(advisor.advise(brief, TODAY), METRIC)


def main() -> None:
    """Print the table."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    app = create_app()
    advisor = Advisor(app.extensions["catalogue"])
    client = app.test_client()
    every = list(advisor.catalogue.formulations.values())
    print(f"{'brief':26} {'work':22} {'median ms':>10} {'p95 ms':>8} {'share':>6}")
    for name, fields in BRIEFS.items():
        text = json.dumps(fields)
        brief = read_brief(text)
        record = advisor.advise(brief, TODAY)
        heat = warm_cake(brief, advisor.catalogue, advisor.seed, TODAY)
        page = address_of(brief)
        assert client.get(page).status_code == 200
        rows: dict[str, Callable[[], object]] = {
            "whole page": partial(whole_page, app, client, page),
            "advice, no page": partial(whole_advice, advisor, brief),
            "ranked pairings": partial(advisor.judge, brief, TODAY),
            "read the brief": partial(read_brief, text),
            "solver": partial(warm_cake, brief, advisor.catalogue, advisor.seed, TODAY),
            "hours from courses": partial(advisor.coat_holds, heat, every),
            "words": partial(write_advice, record, METRIC),
        }
        medians = {}
        for work, run in rows.items():
            medians[work], late = timed(run, rounds)
            share = medians[work] / medians["whole page"]
            print(f"{name:26} {work:22} {medians[work]:10.1f} {late:8.1f} {share:6.0%}")
        drawn = medians["whole page"] - medians["advice, no page"]
        print(f"{name:26} {'page around it':22} {drawn:10.1f} {'':8} {drawn / medians['whole page']:6.0%}")


if __name__ == "__main__":
    main()
