"""The real advisor on a loopback port and a real browser in front of it, for the tests and the screenshots."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, Playwright
from werkzeug.serving import WSGIRequestHandler, make_server

from webapp import create_app
from webapp.config import Config

SYSTEM_BROWSERS = ("chromium", "chromium-browser", "google-chrome")
# The browser must speak to nothing but the server under test, not even for its own updates.
ARGUMENTS = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--no-first-run",
)


class _Quiet(WSGIRequestHandler):
    def log(self, type: str, message: str, *args: object) -> None:
        """Keep the access log out of the test report."""


@contextmanager
def running_advisor() -> Iterator[str]:
    """Serve the product with its real data; give its address."""
    server = make_server("127.0.0.1", 0, create_app(Config()), threaded=True, request_handler=_Quiet)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def launch(playwright: Playwright) -> Browser:
    """Start the system's Chromium, or the one that playwright has downloaded."""
    found = next(filter(None, map(shutil.which, SYSTEM_BROWSERS)), None)
    # Chromium refuses to run its sandbox as root, which is what a bare container gives.
    sandbox = ("--no-sandbox",) if os.geteuid() == 0 else ()
    return playwright.chromium.launch(executable_path=found, args=[*ARGUMENTS, *sandbox])
