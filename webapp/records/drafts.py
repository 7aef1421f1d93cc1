"""Forms as far as they are filled, so that a closed tab loses nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence

from sqlalchemy import delete, select

from webapp.errors import FieldProblem
from webapp.records.columns import JsonObject, json_text, utc_now
from webapp.records.errors import NoSuchRecord, RecordRefused
from webapp.records.model import Consultation, Draft
from webapp.records.storage import Storage

LONGEST_ID = 64
LONGEST_DRAFT = 256 * 1024  # characters of its JSON; a pasted forecast and recipe fit many times


class Drafts:
    """The drafts of one shop; without accounts they belong to nobody."""

    def __init__(self, storage: Storage, now: Callable[[], dt.datetime] = utc_now) -> None:
        self._storage = storage
        self._now = now

    def keep(
        self, id: str, fields: JsonObject, account_id: str | None = None, consultation_id: str | None = None
    ) -> Draft:
        """Keep a draft under an id of the caller's choice, in place of what it held before.

        Raises
        ------
        RecordRefused
            If the id is empty or too long, or the form too large.
        NoSuchRecord
            If the draft is another account's, or the consultation is not there.
        """
        _check(id, fields)
        with self._storage.writing() as session:
            if consultation_id is not None and session.get(Consultation, consultation_id) is None:
                raise NoSuchRecord("There is no such consultation.")
            kept = session.get(Draft, id)
            if kept is None:
                session.add(kept := Draft(id=id, account_id=account_id))
            elif kept.account_id != account_id:
                raise NoSuchRecord("There is no such draft.")
            kept.fields, kept.consultation_id, kept.updated_at = fields, consultation_id, self._now()
        return kept

    def get(self, id: str, account_id: str | None = None) -> Draft:
        """Return an account's draft.

        Raises
        ------
        NoSuchRecord
            If there is none, or if it is another account's.
        """
        with self._storage.reading() as session:
            kept = session.get(Draft, id)
        if kept is None or kept.account_id != account_id:
            raise NoSuchRecord("There is no such draft.")
        return kept

    def of_account(self, account_id: str | None = None) -> Sequence[Draft]:
        """Return an account's drafts, the latest first."""
        asked = select(Draft).where(Draft.account_id == account_id).order_by(Draft.updated_at.desc(), Draft.id)
        with self._storage.reading() as session:
            return session.scalars(asked).all()

    def drop(self, id: str, account_id: str | None = None) -> None:
        """Forget a draft, as after saving it; one that is not there is no fault."""
        with self._storage.writing() as session:
            session.execute(delete(Draft).where(Draft.id == id, Draft.account_id == account_id))

    def any_untouched(self, since: dt.datetime) -> bool:
        """Whether :meth:`purge` would forget any."""
        with self._storage.reading() as session:
            return session.scalar(select(Draft.id).where(Draft.updated_at < since).limit(1)) is not None

    def purge(self, untouched_since: dt.datetime) -> int:
        """Forget drafts that nobody has touched since a moment; return how many."""
        with self._storage.writing() as session:
            old = session.scalars(select(Draft.id).where(Draft.updated_at < untouched_since)).all()
            session.execute(delete(Draft).where(Draft.updated_at < untouched_since))
        return len(old)


def _check(id: str, fields: JsonObject) -> None:
    if not 1 <= len(id) <= LONGEST_ID or not id.isascii() or not id.isprintable():
        raise RecordRefused(FieldProblem("draft", "has no fit id", f"1 to {LONGEST_ID} ASCII characters"))
    if len(json_text(fields)) > LONGEST_DRAFT:
        raise RecordRefused(FieldProblem("draft", "is too large", f"at most {LONGEST_DRAFT} characters of JSON"))
