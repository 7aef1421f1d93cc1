"""Screenshots of every page and state: ``python -m tests.browser.screens [folder]``."""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.browser.live import launch, running_advisor
from tests.browser.states import STATES

WIDTHS = (320, 390, 820, 1180, 1440)
SCHEMES = ("light", "dark")
TALL = {320: 640, 390: 844}


def shoot(browser: Browser, server: str, folder: Path) -> None:
    """Write one picture for each page, state, width and colour scheme."""
    folder.mkdir(parents=True, exist_ok=True)
    for scheme in SCHEMES:
        page = browser.new_page(color_scheme=scheme)  # type: ignore[arg-type]
        for name, address in STATES.items():
            for width in WIDTHS:
                page.set_viewport_size({"width": width, "height": TALL.get(width, 900)})
                page.goto(server + address, wait_until="networkidle")  # anew: a phone's page begins folded
                page.screenshot(path=folder / f"{name}-{width}-{scheme}.png", full_page=True)
        page.close()


def main() -> None:
    """Shoot into the folder that was named, or into ``.screens``."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else ".screens")
    with running_advisor() as server, sync_playwright() as playwright:
        browser = launch(playwright)
        shoot(browser, server, folder)
        browser.close()


if __name__ == "__main__":
    main()
