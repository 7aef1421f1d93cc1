"""How long the advice takes to follow one field of the brief, in a real browser against the server as it is started.

Run ``python -m tests.benchmarks.follow [changes]``. Measured in the page: from the input event to the advice that
stands in its document, the wait between keys included. The server's share is the time from the request to the first
byte of its answer. No value comes twice, so nothing is answered from memory; the goal is a median of 200 ms.
"""

from __future__ import annotations

import os
import socket
import statistics
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Page, sync_playwright

from tests.browser.live import launch
from tests.browser.states import GARDEN
from webapp.config import ROOT

GOAL_MS = 200
BRIEFS = {"garden wedding, 3 tiers": GARDEN, "one tier indoors": "setting=indoors&air_high_c=21&hold_hours=3"}
PAUSE_MS = 1200  # a person looks at the answer; the picture of before is drawn anew meanwhile
WATCH = """() => {
  window.spent = [];
  let begun = 0;
  document.getElementById("brief").addEventListener("input", () => { begun = performance.now(); }, true);
  new MutationObserver((changes) => {
    const isNew = (node) => node.id === "advice";
    if (!changes.some((change) => [...change.addedNodes].some(isNew))) return;
    const asked = performance.getEntriesByType("resource").filter((e) => e.initiatorType === "fetch").at(-1);
    window.spent.push([performance.now() - begun, asked.responseStart - asked.requestStart]);
  }).observe(document.querySelector(".beside"), { childList: true });
}"""


@contextmanager
def started_advisor() -> Iterator[str]:
    """Start the product on a free port as its users do; stop it afterwards."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command, environment = [sys.executable, "-m", "webapp"], os.environ | {"ADVISOR_PORT": str(port)}
    server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL)
    try:
        address = f"http://127.0.0.1:{port}"
        _wait_for(address)
        yield address
    finally:
        server.terminate()
        server.wait()


def _wait_for(address: str, patience_s: float = 30) -> None:
    until = time.monotonic() + patience_s
    while True:
        try:
            urllib.request.urlopen(address).close()
            return
        except urllib.error.URLError:
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


def follow(page: Page, changes: int) -> list[tuple[float, float]]:
    """Change the warmest air so many times; return each whole time and the server's part of it [ms]."""
    page.evaluate(WATCH)
    warmest = page.locator("#air_high_c")
    for change in range(changes):
        warmest.fill(f"{20 + 0.37 * change:.2f}")
        while page.evaluate("window.spent.length") <= change:
            page.wait_for_timeout(20)
        page.wait_for_timeout(PAUSE_MS)
    spent: list[tuple[float, float]] = page.evaluate("window.spent")
    return spent


def main() -> None:
    """Print the table."""
    changes = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    print(f"{'brief':26} {'median ms':>10} {'p95 ms':>8} {'server ms':>10} {'share':>6}  goal {GOAL_MS} ms")
    with started_advisor() as server, sync_playwright() as playwright:
        browser = launch(playwright)
        for name, query in BRIEFS.items():
            page = browser.new_page(viewport={"width": 1180, "height": 820})
            page.goto(f"{server}/advice?{query}")
            whole, served = zip(*follow(page, changes), strict=True)
            median, late = statistics.median(whole), sorted(whole)[int(0.95 * (len(whole) - 1))]
            share = sum(served) / sum(whole)
            print(f"{name:26} {median:10.0f} {late:8.0f} {statistics.median(served):10.0f} {share:6.0%}", end="  ")
            print("reached" if median <= GOAL_MS else "missed")
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
