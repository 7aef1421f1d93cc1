"""The Flask application, with a log that names no client and a start that is refused while others could walk in."""

from __future__ import annotations

import traceback
from typing import Any

from flask import Flask, request

from webapp.errors import AdvisorError
from webapp.pages.shop import current_config, records_of


class StartRefused(AdvisorError):
    """Others could reach the advisor, and something that keeps strangers out is missing."""


class GuardedApp(Flask):
    """Logs a fault by its place in the code and by its route."""

    def log_exception(self, exc_info: Any) -> None:
        """Note a fault without what was typed: messages, addresses and links can hold clients' names and secrets."""
        kind, error, _ = exc_info
        places = "".join(_places(error)) if error is not None else ""
        route = request.url_rule.rule if request.url_rule else "no route"
        self.logger.error("%s at %s [%s]\n%s", getattr(kind, "__name__", kind), route, request.method, places)


def _places(error: BaseException) -> list[str]:
    cause = error.__cause__ or error.__context__
    before = [*_places(cause), "which led to:\n"] if cause is not None else []
    return [*before, *traceback.format_tb(error.__traceback__), f"{type(error).__qualname__}\n"]


def refuse_unready(app: Flask) -> None:
    """Refuse to start where others could walk in: without a key, an address or anyone who may log in."""
    with app.app_context():
        config = current_config()
    if not config.needs_accounts:
        return
    if config.secret is None:
        raise StartRefused(
            "Others can reach this address, so log-ins must be signed: set ADVISOR_SECRET to 32 characters or more"
            " at random, as from: python -c 'import secrets; print(secrets.token_urlsafe(32))'"
        )
    if config.outside is None:
        raise StartRefused("Set ADVISOR_ADDRESS to what browsers open, as https://cakes.example")
    if records_of(app).accounts.count() == 0:
        raise StartRefused("There is no account yet. Make the first owner: python -m webapp add-owner NAME")
