"""Who may use a route. Each states it; one that states nothing is refused, at the start and when it is asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

from flask import Flask, abort, current_app, g, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from webapp.errors import AdvisorError
from webapp.pages import csrf
from webapp.pages.link_tokens import unsigned
from webapp.pages.send_again import send_again
from webapp.pages.session import current_visitor
from webapp.pages.shop import current_records, own_origin
from webapp.records.errors import NoSuchRecord
from webapp.records.model import Consultation

Whom = Literal["anyone", "staff", "owner", "link"]
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_STATED = "__may__"

View = TypeVar("View", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Stated:
    """What a route states of itself."""

    whom: Whom
    changes: bool
    largest: int | None


class UnguardedRoutes(AdvisorError):
    """Routes that do not state who may use them: a fault of the program, found before it serves."""


def may(whom: Whom, *, changes: bool = True, largest: int | None = None) -> Callable[[View], View]:
    """State who may use a view; stands between the route and the view.

    Parameters
    ----------
    whom : {"anyone", "staff", "owner", "link"}
        ``anyone`` needs no log-in, ``staff`` are all who have an account, ``link`` is whoever holds a link that opens:
        its route has a ``token``, and the view finds what it opens by :func:`linked`.
    changes : bool
        False for a view that is posted to and yet changes nothing kept: it then needs no hidden field.
    largest : int
        What a body may hold, where that is more than usual; only for whoever may use the view [bytes].
    """

    def state(view: View) -> View:
        setattr(view, _STATED, Stated(whom, changes, largest))
        return view

    return state


def stated(view: Callable[..., Any]) -> Stated | None:
    found: Stated | None = getattr(view, _STATED, None)
    return found


def linked() -> Consultation:
    """Return the consultation that the link of this request opens."""
    consultation: Consultation = g.linked
    return consultation


def check_routes(app: Flask) -> None:
    """Refuse an application with a route that states nothing, or a link's route without its token."""
    found = [(rule, stated(app.view_functions[rule.endpoint])) for rule in app.url_map.iter_rules()]
    bad = [rule.rule for rule, what in found if what is None or _lacks_token(what, rule.arguments)]
    if bad:
        raise UnguardedRoutes(f"who may use them is not stated: {', '.join(sorted(bad))}")


def _lacks_token(what: Stated, arguments: set[str]) -> bool:
    return what.whom == "link" and "token" not in arguments


def _refuse_foreign_pages() -> None:
    # A browser says from where it was sent here, and no page can make it say otherwise.
    is_foreign = request.headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none")
    if request.method in SAFE:
        if is_foreign and not _is_opened():
            abort(403, "fetched by another site")
        return
    origin = request.headers.get("Origin")
    if is_foreign or (origin is not None and origin.lower() != own_origin()):
        abort(403, "sent from another site")


def _is_opened() -> bool:
    # Another site may lead to a page. One that loads it unseen would learn by the time it takes what is kept here.
    headers = request.headers
    return (headers.get("Sec-Fetch-Mode"), headers.get("Sec-Fetch-Dest")) == ("navigate", "document")


def _let_in() -> AnyResponse | None:
    if request.endpoint is None:
        return None  # there is no such page, and the answer says so
    what = stated(current_app.view_functions[request.endpoint])
    if what is None:
        abort(403, "nobody may use this")
    if (refused := _check_visitor(what.whom)) is not None:
        return refused
    if what.largest is not None:
        request.max_content_length = what.largest
    return _check_form(what)


def _check_visitor(whom: Whom) -> AnyResponse | None:
    if whom == "link":
        g.linked = _opened(str((request.view_args or {}).get("token", "")))
    elif whom != "anyone" and not current_visitor().is_staff:
        return _ask_to_log_in()
    elif whom == "owner" and not current_visitor().is_owner:
        abort(403, "for owners")
    return None


def _opened(token: str) -> Consultation:
    try:
        return current_records().links.open(unsigned(token))
    except NoSuchRecord:
        abort(404, "the link opens nothing")


def _ask_to_log_in() -> AnyResponse:
    if request.path.startswith("/api/") or "X-Fragment" in request.headers:
        abort(401)
    if request.method in SAFE:
        return redirect(url_for("accounts.log_in", back=request.full_path.rstrip("?")), 303)
    return send_again("logged-out", 401)


def _check_form(what: Stated) -> AnyResponse | None:
    if request.method in SAFE or not what.changes or csrf.is_right():
        return None
    return send_again("old-form", 400)


def init_app(app: Flask) -> None:
    app.before_request(_refuse_foreign_pages)
    app.before_request(_let_in)
    may("anyone")(app.view_functions["static"])
