"""A slow line between the server and the browser, on which a test that looks at a page too soon nearly always fails.

``SLOW_LINE=pages``, ``styles`` or ``scripts`` before ``pytest tests/browser`` lets that arrive late (several with
commas between, though what one of them makes fail another may hide). On a quick line the same test fails once in some
hundred runs, when the browser happens to be busy.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from flask import Flask
from werkzeug.wrappers import Request

# Far above what a test takes from one step to the next (some 10 ms), so that it does take one in between.
LATE_S = 0.4

Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


def slow_down(app: Flask) -> None:
    """Answer late what the environment's ``SLOW_LINE`` names."""
    if late := set(filter(None, os.environ.get("SLOW_LINE", "").split(","))):
        if unknown := late - {"pages", "styles", "scripts"}:
            raise ValueError(f"SLOW_LINE is {', '.join(sorted(unknown))}; pages, styles and scripts can be late")
        app.wsgi_app = _slow(app.wsgi_app, late)  # type: ignore[assignment, method-assign]


def _slow(serve: Application, late: set[str]) -> Application:
    def answer_late(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        path = Request(environ).path
        if (path.endswith(".css") and "styles" in late) or (path.endswith(".js") and "scripts" in late):
            time.sleep(LATE_S)
        answer = serve(environ, start_response)
        return answer if path.startswith("/static") or "pages" not in late else _in_halves(answer)

    return answer_late


def _in_halves(answer: Iterable[bytes]) -> Iterator[bytes]:
    try:
        whole = b"".join(answer)
    finally:
        if close := getattr(answer, "close", None):
            close()
    middle = len(whole) // 2
    yield whole[:middle]
    time.sleep(LATE_S)
    yield whole[middle:]
