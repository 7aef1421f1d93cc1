"""No page in any state breaks a rule of WCAG 2.2 AA or of good practice that axe can see.

Seen to fail: with ``--soft`` of the style sheet set to #b9aca0 (contrast), and with the ``<label>`` of the form's
entries turned into ``<b>`` (fields without a label).
"""

from __future__ import annotations

from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Page

from tests.browser.conftest import DESKTOP, PHONE, Reader
from tests.browser.states import REFUSALS, STATES

pytestmark = pytest.mark.browser

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OPTIONS = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
# Colours do not depend on the width nor the layout on the scheme, so two views show every width and every scheme.
VIEWS: tuple[tuple[tuple[int, int], Literal["light", "dark"]], ...] = ((PHONE, "light"), (DESKTOP, "dark"))
OPEN_ALL = "document.querySelectorAll('details').forEach(details => details.open = true)"


def violations(page: Page) -> str:
    """Report every violation, with what is folded away unfolded."""
    page.evaluate(OPEN_ALL)
    results = Axe().run(page, options=OPTIONS)
    return results.generate_report() if results.violations_count else ""


@pytest.mark.parametrize("state", STATES)
def test_axe_finds_nothing(reader: Reader, state: str) -> None:
    page = reader.read(STATES[state], refusal=REFUSALS.get(state, 0))
    for (width, height), scheme in VIEWS:
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == "", f"{state} at {width} px, {scheme}"
