"""What axe is asked bites, and says where.

Seen to fail: with either view left out, with nothing unfolded, without the rules of AA, with the first answer kept, and
with colours that are remembered without what shines through them.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Error, Page

from tests.browser.axe import bring_axe, violations, violations_in_each_view
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


COLOURS = {
    "rgb(170, 170, 170)": [170, 170, 170, 1],
    "rgba(0, 128, 255, 0.25)": [0, 128, 255, 0.25],
    "transparent": [0, 0, 0, 0],
    "color(srgb 0.2 0.4 0.6 / 0.5)": [51, 102, 153, 0.5],
}
READ = """texts => texts.map(text => {
  const { red, green, blue, alpha } = new axe.commons.color.Color(1, 2, 3, 0.4).parseString(text);
  return [red, green, blue, alpha];
})"""


def test_a_colour_that_is_remembered_is_the_one_that_was_read(blank: Page) -> None:
    bring_axe(blank)
    for _ in range(2):
        assert blank.evaluate(READ, list(COLOURS)) == [*COLOURS.values()]
    with pytest.raises(Error, match="Unable to parse color"):
        blank.evaluate(READ, ["no colour"])


def test_what_is_changed_on_a_page_is_looked_at_anew(reader: Reader) -> None:
    page = reader.read("/words")
    assert violations(page) == ""
    page.evaluate("document.querySelector('main').append(document.createElement('input'))")
    assert violations(page).startswith("label: ")
    page = reader.read("/sources")
    assert violations(page) == ""
