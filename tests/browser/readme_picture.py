"""The picture in the README, taken anew: ``python -m tests.browser.readme_picture``."""

from __future__ import annotations

from playwright.sync_api import sync_playwright

from tests.browser.live import launch, running_advisor
from tests.browser.states import STATES
from webapp.config import ROOT

PICTURE = ROOT / "static" / "screenshots" / "advice.png"
WIDTH, HEIGHT = 1440, 900


def main() -> None:
    """Shoot the top of the garden wedding's advice."""
    PICTURE.parent.mkdir(exist_ok=True)
    with running_advisor() as server, sync_playwright() as playwright:
        browser = launch(playwright)
        page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT}, color_scheme="light")
        page.goto(server + STATES["holds"])
        page.screenshot(path=PICTURE)
        browser.close()


if __name__ == "__main__":
    main()
