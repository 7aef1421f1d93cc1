"""No computed number without its range: the advice on very different briefs is read number by number.

A temperature, a time or an amount of sugar that stands in the text must be part of a range (``28 to 32 °C``,
``10 min (5 to 15 min)``), open at the end of what is computed (``12 h or more``), or stand in words that say that it
was not computed: asked for in the brief, a rule of law, a change to try with its chance. Chances, counts and times of
day are not looked at, nor are sections that hold only what was given and rules.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from typing import Any
from xml.etree.ElementTree import Element

import pytest
from flask import Flask

from tests.pages.page import Page
from webapp import create_app
from webapp.advice.brief import read_brief
from webapp.config import Config
from webapp.pages.brief_address import address_of

TIERS = [{"width_cm": 30}, {"width_cm": 22}, {"width_cm": 15}]
OWN = {
    "name": "House",
    "family": "swiss",
    "egg_treatment": "heated-71c",
    "lines": ["150 g egg white", "300 g granulated sugar", "450 g unsalted butter"],
}
BRIEFS: dict[str, dict[str, Any]] = {
    "a room": {"setting": "indoors"},
    "a garden wedding": {
        "setting": "shade",
        "air_high_c": 31,
        "hold_hours": 3,
        "tiers": TIERS,
        "piping": "borders",
        "travel_minutes": 40,
    },
    "dark in the noon sun": {"setting": "sun", "air_high_c": 37, "colour": "dark", "start": "12:00", "hold_hours": 2},
    "vegan": {"diet": ["vegan"], "air_high_c": 24},
    "cupcakes": {"tiers": [], "cupcakes": 24, "setting": "tent", "air_high_c": 27},
    "chilled in damp air": {"setting": "shade", "air_high_c": 30, "start_c": 4, "hold_hours": 2.5, "humidity_pct": 75},
    "fine piping without boards": {
        "setting": "tent",
        "air_high_c": 29,
        "start_c": 20,
        "hold_hours": 4,
        "piping": "fine",
        "tiers": TIERS,
        "supported": False,
    },
    "an own formula": {"own_formulas": [OWN], "setting": "tent", "air_high_c": 26},
    "less sweet, all day": {"sweetness": 1, "air_high_c": 20, "hold_hours": 6},
    "cut at once": {"setting": "shade", "air_high_c": 33, "hold_hours": 0, "travel_minutes": 90, "travel_c": 30},
    "in doubt without eggs": {"diet": ["egg-free", "soy-free"], "setting": "shade", "air_high_c": 29, "hold_hours": 4},
    "nothing fits": {"diet": ["vegan", "soy-free", "coconut-free"]},
}

TIME = r"(?:\d+ h(?: \d+ min)?|\d+ min)"
NUMBER = rf"(?:−?\d+ °[CF]|{TIME}|\d+ g of sugar)"
SPREAD = rf"(?:{NUMBER}|−?\d+) to (?:more than )?{NUMBER}(?: or more)?"
RANGED = re.compile(
    rf"{NUMBER}(?: or more)? \((?:{SPREAD}|\d+ to \d+)\)|{SPREAD}|12 h or more(?:, perhaps only {NUMBER})?"
    r"|45 °C or more|113 °F or more"
)
HOLDS = "(?:still |more likely |nearly always |hardly ever )?holds"
# What was not computed, by the words around it; each needs none.
NOT_COMPUTED = (
    rf"(?:[Yy]ou need|it must last|[Yy]ou ask for|you plan|Needed|has to last,) {NUMBER}|for the {NUMBER} you need",
    rf"rule for homes(?: is)?:? {NUMBER}(?:, as it is above {NUMBER})?|home food rule {NUMBER}",
    rf"(?:in the shade|in a tent|in full sun) at up to {NUMBER}|indoors at {NUMBER}",
    rf"{NUMBER} at the warmest, {NUMBER} on display",
    rf"Up from {NUMBER}",
    rf"{NUMBER} hotter(?: than given)?(?= (?:it|the coat) (?:{HOLDS}|may not hold|is a toss-up)| \d| under)",
    rf"{NUMBER} hotter(?: than given)?(?= over|, (?:cut|served))",
    # The low end of a hold, said as such beside its chance; its range stands with the part.
    rf"in 10 keep their look …; the others may lose it after as little as {NUMBER}",
    rf"Nine cakes in ten would hold if cut within {NUMBER}",
)
ACTION = re.compile(r"(?:With this: |^Try this|, and a coat (?:nearly always holds|holds about \d))")
GIVEN_SECTIONS = {"food-safety", "handling-title", "assumed-title"}
BLOCKS = {"p", "li", "td", "dd", "text", "desc", "h1", "h2"}


@pytest.fixture(scope="module")
def real_app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    return create_app(Config(records_dir=tmp_path_factory.mktemp("ranges")))


@pytest.fixture(scope="module")
def advice_on(real_app: Flask) -> Callable[[str, str], Element]:
    def shown(name: str, units: str) -> Element:
        browser = real_app.test_client()
        browser.set_cookie("units", units, domain="localhost")
        response = browser.get(address_of(read_brief(json.dumps(BRIEFS[name]))))
        assert response.status_code == 200
        return Page(response).by_id("advice")

    return shown


def blocks(element: Element) -> Iterator[str]:
    """Every piece of text by itself, a term with its description, without the sections of what is given."""
    if {element.get("id"), element.get("aria-labelledby")} & GIVEN_SECTIONS:
        return
    if element.tag == "img":
        yield plain(element.get("alt", ""))
    if element.tag == "table":
        yield from cells(element)
    elif is_pair(element) or is_block(element):
        yield plain(" ".join(element.itertext()))
    else:
        for child in element:
            yield from blocks(child)


def is_block(element: Element) -> bool:
    """Whether it holds text and no smaller block; drawings have a namespace of their own."""
    names = [child.tag.rpartition("}")[2] for child in element.iter()]
    return names[0] in BLOCKS and BLOCKS.isdisjoint(names[1:])


def is_pair(element: Element) -> bool:
    return element.tag == "div" and [child.tag for child in element] == ["dt", "dd"]


def cells(table: Element) -> Iterator[str]:
    """The cells of a table but those of what was given: the air, and the first row, in which the cake leaves."""
    names = [plain(" ".join(head.itertext())) for head in table.findall("./thead/tr/th")]
    rows = table.findall("./tbody/tr")
    for row in rows[1:] if "Air, as given" in names else rows:
        for name, cell in zip(names, row, strict=True):
            if cell.tag == "td" and name != "Air, as given":
                yield plain(" ".join(cell.itertext()))


def plain(text: str) -> str:
    return " ".join(text.split())


def bare_numbers(text: str) -> list[str]:
    """The numbers of a text that have no range and that no words say to be given."""
    if ACTION.search(text):
        return []
    for pattern in NOT_COMPUTED:
        text = re.sub(pattern, "…", text)
    return re.findall(NUMBER, RANGED.sub("…", text))


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", BRIEFS)
def test_every_computed_number_of_the_advice_has_its_range(
    advice_on: Callable[[str, str], Element], name: str, units: str
) -> None:
    said = list(blocks(advice_on(name, units)))
    bare = {text: numbers for text in said if (numbers := bare_numbers(text))}
    assert not bare
    assert name == "nothing fits" or sum(bool(RANGED.search(text)) for text in said) > 10


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ("The coat reaches 29 °C and loses its look only at about 33 °C.", ["29 °C", "33 °C"]),
        ("The coat reaches 28 to 32 °C and loses its look only at 30 to 36 °C.", []),
        ("coat up to 29 °C", ["29 °C"]),
        ("about 55 min to make one of each", ["55 min"]),
        ("It holds 2 h 30 min (1 h to 4 h); you need 3 h.", []),
        ("sweeter by about 8 g of sugar in 100 g", ["8 g of sugar"]),
        ("filling margin, 3 °C (−2 to 6 °C)", []),
        ("It can get 2 °C hotter before that is in doubt.", ["2 °C"]),
        ("3 °C hotter than given it holds about 6 times in 10", []),
    ],
)
def test_a_number_without_its_range_is_found(text: str, bare: list[str]) -> None:
    assert bare_numbers(text) == bare
