"""What every answer tells the browser to refuse, and the only hosts this server answers for."""

from __future__ import annotations

from flask import Flask, Response, abort, request
from werkzeug.sansio.utils import host_is_trusted

TRUSTED_HOSTS = ("127.0.0.1", "localhost")
POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "img-src 'self' data:",
        "script-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)


# A picture is drawn by a library that writes its looks as style attributes; it loads nothing and runs nothing.
PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def allow_own_style(response: Response) -> None:
    """Let a picture of ours keep the style attributes it was drawn with; no page may."""
    response.headers["Content-Security-Policy"] = PICTURE_POLICY


def add_headers(response: Response) -> Response:
    response.headers.setdefault("Content-Security-Policy", POLICY)
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    return response


def refuse_other_hosts() -> None:
    # A page elsewhere must not reach this server under a name that it controls.
    if not host_is_trusted(request.host.lower(), TRUSTED_HOSTS):
        abort(400, "unknown host")


def init_app(app: Flask) -> None:
    app.before_request(refuse_other_hosts)
    app.after_request(add_headers)
