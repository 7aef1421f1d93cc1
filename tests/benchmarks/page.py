"""One page of advice taken apart, and beside a bare Flask page that renders as much HTML.

Run ``python -m tests.benchmarks.page [rounds]``. Parse, solve, score, explain and render take turns with the whole
page; shares are of its median. Solve is the warming and the hours of every coat and filling, score the limits,
criteria, ranking and confidence, explain what would change the answer and all words, render the page around an advice
that is known. The bare page is a Jinja template in an application of its own, with one loop over rows of text until it
is as long. It is asked against the page of a new brief, all of which is worked out, and of one that was just shown.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any
from unittest.mock import patch
from urllib.parse import parse_qsl, urlsplit

from flask import Flask, render_template
from flask.testing import FlaskClient
from jinja2 import DictLoader

from tests.benchmarks.one_advice import BRIEFS, TODAY
from tests.benchmarks.rows import Row, asked, at_most, in_turn, late, show
from webapp import create_app
from webapp.advice.brief import Brief
from webapp.advice.service import Advisor
from webapp.advice.wording import write_advice
from webapp.config import Config
from webapp.decision.record import decide
from webapp.pages.brief_address import address_of, brief_of
from webapp.units import METRIC

GOAL = 5
BARE = """<!doctype html><html lang="en"><head><title>{{ title }}</title></head><body><table>
{% for row in rows %}<tr><td>{{ row.name }}</td><td>{{ row.words }}</td><td>{{ "%.1f"|format(row.number) }}</td></tr>
{% endfor %}</table></body></html>"""


def bare_page(length: int) -> FlaskClient:
    """Return a client of an application whose one page is as long."""
    app = Flask(__name__)
    app.jinja_loader = DictLoader({"bare.html": BARE})
    words = "It keeps its shape & colour for as long as the cake stands there."

    def page(count: int) -> str:
        rows = [{"name": f"Row {number}", "words": words, "number": number / 3} for number in range(count)]
        return render_template("bare.html", title="Bare", rows=rows)

    with app.test_request_context():
        one = (len(page(1100)) - len(page(100))) / 1000
        count = round((length - len(page(0))) / one)
    app.add_url_rule("/", view_func=partial(page, count), endpoint="page")
    return app.test_client()


def decision_arguments(advisor: Advisor, brief: Brief) -> tuple[Any, ...]:
    """Return what the decision on a brief is asked with."""
    with patch("webapp.advice.service.decide", wraps=decide) as watched:
        advisor.judge(brief, TODAY)
    return tuple(watched.call_args.args)


def stages(app: Flask, brief: Brief) -> dict[str, Callable[[], object]]:
    """Return each piece of work on one brief; some hold others, which are taken off afterwards."""
    advisor, client, address = Advisor(app.extensions["catalogue"]), app.test_client(), address_of(brief)
    pairs = parse_qsl(urlsplit(address).query, keep_blank_values=True)
    arguments, record = decision_arguments(advisor, brief), advisor.advise(brief, TODAY)
    forget = app.extensions["advisor"].forget
    bare = bare_page(len(client.get(address).data))

    def whole() -> object:
        forget()
        return client.get(address)

    return {
        "whole": whole,
        "kept": lambda: client.get(address),
        "bare": lambda: bare.get("/"),
        "parse": lambda: brief_of(pairs),
        "judge": lambda: advisor.judge(brief, TODAY),
        "score": lambda: decide(*arguments),
        "advise": lambda: advisor.advise(brief, TODAY),
        "words": lambda: write_advice(record, METRIC),
    }


def _parts(spent: dict[str, float]) -> dict[str, float]:
    return {
        "parse": spent["parse"],
        "solve": spent["judge"] - spent["score"],
        "score": spent["score"],
        "explain: what would change it": spent["advise"] - spent["judge"],
        "explain: words": spent["words"],
        "render and the rest": spent["whole"] - spent["advise"] - spent["words"] - spent["parse"],
    }


def of_brief(app: Flask, name: str, brief: Brief, rounds: int) -> Iterator[Row]:
    """Measure one brief."""
    works = stages(app, brief)
    times = dict(zip(works, in_turn(list(works.values()), rounds), strict=True))
    spent = {work: median(each) for work, each in times.items()}
    name = name.partition(",")[0]
    length = len(app.test_client().get(address_of(brief)).data)
    yield Row(name, "whole page, new brief", spent["whole"], late(times["whole"]), 1.0)
    for part, took in _parts(spent).items():
        yield Row(name, f"its share: {part}", took, None, took / spent["whole"])
    yield Row(name, f"bare Flask page of the same {length / 1000:.0f} kB", spent["bare"], late(times["bare"]), 1.0)
    for work, said in (
        ("whole", "whole page, new brief, to the bare one"),
        ("kept", "page just shown, to the bare one"),
    ):
        ratio = spent[work] / spent["bare"]
        yield Row(name, said, spent[work], late(times[work]), ratio, at_most(ratio, GOAL))


def rows(rounds: int = 30) -> Iterator[Row]:
    """Measure every brief."""
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Config(records_dir=Path(folder)))
        for name, fields in BRIEFS.items():
            yield from of_brief(app, name, Brief.model_validate(fields, strict=False), rounds)


def main() -> None:
    """Print the table."""
    show(rows(asked(1, 30)))


if __name__ == "__main__":
    main()
