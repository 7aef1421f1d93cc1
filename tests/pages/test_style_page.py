from __future__ import annotations

import re

from tests.pages.page import PageClient
from webapp.config import ROOT
from webapp.pages.formatters import VERDICTS
from webapp.pages.style_page import CAKES

COMPONENTS = ROOT / "templates" / "_components.html"


def test_every_component_is_shown(client: PageClient) -> None:
    shown = (ROOT / "templates" / "style.html").read_text() + (ROOT / "templates" / "base.html").read_text()
    macros = re.findall(r"{% macro (\w+)", COMPONENTS.read_text())
    assert macros
    for macro in macros:
        assert f"{{{{ {macro}(" in shown or f"{{% call {macro}(" in shown, macro
    assert client.get("/style").status == 200


def test_every_verdict_and_every_state_of_a_field_is_shown(client: PageClient) -> None:
    page = client.get("/style")
    classes = " ".join(element.get("class", "") for element in page.root.iter()).split()
    assert {f"verdict-{verdict}" for verdict in VERDICTS} <= set(classes)
    assert {"wrong", "error", "hint", "problems", "empty", "loading", "card"} <= set(classes)


def test_the_cut_away_is_shown_from_one_tier_to_six_and_in_every_look(client: PageClient) -> None:
    page = client.get("/style")
    classes = {element.get("class", "") for element in page.root.iter() if "cut-sponge" in element.get("class", "")}
    assert len([cake for cake in CAKES if len(cake.tiers) == 6]) == 1
    assert {len(cake.tiers) for cake in CAKES} >= {0, 1, 2, 3, 6}
    for colour in ("white", "pastel", "deep", "dark"):
        assert any(f"cut-{colour}" in look for look in classes), colour
    assert any("cut-open" in look for look in classes)
    assert {cake.piping for cake in CAKES} == {"none", "borders", "rosettes", "fine"}


def test_no_page_leads_to_it(client: PageClient) -> None:
    for address in ("/", "/families", "/sources", "/words", "/advice"):
        assert "/style" not in {link.get("href") for link in client.get(address).all("a")}
