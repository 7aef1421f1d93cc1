"""What axe is asked bites, and says where.

Seen to fail: with either view left out, with nothing unfolded, without the rules of AA, and with the first answer kept.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.axe import violations, violations_in_each_view
from tests.browser.conftest import Reader

pytestmark = pytest.mark.browser

GOOD = """<!doctype html><html lang="en"><title>Cake</title><main><h1>Cake</h1>{}</main></html>"""
PALE = '<p style="color: #aaa; background: #fff">pale</p>'
NAMELESS = "<input>"
FOLDED = f"<details><summary>More</summary>{NAMELESS}</details>"
DARK = """<style>@media (prefers-color-scheme: dark) { p { color: #444; background: #222 } }</style><p>unseen</p>"""
NARROW = "<style>@media (min-width: 800px) { input { display: none } }</style><input>"


@pytest.fixture
def blank(chromium: Browser) -> Iterator[Page]:
    """Give a page of no server: ours forbid the styles that make it faulty."""
    page = chromium.new_page()
    yield page
    page.close()


def test_a_page_without_fault_has_no_report(blank: Page) -> None:
    blank.set_content(GOOD.format("<p>Buttercream</p>"))
    assert violations_in_each_view(blank) == ""


@pytest.mark.parametrize(
    ("fault", "rule", "place"),
    [(PALE, "color-contrast", "pale</p>"), (NAMELESS, "label", "['input']"), (FOLDED, "label", "['input']")],
    ids=["pale", "nameless", "folded away"],
)
def test_a_fault_is_named_with_its_place(blank: Page, fault: str, rule: str, place: str) -> None:
    blank.set_content(GOOD.format(fault))
    report = violations(blank)
    assert report.startswith(f"{rule}: ")
    assert place in report


@pytest.mark.parametrize(
    ("fault", "view"), [(DARK, "1440 px, dark"), (NARROW, "390 px, light")], ids=["only in dark", "only on a phone"]
)
def test_each_view_is_looked_at(blank: Page, fault: str, view: str) -> None:
    blank.set_content(GOOD.format(fault))
    report = violations_in_each_view(blank)
    assert f"at {view}" in report
    assert report.count(" px, ") == 1


def test_what_is_changed_on_a_page_is_looked_at_anew(reader: Reader) -> None:
    page = reader.read("/words")
    assert violations(page) == ""
    page.evaluate("document.querySelector('main').append(document.createElement('input'))")
    assert violations(page).startswith("label: ")
    page = reader.read("/sources")
    assert violations(page) == ""
