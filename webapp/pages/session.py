"""Who is asking: a log-in in a signed cookie that ends by itself, by logging out and by a new password."""

from __future__ import annotations

import datetime as dt
import secrets
from dataclasses import dataclass

from flask import Flask, g, session

from webapp.pages.shop import current_config, current_records
from webapp.records.columns import utc_now
from webapp.records.errors import NoSuchRecord
from webapp.records.model import Account, Role

# Our own choice between a tablet that lies about and a baker who has flour on the hands.
LASTS = dt.timedelta(hours=12)
LASTS_UNUSED = dt.timedelta(hours=2)
NOTED_EVERY = dt.timedelta(minutes=1)
ENDED = "ended-login/"  # settings that name log-ins that were ended before their time


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who is asking; without accounts whoever is at this machine is the owner."""

    role: Role | None
    name: str = ""
    account_id: str | None = None

    @property
    def is_staff(self) -> bool:
        return self.role is not None

    @property
    def is_owner(self) -> bool:
        return self.role == "owner"


NOBODY = Visitor(None)
UNREAD = Visitor(None)  # the records could not say who it is
AT_THIS_MACHINE = Visitor("owner")


def current_visitor() -> Visitor:
    """Return who is asking, read from the records once a request."""
    if "visitor" not in g:
        g.visitor = UNREAD  # the page that says that the records cannot be read asks again
        g.visitor = _logged_in() if current_config().needs_accounts else AT_THIS_MACHINE
    visitor: Visitor = g.visitor
    return visitor


def login_id() -> str:
    """Return what tells this log-in from every other; nothing for nobody."""
    visitor = current_visitor()
    # A form that comes back because the records could not be read must fit once they can be.
    return str(session.get("login", "")) if visitor.account_id or visitor is UNREAD else ""


def begin(account: Account) -> None:
    """Log an account in, in a session that nobody had before."""
    moment = utc_now().timestamp()
    session.clear()
    session.update(login=secrets.token_urlsafe(16), account=account.id, begun=moment, seen=moment)
    g.visitor = Visitor(account.role, account.name, account.id)


def end() -> None:
    """Log out: a copy of the cookie opens nothing either."""
    login, ends = login_id(), session.get("begun", 0.0) + LASTS.total_seconds()
    session.clear()  # also where the records take nothing: this browser is out in any case
    g.visitor = NOBODY
    settings, moment = current_records().settings, utc_now().timestamp()
    for key, until in settings.all().items():
        if key.startswith(ENDED) and until < moment:
            settings.remove(key)
    if login:
        settings.put(ENDED + login, ends)


def _logged_in() -> Visitor:
    if not session.get("account"):
        return NOBODY
    account = _account()
    if account is None:
        session.clear()
        return NOBODY
    _note_use()
    return Visitor(account.role, account.name, account.id)


def _account() -> Account | None:
    begun, seen, moment = session["begun"], session["seen"], utc_now().timestamp()
    if moment - begun > LASTS.total_seconds() or moment - seen > LASTS_UNUSED.total_seconds():
        return None
    if max(begun, seen) > moment + NOTED_EVERY.total_seconds():
        return None  # the clock was put back: what began in the future would last until then
    records = current_records()
    try:
        account = records.accounts.get(session["account"])
    except NoSuchRecord:
        return None
    is_over = begun < account.password_changed_at.timestamp() or records.settings.get(ENDED + session["login"])
    return None if is_over else account


def _note_use() -> None:
    moment = utc_now().timestamp()
    if moment - session["seen"] > NOTED_EVERY.total_seconds():
        session["seen"] = moment


def init_app(app: Flask) -> None:
    config = app.extensions["config"]
    is_secure = (config.outside or "").startswith("https://")
    # Without accounts there is no session to sign, and a key that ends with the program does.
    app.secret_key = config.secret or secrets.token_hex(32)
    app.config.update(
        SESSION_COOKIE_NAME="__Host-login" if is_secure else "login",
        SESSION_COOKIE_SECURE=is_secure,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        PERMANENT_SESSION_LIFETIME=LASTS,
    )
    app.add_template_global(current_visitor, "visitor")
