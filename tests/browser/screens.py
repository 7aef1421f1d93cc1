"""Screenshots of every page and state, and its paper: ``python -m tests.browser.screens [folder [name ...]]``.

Names (or parts of them) choose pages; ``--light`` leaves out the dark ones, ``--us`` shows US measures.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.live import launch, running_advisor, running_shop
from tests.browser.scenes import OWNER, PASSWORD, Scene, keep_all, kept_scenes, shop_scenes
from tests.browser.states import STATES

WIDTHS = (320, 390, 820, 1180, 1440)
SCHEMES = ("light", "dark")
SHEETS = ("A4", "Letter")
TALL = {320: 640, 390: 844}
# What a later scene stands on is played, whoever is to be seen.
NEEDED = ("archived", "unarchived", "deleted-undo", "restored", "logged-in")


@dataclass(frozen=True, slots=True)
class Camera:
    """Where the pictures go, and of what they are taken."""

    folder: Path
    wanted: tuple[str, ...] = ()
    schemes: tuple[str, ...] = SCHEMES
    units: str = "metric"

    def sees(self, name: str) -> bool:
        return not self.wanted or any(part in name for part in self.wanted)

    def shoot(self, page: Page, name: str, scheme: str, go: Callable[[], object]) -> None:
        """Take one picture for each width; in light also print to each size of paper."""
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": TALL.get(width, 900)})
            go()
            page.screenshot(path=self.folder / f"{name}-{width}-{scheme}.png", full_page=True)
        for sheet in SHEETS if scheme == "light" else ():
            page.pdf(path=self.folder / f"{name}-{sheet}.pdf", format=sheet)

    def addresses(self, page: Page, server: str, scheme: str) -> None:
        for name, address in STATES.items():
            if self.sees(name):
                # Anew for each width: a phone's page begins folded.
                self.shoot(page, name, scheme, lambda to=server + address: page.goto(to, wait_until="networkidle"))

    def scenes(self, page: Page, scenes: Mapping[str, Scene], scheme: str) -> None:
        for name, scene in scenes.items():
            if self.sees(name) or name in NEEDED:
                scene(page)
            if self.sees(name):
                self.shoot(page, name, scheme, lambda: page.wait_for_load_state("networkidle"))

    def page(self, browser: Browser, server: str, scheme: str) -> Page:
        context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]
        context.add_cookies([{"name": "units", "value": self.units, "url": server}])
        return context.new_page()


def at_home(camera: Camera, browser: Browser) -> None:
    """Shoot the pages of a machine of one's own, before anything is kept and after."""
    with running_advisor() as server:
        for scheme in camera.schemes:
            camera.addresses(camera.page(browser, server, scheme), server, scheme)
        kept = keep_all(camera.page(browser, server, "light"), server)
        for scheme in camera.schemes:
            camera.scenes(camera.page(browser, server, scheme), kept_scenes(server, kept), scheme)


def at_a_shop(camera: Camera, browser: Browser) -> None:
    """Shoot the pages of a shop with accounts."""
    with running_shop(OWNER, PASSWORD) as server:
        for scheme in camera.schemes:
            camera.scenes(camera.page(browser, server, scheme), shop_scenes(server), scheme)


def camera_of(arguments: list[str]) -> Camera:
    folder, *wanted = [each for each in arguments if not each.startswith("--")] or [".screens"]
    schemes = SCHEMES[:1] if "--light" in arguments else SCHEMES
    return Camera(Path(folder), tuple(wanted), schemes, "us" if "--us" in arguments else "metric")


def main() -> None:
    """Shoot into the folder that was named, or into ``.screens``; ``--help`` only says how."""
    if "--help" in sys.argv[1:]:
        print(__doc__)
        return
    camera = camera_of(sys.argv[1:])
    camera.folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = launch(playwright)
        at_home(camera, browser)
        at_a_shop(camera, browser)
        browser.close()


if __name__ == "__main__":
    main()
