"""A change is made only by a form of ours: its hidden field must fit a cookie that no other page can read.

The field is a digest of the log-in, keyed by the cookie. So it outlives a restart, needs no key of the server, and
whoever plants a cookie cannot make the field that fits somebody's log-in.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets

from flask import Flask, Response, g, request
from markupsafe import Markup

from webapp.pages.session import login_id
from webapp.pages.shop import is_behind_tls

COOKIE = FIELD = "csrf"
FEWEST_CHARACTERS = 32


def csrf() -> Markup:
    """Return the hidden field that every form that posts must hold."""
    return Markup('<input type="hidden" name="{}" value="{}">').format(FIELD, token())


def token() -> str:
    return _digest(_secret(), login_id())


def is_right() -> bool:
    """Whether the request brings the field that fits its cookie."""
    brought = request.cookies.get(COOKIE, "")
    given = request.form.get(FIELD, "")
    return len(brought) >= FEWEST_CHARACTERS and hmac.compare_digest(
        _digest(brought, login_id()).encode(), given.encode("utf-8", "surrogatepass")
    )


def _secret() -> str:
    if "csrf_secret" not in g:
        brought = request.cookies.get(COOKIE, "")
        g.csrf_secret = brought if len(brought) >= FEWEST_CHARACTERS else secrets.token_urlsafe(32)
    return str(g.csrf_secret)


def _digest(secret: str, login: str) -> str:
    return hmac.new(secret.encode("utf-8", "surrogatepass"), login.encode(), hashlib.sha256).hexdigest()


def _hand_out(response: Response) -> Response:
    if "csrf_secret" in g and g.csrf_secret != request.cookies.get(COOKIE):
        response.set_cookie(COOKIE, g.csrf_secret, httponly=True, samesite="Lax", secure=is_behind_tls())
    return response


def init_app(app: Flask) -> None:
    app.after_request(_hand_out)
    app.add_template_global(csrf)
