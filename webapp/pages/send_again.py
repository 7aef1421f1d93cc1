"""A form that was not taken is shown with all that was typed, to be sent again: nothing is lost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from flask import Response, make_response, render_template, request

from webapp.pages.csrf import FIELD

Reason = Literal["logged-out", "old-form", "storage"]


@dataclass(frozen=True, slots=True)
class AgainText:
    title: str
    told: str


TEXTS: dict[Reason, AgainText] = {
    "logged-out": AgainText(
        "You are logged out", "Nothing was saved yet. Log in in a new tab, come back here and send it again."
    ),
    "old-form": AgainText(
        "This form was open for too long",
        "Nothing was saved yet. If it was you who sent it just now, send it again.",
    ),
    "storage": AgainText("The records cannot be used", "Nothing was saved."),
}
NEVER_SHOWN = ("password", "current", FIELD)


def send_again(reason: Reason, status: int, told: str = "") -> Response:
    """Answer with what was typed; a password is the one thing to be typed anew."""
    fields = [pair for pair in request.form.items(multi=True) if pair[0] not in NEVER_SHOWN]
    has_secret = any(name in request.form for name in NEVER_SHOWN if name != FIELD)
    text = TEXTS[reason]
    page = render_template(
        "send_again.html",
        title=text.title,
        told=told or text.told,
        is_logged_out=reason == "logged-out",
        fields=[] if has_secret else fields,
        can_send=not has_secret,
        address=request.full_path.rstrip("?"),
    )
    return make_response(page, status)
