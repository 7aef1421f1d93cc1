"""A form that was not taken is shown with all that was typed, to be sent again: nothing is lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from flask import Response, g, make_response, render_template, request
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.wrappers import Response as AnyResponse

from webapp.pages.csrf import FIELD
from webapp.pages.problem_texts import Shown
from webapp.records.errors import StorageError

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
SECRETS = {"current": "Current password", "password": "Password"}
NEVER_SHOWN = (*SECRETS, FIELD)


def send_again(reason: Reason, status: int, told: str = "") -> Response:
    """Answer with what was typed; a password is the one thing to be typed anew."""
    typed, has_file = _sent()
    text = TEXTS[reason]
    page = render_template(
        "send_again.html",
        title=text.title,
        told=told or text.told,
        is_logged_out=reason == "logged-out",
        fields=[pair for pair in typed.items(multi=True) if pair[0] not in NEVER_SHOWN],
        secrets={name: label for name, label in SECRETS.items() if name in typed},
        has_file=has_file,
        address=request.full_path.rstrip("?"),
    )
    return make_response(page, status)


def _sent() -> tuple[MultiDict[str, str], bool]:
    """Return what was typed, and whether a file came with it."""
    try:
        return request.form, bool(request.files)
    except RequestEntityTooLarge:
        return MultiDict(), True  # only a file is that large, and it is not read for whoever may not send it


def filled_by(fill: Callable[[Shown], AnyResponse]) -> None:
    """Name what draws this request's own form with all that was typed, should the records take nothing."""
    g.filled_by = fill


def not_kept(fault: StorageError) -> AnyResponse:
    """Answer a form whose records failed: its own page, filled, or where that cannot be drawn either, the plain one."""
    fill: Callable[[Shown], AnyResponse] | None = g.pop("filled_by", None)
    try:
        if fill is not None:
            return fill(Shown("records", "main", fault.advice))
    except StorageError:
        pass  # the page itself needs records that cannot be read
    return send_again("storage", 503, fault.advice)
