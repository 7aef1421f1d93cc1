"""Forms as a browser sends them: with the hidden field that a page of ours has handed out."""

from __future__ import annotations

import re
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from webapp.pages.csrf import FIELD

_HIDDEN = re.compile(rf'name="{FIELD}" value="([0-9a-f]+)"')


def hidden_field(browser: FlaskClient, page: str = "/accounts") -> dict[str, str]:
    """Fetch a page with a form, and give its hidden field."""
    found = _HIDDEN.search(browser.get(page).get_data(as_text=True))
    assert found, f"{page} has no form of ours"
    return {FIELD: found[1]}


def send(
    browser: FlaskClient, address: str, fields: dict[str, Any] | None = None, page: str = "/accounts"
) -> TestResponse:
    """Send a form with the hidden field of a page that this browser may open."""
    return browser.post(address, data={**hidden_field(browser, page), **(fields or {})})
