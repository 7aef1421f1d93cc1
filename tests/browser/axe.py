"""What axe finds on a page: each rule of WCAG 2.2 AA or of good practice that it breaks."""

from __future__ import annotations

from typing import Any, Literal

from axe_playwright_python.base import AXE_SCRIPT  # type: ignore[import-untyped]
from playwright.sync_api import Page

from tests.browser.sizes import DESKTOP, OPEN_ALL, PHONE, resize

TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
# Colours do not depend on the width nor the layout on the scheme, so two views show every width and every scheme.
VIEWS: tuple[tuple[tuple[int, int], Literal["light", "dark"]], ...] = ((PHONE, "light"), (DESKTOP, "dark"))
# Axe reads some dozen colours of a page twenty thousand times, a third of all its time. A text is always the same
# colour, so each is read by axe itself once for a document; what it cannot read it refuses each time.
READ_A_COLOUR_ONCE = """() => {
  const { Color } = axe.commons.color;
  const read = Color.prototype.parseString;
  const known = new Map();
  Color.prototype.parseString = function (text) {
    if (!known.has(text)) {
      const { r, g, b, alpha } = read.call(new Color(), text);
      known.set(text, { r, g, b, alpha });
    }
    return Object.assign(this, known.get(text));
  };
}"""
# What was passed is left in the browser: to read it back takes a third of the time.
RUN = """async tags => {
  const options = { runOnly: { type: "tag", values: tags }, resultTypes: ["violations"] };
  const { violations, passes } = await axe.run(document, options);
  return { violations, passed: passes.length };
}"""


def bring_axe(page: Page) -> None:
    """Put axe into a document, once."""
    if not page.evaluate("typeof axe === 'object'"):
        page.evaluate(AXE_SCRIPT)
        page.evaluate(READ_A_COLOUR_ONCE)


def violations(page: Page) -> str:
    """Report every violation, with what is folded away unfolded: the rule, what helps, and each place."""
    page.wait_for_load_state()
    page.evaluate(OPEN_ALL)
    bring_axe(page)
    found = page.evaluate(RUN, list(TAGS))
    assert found["passed"], "axe looked at nothing"
    return "\n".join(map(_report, found["violations"]))


def violations_in_each_view(page: Page) -> str:
    """Report every violation on a phone in light and on a desktop in dark."""
    found = []
    for size, scheme in VIEWS:
        resize(page, size)
        page.emulate_media(color_scheme=scheme)
        if report := violations(page):
            found.append(f"{page.url} at {size[0]} px, {scheme}:\n{report}")
    return "\n".join(found)


def _report(violation: dict[str, Any]) -> str:
    """Write down one rule that is broken, and where."""
    lines = [f"{violation['id']}: {violation['help']} ({violation['helpUrl']})"]
    for node in violation["nodes"]:
        lines += [f"  {node['target']}: {node['html']}", *_indented(node.get("failureSummary") or "")]
    return "\n".join(lines)


def _indented(text: str) -> list[str]:
    return [f"    {line.strip()}" for line in text.splitlines()]
