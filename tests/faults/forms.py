"""Send every form and every address with fields missing, doubled, broken and absurd.

Run ``python -m tests.faults.forms [count] [seed]``. Every route of the shop is walked, as its owner, with the real
advice. An answer may refuse; it may not be a fault of ours, take more than ``MOST_CPU_S`` of the processor, or lose
what was typed into the fields that were left alone.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.routing import Rule
from werkzeug.test import TestResponse

from tests.faults.fields import FORM, Fields, encoded, fillings, spoilt, written
from tests.pages.open_shop import OWNER, STAFF, account_id, new_token, open_shop, visitor
from tests.pages.visiting import hidden_field
from webapp.pages.shop import records_of
from webapp.records.errors import NoSuchRecord
from webapp.records.model import new_id

MOST_CPU_S = 5.0
_PLACEHOLDER = re.compile(r"<(?:.*?:)?(\w+)>")
STRANGE_PATHS = ("..", "%00", "a" * 3000, "%ED%A0%80", "%E2%80%AE", "-1", "0", " ", "{{7*7}}", "%2e%2e", "%F0%9F%8E%82")
OF_OTHER_UNITS = {"units", "weather_f", "weather_f_mph", "air_high_f", "tiers-0-width_in"}


@dataclass
class Seen:
    """What one route met."""

    route: str
    statuses: Counter[int] = field(default_factory=Counter)
    slowest_s: float = 0.0
    failures: list[str] = field(default_factory=list)


class Walk:
    """Walks all routes of one shop; opens it anew when it was logged out of or emptied."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder, self.chance = folder, random.Random(seed)
        self.shops = 0
        self._open()

    def _open(self) -> None:
        if self.shops:
            records_of(self.app).close()
        self.shops += 1
        catalogue = self.app.extensions["catalogue"] if self.shops > 1 else None
        self.app: Flask = open_shop(self.folder / str(self.shops), catalogue)
        self.app.extensions["advisor"] = self.app.extensions["shop advice"]
        self.browser: FlaskClient = visitor(self.app, OWNER)
        self.hidden = hidden_field(self.browser)

    def routes(self) -> list[tuple[Rule, str]]:
        """List every route with every method that it takes."""
        rules = sorted(self.app.url_map.iter_rules(), key=lambda rule: rule.rule)
        return [(rule, method) for rule in rules for method in ("GET", "POST") if method in (rule.methods or ())]

    def run(self, count: int) -> Iterator[Seen]:
        """Try each route as often as comes to its share of ``count``."""
        routes = self.routes()
        for rule, method in routes:
            seen = Seen(f"{method} {rule.rule}")
            for _ in range(max(1, round(count / len(routes)))):
                self._try(rule, method, seen)
            yield seen

    def _try(self, rule: Rule, method: str, seen: Seen) -> None:
        filling = self.chance.choice(fillings(method, rule.rule))
        sound = [*filling, *(self.hidden.items() if method == "POST" else ())]
        fields, changed = spoilt(self.chance, sound)
        address = self._address(rule)
        self.browser.delete_cookie("units", domain="cakes.example")  # what was switched before says nothing of this one
        body, kind = encoded(self.chance, fields) if method == "POST" else (written(fields), FORM)
        begin = time.process_time()
        response = self._send(method, address, body, kind)
        taken = time.process_time() - begin
        seen.statuses[response.status_code] += 1
        seen.slowest_s = max(seen.slowest_s, taken)
        asked = sound if kind == FORM else []
        seen.failures += [f"{each}: {address} {str(fields)[:400]}" for each in _faults(response, asked, changed, taken)]
        response.close()
        self._mend(response)

    def _send(self, method: str, address: str, body: bytes, kind: str) -> TestResponse:
        if method == "GET":
            return self.browser.get(address, query_string=body.decode("latin-1"))
        return self.browser.post(address, data=body, content_type=kind)

    def _address(self, rule: Rule) -> str:
        return _PLACEHOLDER.sub(lambda found: self._value(found[1], rule), rule.rule)

    def _value(self, name: str, rule: Rule) -> str:
        if self.chance.random() < 0.1 and name not in ("kind", "mark"):
            return self.chance.choice(STRANGE_PATHS)
        kept = self._consultation()
        if name == "id" and rule.rule.startswith("/accounts"):
            return account_id(self.app, STAFF)
        if name == "id" and rule.rule.startswith("/drafts"):
            return self._draft()
        choices = {
            "family_id": ("swiss", "french", "none"),
            "kind": ("csv", "xlsx"),
            "mark": ("archive", "unarchive", "delete", "restore"),
            "filename": ("style.css", "follow.js", "../app.py"),
            "note": (new_id(),),
            "link": (new_id(),),
        }
        if name == "token":
            return new_token(self.app, kept)
        return self.chance.choice(choices[name]) if name in choices else kept

    def _consultation(self) -> str:
        id_: str = self.app.extensions["consultation_id"]
        kept = records_of(self.app).consultations
        try:
            kept.get(id_)
        except NoSuchRecord:
            self._open()
            return self._consultation()
        return id_

    def _draft(self) -> str:
        id_, owner = new_id(), account_id(self.app, OWNER)
        records_of(self.app).drafts.keep(id_, {"pairs": [["air_high_c", "31"]], "revision": 1}, owner, None)
        return id_

    def _mend(self, response: TestResponse) -> None:
        names = {account.name for account in records_of(self.app).accounts.list()}
        if response.status_code in (401, 429) or not {OWNER, STAFF} <= names or not self._is_in():
            self._open()

    def _is_in(self) -> bool:
        return self.browser.get("/password").status_code == 200


def _faults(response: TestResponse, sound: Fields, changed: set[str], taken: float) -> Iterator[str]:
    if response.status_code >= 500:
        yield f"answer {response.status_code}"
    if taken > MOST_CPU_S:
        yield f"took {taken:.1f} s"
    if response.mimetype == "text/html" and response.status_code in (200, 422):
        yield from _faults_of_page(response, sound, changed)


def _faults_of_page(response: TestResponse, sound: Fields, changed: set[str]) -> Iterator[str]:
    try:
        parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
        root: Element = parser.parse(response.get_data(as_text=True))
    except (html5lib.html5parser.ParseError, UnicodeDecodeError) as error:
        yield f"no valid page: {type(error).__name__} {error}"
        return
    if response.status_code == 422 and not OF_OTHER_UNITS & changed:
        shown = {name: {_plain(text) for text in texts} for name, texts in _controls(root).items()}
        for name, value in sound:
            if isinstance(name, str) and isinstance(value, str) and name in shown and name not in changed:
                # A line for which an ingredient was chosen has that behind it.
                if value and not any(text.startswith(_plain(value)) for text in shown[name]):
                    yield f"{name} was {value!r} and is not filled in any more"


def _plain(text: str) -> str:
    return " ".join(text.split())


def _controls(root: Element) -> dict[str, list[str]]:
    """Collect what stands in the fields that are typed into; a password is never shown again."""
    found: dict[str, list[str]] = {}
    for each in root.iter():
        name, kind = each.get("name"), each.get("type", "text")
        if name and (each.tag == "textarea" or (each.tag == "input" and kind in ("text", "date", "time", "number"))):
            found.setdefault(name, []).append(each.text or "" if each.tag == "textarea" else each.get("value", ""))
    return found


def main() -> None:
    """Print what each route met, and every fault."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 12_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    print(f"{'route':72}{'sent':>7}{'slowest s':>11}{'faults':>8}  answers")
    failures, total = list[str](), 0
    with tempfile.TemporaryDirectory() as folder:
        for seen in Walk(Path(folder), seed).run(count):
            sent = sum(seen.statuses.values())
            told = ", ".join(f"{status}: {number}" for status, number in sorted(seen.statuses.items()))
            row = f"{seen.route[:71]:72}{sent:7}{seen.slowest_s:11.2f}{len(seen.failures):8}  {told}"
            print(row, flush=True)
            failures += [f"{seen.route}: {failure}" for failure in seen.failures]
            total += sent
    print(f"{total} sent, {len(failures)} faults; at most {MOST_CPU_S:g} s of processor each")
    print("\n".join(failures[:60]).encode("ascii", "backslashreplace").decode())
    sys.exit(bool(failures))


if __name__ == "__main__":
    main()
