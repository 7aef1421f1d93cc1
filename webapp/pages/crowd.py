"""Refuses pages while more wait than can be answered soon, so that those who wait are answered."""

from __future__ import annotations

from collections.abc import Callable

from flask import Flask, request
from werkzeug.exceptions import ServiceUnavailable

MOST_WAITING = 100  # requests, some seconds of work
RETRY_AFTER_S = 5


def refuse_crowds(app: Flask, waiting: Callable[[], int]) -> None:
    """Refuse to draw pages while more requests wait for a server's threads than ``MOST_WAITING``.

    What is sent by a form is always taken, as it could be lost, and so is what costs next to nothing.
    """

    def refuse() -> None:
        if request.method in ("GET", "HEAD") and request.endpoint != "static" and waiting() > MOST_WAITING:
            raise ServiceUnavailable(retry_after=RETRY_AFTER_S)

    app.before_request(refuse)
