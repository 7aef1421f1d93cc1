"""Windows of several sizes, and what is wider than they are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from playwright.sync_api import Page

Size = tuple[int, int]

NARROWEST: Size = (320, 640)  # WCAG 2.2, 1.4.10
PHONE: Size = (390, 844)
TABLET: Size = (820, 1180)
DESKTOP: Size = (1440, 900)
# A size and whether scripts run: each of either is there, and the main job is walked through in all four.
READERS: dict[str, tuple[Size, bool]] = {"phone, scripts": (PHONE, True), "desktop, no scripts": (DESKTOP, False)}
TEXT_PX = 16  # what browsers start from
TWICE_THE_TEXT_PX = 2 * TEXT_PX  # WCAG 2.2, 1.4.4
OPEN_ALL = "document.querySelectorAll('details').forEach(details => details.open = true)"


def resize(page: Page, size: Size) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})


def overflow_px(page: Page) -> int:
    """Return by how much a page is wider than its window [px], once all of it is there."""
    page.wait_for_load_state()  # asked for its width, a browser lays out a page whose style has not come yet
    width: int = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return width


def too_narrow(page: Page, sizes: Iterable[Size]) -> list[str]:
    """Say in which windows something leaves the page sideways, folded as it is and with everything unfolded.

    A phone's page begins folded: load it for the narrowest of them.
    """
    found = []
    each = list(sizes)
    for how in ("as it is", "unfolded"):
        for size in each:
            resize(page, size)
            if (px := overflow_px(page)) > 0:
                found.append(f"{page.url} at {size[0]} px, {how}: {px} px")
        page.evaluate(OPEN_ALL)
    return found


def text_px(page: Page) -> float:
    size: float = page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)")
    return size


@contextmanager
def text_of(page: Page, size_px: int) -> Iterator[None]:
    """Let a reader who has set text of another size read a page."""
    settings = page.context.new_cdp_session(page)
    settings.send("Page.setFontSizes", {"fontSizes": {"standard": size_px}})
    try:
        yield
    finally:
        settings.send("Page.setFontSizes", {"fontSizes": {"standard": TEXT_PX}})
        settings.detach()
