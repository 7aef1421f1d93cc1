"""What every answer tells the browser to refuse, and the only hosts this server answers for."""

from __future__ import annotations

import ipaddress

from flask import Flask, Response, abort, request
from werkzeug.sansio.utils import host_is_trusted

from webapp.pages.shop import current_config, own_host

THIS_MACHINE = ("127.0.0.1", "localhost")
PASSED_ON = ("forwarded", "x-real-ip", "via")
PASSED_ON_AS = "x-forwarded-"
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
    response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    if request.endpoint != "static":
        # A page is of its reader and of this moment; what a browser shows again it asks for first.
        response.headers.setdefault("Cache-Control", "private, no-cache")
    return response


def refuse_other_hosts() -> None:
    # A page elsewhere must not reach this server under a name that it controls.
    host = own_host()
    if not host_is_trusted(request.host.lower(), (host,) if host else THIS_MACHINE):
        abort(400, "unknown host")


def refuse_other_machines() -> None:
    # Without accounts whoever asks is the owner, so nobody may ask through a server that was put in front.
    if current_config().needs_accounts:
        return
    if not _is_here(request.remote_addr) or any(_is_passed_on(name.lower()) for name in request.headers.keys()):
        abort(403, "only for this machine")


def _is_passed_on(header: str) -> bool:
    return header in PASSED_ON or header.startswith(PASSED_ON_AS)


def _is_here(address: str | None) -> bool:
    try:
        return ipaddress.ip_address(address or "").is_loopback
    except ValueError:
        return False


def init_app(app: Flask) -> None:
    app.before_request(refuse_other_hosts)
    app.before_request(refuse_other_machines)
    app.after_request(add_headers)
