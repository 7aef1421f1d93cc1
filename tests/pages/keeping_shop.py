"""A shop on this machine whose advice is made up, and the forms that are sent to it."""

from __future__ import annotations

import re
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.pages.page import Page, check_page
from tests.pages.visiting import hidden_field

BRIEF = "setting=shade&air_high_c=31&hold_hours=3&tiers-0-width_cm=30&piping=rosettes"
NAMES = {"client": "Zoë Müller", "event": "Garden wedding", "event_date": "2027-06-26"}


def send(browser: FlaskClient, address: str, fields: dict[str, Any] | None = None) -> TestResponse:
    """Send a form with the hidden field that this browser was handed out."""
    hidden = hidden_field(browser, "/consultations/new?" + BRIEF)
    return browser.post(address, data={**hidden, **(fields or {})})


def keep(browser: FlaskClient, **changed: str) -> str:
    """Keep the advice; give the id."""
    response = send(browser, "/consultations", {"brief": BRIEF, **NAMES, **changed})
    assert response.status_code == 303, response.get_data(as_text=True)
    found = re.fullmatch(r"/consultations/([0-9a-f]{32})\?done=kept", response.location)
    assert found
    return found[1]


def shown(response: TestResponse) -> Page:
    page = Page(response)
    check_page(page)
    return page


def as_sent_by(page: Page, action: str) -> dict[str, str]:
    """Read the hidden fields of the form that goes to an address."""
    form = next(form for form in page.all("form") if form.get("action") == action and form.get("method") == "post")
    return {field.get("name", ""): field.get("value", "") for field in form.iter("input")}
