"""Links to a client's sheet: a secret shown once, kept as a digest, ending on a day or when it is revoked."""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from webapp.records.columns import utc_now
from webapp.records.errors import NoSuchRecord
from webapp.records.model import Consultation, Link
from webapp.records.storage import Storage

SECRET_BYTES = 32
LONGEST_TOKEN = 200
_NOBODYS = hashlib.sha256(b"no link has this digest, but comparing takes as long").hexdigest()


@dataclass(frozen=True, slots=True)
class NewLink:
    """A link that was just made; its token cannot be had again."""

    token: str
    link: Link


class Links:
    """The links of one shop."""

    def __init__(self, storage: Storage, now: Callable[[], dt.datetime] = utc_now) -> None:
        self._storage = storage
        self._now = now

    def make(self, consultation_id: str, lasts: dt.timedelta) -> NewLink:
        """Make a link that opens one consultation for some time.

        Raises
        ------
        NoSuchRecord
            If there is no such consultation.
        """
        name, secret = secrets.token_urlsafe(9), secrets.token_urlsafe(SECRET_BYTES)
        moment = self._now()
        link = Link(
            id=name,
            consultation_id=consultation_id,
            digest=_digest(secret),
            created_at=moment,
            expires_at=moment + lasts,
        )
        with self._storage.writing() as session:
            kept = session.get(Consultation, consultation_id)
            if kept is None or kept.deleted_at is not None:
                raise NoSuchRecord("There is no such consultation.")
            session.add(link)
        return NewLink(f"{name}.{secret}", link)

    def open(self, token: str) -> Consultation:
        """Return the consultation behind a token.

        Raises
        ------
        NoSuchRecord
            In the same words whether the token is wrong, over, revoked or its consultation deleted.
        """
        name, _, secret = token[:LONGEST_TOKEN].partition(".")
        with self._storage.reading() as session:
            link = session.get(Link, name) if name.isascii() and name.isprintable() else None
            # Compared also where there is no link, so that the time taken does not tell which names exist.
            is_right = hmac.compare_digest(_digest(secret), link.digest if link else _NOBODYS)
            if link is None or not is_right or not is_open(link, self._now()):
                raise _closed()
            asked = select(Consultation).where(Consultation.id == link.consultation_id)
            kept = session.scalars(asked.options(joinedload(Consultation.advised, innerjoin=True))).one()
        if kept.deleted_at is not None:
            raise _closed()
        return kept

    def of_consultation(self, consultation_id: str) -> Sequence[Link]:
        """Return the links to one consultation, latest first, also those that no longer open."""
        asked = select(Link).where(Link.consultation_id == consultation_id)
        with self._storage.reading() as session:
            return session.scalars(asked.order_by(Link.created_at.desc(), Link.id)).all()

    def revoke(self, id: str) -> Link:
        """Close a link for good; one that is closed stays closed since then."""
        with self._storage.writing() as session:
            link = session.get(Link, id)
            if link is None:
                raise NoSuchRecord("There is no such link.")
            link.revoked_at = link.revoked_at or self._now()
        return link


def is_open(link: Link, moment: dt.datetime) -> bool:
    """Whether a link opens at a moment, given the right secret."""
    return link.revoked_at is None and moment < link.expires_at


def _closed() -> NoSuchRecord:
    return NoSuchRecord("This link does not open anything, or no longer. Ask the shop for a new one.")


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
