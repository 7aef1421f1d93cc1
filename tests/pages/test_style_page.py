from __future__ import annotations

import re

from tests.pages.page import PageClient
from webapp.config import ROOT
from webapp.pages.formatters import VERDICTS

COMPONENTS = ROOT / "templates" / "_components.html"


def test_every_component_is_shown(client: PageClient) -> None:
    shown = (ROOT / "templates" / "style.html").read_text() + (ROOT / "templates" / "base.html").read_text()
    macros = re.findall(r"{% macro (\w+)", COMPONENTS.read_text())
    assert macros
    for macro in macros:
        assert f"{{{{ {macro}(" in shown, macro
    assert client.get("/style").status == 200


def test_every_verdict_and_every_state_of_a_field_is_shown(client: PageClient) -> None:
    page = client.get("/style")
    classes = " ".join(element.get("class", "") for element in page.root.iter()).split()
    assert {f"verdict-{verdict}" for verdict in VERDICTS} <= set(classes)
    assert {"wrong", "error", "hint", "problems", "empty", "loading", "card"} <= set(classes)


def test_no_page_leads_to_it(client: PageClient) -> None:
    for address in ("/", "/families", "/sources", "/words", "/advice"):
        assert "/style" not in {link.get("href") for link in client.get(address).all("a")}
