"""The real advisor on a loopback port and a real browser in front of it, for the tests and the screenshots."""

from __future__ import annotations

import os
import secrets
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from flask import Flask
from playwright.sync_api import Browser, Playwright
from werkzeug.serving import WSGIRequestHandler, make_server

from tests.browser.slow_line import slow_down
from webapp import create_app
from webapp.config import Config
from webapp.records.opening import open_records

# The first draws no window, and so is done in two thirds of the time.
SYSTEM_BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
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
    """Serve the product with its real data and records of its own; give its address."""
    with TemporaryDirectory() as folder, _served(lambda _: create_app(Config(records_dir=Path(folder)))) as address:
        yield address


@contextmanager
def running_shop(owner: str, password: str) -> Iterator[str]:
    """Serve it as a shop that others can reach, with one owner."""
    with TemporaryDirectory() as folder:
        records = open_records(Path(folder))
        records.accounts.add(owner, password, "owner")
        records.close()

        def shop_at(address: str) -> Flask:
            return create_app(Config(records_dir=Path(folder), address=address, secret=secrets.token_hex(32)))

        with _served(shop_at) as address:
            yield address


@contextmanager
def _served(app_at: Callable[[str], Flask]) -> Iterator[str]:
    # The port is taken first: a shop must know under which address it is reached.
    server = make_server("127.0.0.1", 0, Flask("not yet"), threaded=True, request_handler=_Quiet)
    address = f"http://127.0.0.1:{server.server_port}"
    app = app_at(address)
    slow_down(app)
    server.app = app
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield address
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
