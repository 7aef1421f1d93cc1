"""What is shown when somebody else changed a consultation meanwhile: both sides, and every way on."""

from __future__ import annotations

from dataclasses import dataclass

from flask import make_response, render_template
from werkzeug.wrappers import Response

from webapp.pages.brief_address import Pair
from webapp.pages.kept_advice import Change
from webapp.records.errors import StaleRevision


@dataclass(frozen=True, slots=True)
class Attempt:
    """What was to be saved: the address and fields to send again, and those that make another consultation of it."""

    address: str
    fields: list[Pair]
    action: str
    copied: list[Pair]


def stale_page(stale: StaleRevision, rows: list[Change], again: Attempt) -> Response:
    """Show mine beside what is kept now; nothing of either is lost."""
    page = render_template("stale.html", theirs=stale.theirs, rows=rows, again=again)
    return make_response(page, 409)
