from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Page,
    Request,
    Response,
    expect,
    sync_playwright,
)

from tests.browser.live import launch, running_advisor
from tests.browser.sizes import DESKTOP, Size, resize

# How long anything may take says more of what else the machine does than of the page; benchmarks are programs.
PATIENCE_MS = 30_000
expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    with running_advisor() as address:
        yield address


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = launch(playwright)
        yield browser
        browser.close()


@dataclass
class Visitor:
    """Opens pages, and notes whatever no reader should meet: errors, and requests to anywhere else.

    ``log_in`` is a file of what a browser knows after a log-in, for a visitor who begins with it.
    """

    browser: Browser
    server: str
    log_in: Path | None = None
    troubles: list[str] = field(default_factory=list)
    contexts: list[BrowserContext] = field(default_factory=list)

    def open(
        self,
        address: str = "/",
        size: Size = DESKTOP,
        scripts: bool = True,
        scheme: str = "light",
        refusal: int = 0,
    ) -> Page:
        """Open an address in a fresh browser; ``refusal`` is the one error status that this walk may meet."""
        page = self._new_page(size, scripts, scheme, lambda: refusal)
        page.goto(address)
        return page

    def _new_page(self, size: Size, scripts: bool, scheme: str, refusal: Callable[[], int]) -> Page:
        context = self.browser.new_context(
            base_url=self.server,
            viewport={"width": size[0], "height": size[1]},
            java_script_enabled=scripts,
            color_scheme=scheme,  # type: ignore[arg-type]
            reduced_motion="reduce",
            storage_state=self.log_in,
        )
        context.set_default_timeout(PATIENCE_MS)
        context.on("request", self._is_ours)
        context.on("response", lambda response: self._is_well(response, refusal()))
        context.on("console", lambda message: self._is_quiet(message, refusal()))
        context.on("weberror", lambda error: self.troubles.append(f"page error: {error.error}"))
        self.contexts.append(context)
        return context.new_page()

    def _is_ours(self, request: Request) -> None:
        if not request.url.startswith(f"{self.server}/"):
            self.troubles.append(f"request to {request.url}")

    def _is_well(self, response: Response, refusal: int) -> None:
        if response.status >= 400 and response.status != refusal:
            self.troubles.append(f"{response.status} at {response.url}")

    def _is_quiet(self, message: ConsoleMessage, refusal: int) -> None:
        # Chromium also writes the status of a refused page to the console.
        is_refusal = bool(refusal) and f"a status of {refusal}" in message.text
        if message.type in ("error", "warning") and not is_refusal:
            self.troubles.append(f"console: {message.text}")


@dataclass
class Reader(Visitor):
    """Reads one address after another in one window, which knows nothing of those before: for what only looks."""

    refusal: int = 0
    window: Page | None = None

    def read(self, address: str, size: Size = DESKTOP, refusal: int = 0) -> Page:
        """Open an address where the one before was, in light and on a screen; ``refusal`` as for ``open``."""
        self.refusal = refusal
        if self.window is None:
            self.window = self._new_page(size, True, "light", lambda: self.refusal)
        else:
            self.window.evaluate("sessionStorage.clear()")
            self.window.context.clear_cookies()
            self.window.emulate_media(media="null", color_scheme="light")
            resize(self.window, size)
        self.window.goto(address)
        return self.window


@pytest.fixture(scope="session")
def one_window(chromium: Browser, server: str) -> Iterator[Reader]:
    reader = Reader(chromium, server)
    yield reader
    for context in reader.contexts:
        context.close()


@pytest.fixture
def reader(one_window: Reader) -> Iterator[Reader]:
    one_window.troubles.clear()
    yield one_window
    assert one_window.troubles == []


@pytest.fixture
def visitor(chromium: Browser, server: str) -> Iterator[Visitor]:
    visitor = Visitor(chromium, server)
    yield visitor
    for context in visitor.contexts:
        context.close()
    assert visitor.troubles == []
