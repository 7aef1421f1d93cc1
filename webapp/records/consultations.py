"""Consultations: kept, listed, changed, copied, put away and deleted with a way back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import ColumnElement, delete, func, select
from sqlalchemy.orm import InstrumentedAttribute, Session, joinedload

from webapp.records.columns import JsonObject, utc_now
from webapp.records.errors import NoSuchRecord, StaleRevision
from webapp.records.folding import fold, words_of
from webapp.records.model import Advised, Consultation, new_id
from webapp.records.storage import Storage
from webapp.records.texts import clean_name

Sort = Literal["updated", "created", "event", "client"]
PAGE_SIZE = 25
MOST_WORDS = 8  # of a search; more narrow it no further in practice

_COLUMNS: dict[Sort, InstrumentedAttribute[Any]] = {
    "updated": Consultation.updated_at,
    "created": Consultation.created_at,
    "event": Consultation.event_date,
    "client": Consultation.folded,
}


@dataclass(frozen=True, slots=True)
class Content:
    """What a decorator saves: whose event, what was asked and advised, and the pairing that was chosen.

    ``data_version`` and ``code_version`` are those that made the advice; ``coat`` and ``filling`` are the ids of
    formulations, none while nothing is chosen.
    """

    client: str
    event: str
    event_date: dt.date | None
    brief: JsonObject
    advice: JsonObject
    data_version: str
    code_version: str
    coat: str | None = None
    filling: str | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a list; ``total`` counts all that the list holds."""

    rows: tuple[Consultation, ...]
    total: int
    number: int
    size: int

    @property
    def last(self) -> int:
        """The number of the last page; 1 also where the list is empty."""
        return max(1, -(-self.total // self.size))


class Consultations:
    """The consultations of one shop. What is returned is a copy: changing it changes nothing that is kept."""

    def __init__(self, storage: Storage, now: Callable[[], dt.datetime] = utc_now) -> None:
        self._storage = storage
        self._now = now

    def add(self, content: Content) -> Consultation:
        """Keep a new consultation.

        Raises
        ------
        RecordRefused
            If a name is empty, too long or not plain text.
        StorageError
            If it cannot be kept; then nothing is.
        """
        kept = Consultation(id=new_id(), created_at=self._now(), revision=1, advised=Advised())
        _fill(kept, content, kept.created_at)
        with self._storage.writing() as session:
            session.add(kept)
        return kept

    def get(self, id: str) -> Consultation:
        """Return one with its brief and advice; a deleted one too, until it is purged.

        Raises
        ------
        NoSuchRecord
            If there is none.
        """
        with self._storage.reading() as session:
            return _find(session, id)

    def list(
        self,
        query: str = "",
        sort: Sort = "updated",
        *,
        reverse: bool = False,
        archived: bool = False,
        deleted: bool = False,
        page: int = 1,
        size: int = PAGE_SIZE,
    ) -> Page:
        """Return a page of those not put away, of the archive, or of the deleted that can still be brought back.

        Every word of ``query`` must be found in the client's or the event's name, whatever its case and accents.
        ``sort`` is latest first, or by client and event from A to Z; ``reverse`` turns it round, and those
        without a date stay last. Without ``advised``: ask for one with :meth:`get`.
        """
        wanted = _matching(query, archived, deleted)
        rows = select(Consultation).where(*wanted).order_by(*_order(sort, reverse))
        with self._storage.reading() as session:
            total = session.scalar(select(func.count()).select_from(Consultation).where(*wanted)) or 0
            number = min(max(1, page), max(1, -(-total // size)))
            found = session.scalars(rows.limit(size).offset(size * (number - 1))).all() if total else ()
        return Page(tuple(found), total, number, size)

    def save(self, id: str, content: Content, expected_revision: int) -> Consultation:
        """Replace what one holds, if nobody else has since the revision that the caller saw.

        Raises
        ------
        StaleRevision
            With what is kept now; nothing of it was overwritten.
        NoSuchRecord
            If it was purged.
        """
        return self._change(id, expected_revision, lambda kept: _fill(kept, content, self._now()))

    def choose(self, id: str, coat: str, filling: str, expected_revision: int) -> Consultation:
        """Keep which pairing the client chose; raises as :meth:`save` does."""

        def set_choice(kept: Consultation) -> None:
            kept.coat, kept.filling, kept.updated_at = coat, filling, self._now()

        return self._change(id, expected_revision, set_choice)

    def duplicate(self, id: str, event: str | None = None) -> Consultation:
        """Keep a copy under a new id, with the advice as it was; ``event`` is its new name."""
        source = self.get(id)
        content = content_of(source)
        copy = Consultation(id=new_id(), created_at=self._now(), revision=1, advised=Advised())
        _fill(copy, content, copy.created_at)
        if event is not None:
            copy.event = clean_name("event", event)
            copy.folded = _folded(copy)
        with self._storage.writing() as session:
            session.add(copy)
        return copy

    def archive(self, id: str, expected_revision: int | None = None) -> Consultation:
        """Put one away, out of the list but not out of the archive."""
        return self._mark(id, "archived_at", self._now(), expected_revision)

    def unarchive(self, id: str, expected_revision: int | None = None) -> Consultation:
        """Bring one back from the archive."""
        return self._mark(id, "archived_at", None, expected_revision)

    def delete(self, id: str, expected_revision: int | None = None) -> Consultation:
        """Take one out of every list; :meth:`restore` brings it back until it is purged."""
        return self._mark(id, "deleted_at", self._now(), expected_revision)

    def restore(self, id: str, expected_revision: int | None = None) -> Consultation:
        """Undo a deletion."""
        return self._mark(id, "deleted_at", None, expected_revision)

    def purge(self, deleted_before: dt.datetime) -> int:
        """Remove for good what was deleted before a moment; return how many. Outcomes stay, without the client."""
        with self._storage.writing() as session:
            doomed = select(Consultation.id).where(Consultation.deleted_at < deleted_before)
            ids = session.scalars(doomed).all()
            session.execute(delete(Consultation).where(Consultation.deleted_at < deleted_before))
        return len(ids)

    def any_deleted(self, before: dt.datetime) -> bool:
        """Whether :meth:`purge` would remove any."""
        asked = select(Consultation.id).where(Consultation.deleted_at < before).limit(1)
        with self._storage.reading() as session:
            return session.scalar(asked) is not None

    def _mark(self, id: str, name: str, moment: dt.datetime | None, expected: int | None) -> Consultation:
        return self._change(id, expected, lambda kept: setattr(kept, name, moment))

    def _change(self, id: str, expected: int | None, change: Callable[[Consultation], None]) -> Consultation:
        with self._storage.writing() as session:
            kept = _find(session, id, to_change=True)
            if expected is not None and kept.revision != expected:
                session.expunge(kept)
                raise StaleRevision(kept)
            change(kept)
            kept.revision += 1
        return kept


def content_of(kept: Consultation) -> Content:
    """Return what a consultation holds, as it would be saved."""
    held = kept.advised
    return Content(
        client=kept.client,
        event=kept.event,
        event_date=kept.event_date,
        brief=held.brief,
        advice=held.advice,
        data_version=held.data_version,
        code_version=held.code_version,
        coat=kept.coat,
        filling=kept.filling,
    )


def _fill(kept: Consultation, content: Content, moment: dt.datetime) -> None:
    kept.client = clean_name("client", content.client)
    kept.event = clean_name("event", content.event)
    kept.folded = _folded(kept)
    kept.event_date, kept.coat, kept.filling = content.event_date, content.coat, content.filling
    kept.verdict = _verdict(content.advice)
    kept.updated_at = moment
    kept.advised.brief, kept.advised.advice = content.brief, content.advice
    kept.advised.data_version, kept.advised.code_version = content.data_version, content.code_version


def _folded(kept: Consultation) -> str:
    # Words hold no line break, so none is found half in one name and half in the other; names sort before longer ones.
    return f"{fold(kept.client)}\n{fold(kept.event)}"


def _verdict(advice: JsonObject) -> str | None:
    verdict = advice.get("verdict")
    return verdict if isinstance(verdict, str) else None


def _find(session: Session, id: str, *, to_change: bool = False) -> Consultation:
    asked = select(Consultation).where(Consultation.id == id)
    asked = asked.options(joinedload(Consultation.advised, innerjoin=True))
    # On SQLite a change holds the whole file from its start; PostgreSQL locks this one row.
    found = session.scalar(asked.with_for_update(of=Consultation) if to_change else asked)
    if found is None:
        raise NoSuchRecord("There is no such consultation; it may have been deleted for good.")
    return found


def _matching(query: str, archived: bool, deleted: bool) -> tuple[ColumnElement[bool], ...]:
    words = words_of(query)[:MOST_WORDS]
    if deleted:
        place = [Consultation.deleted_at.is_not(None)]
    else:
        put_away = Consultation.archived_at
        place = [Consultation.deleted_at.is_(None), put_away.is_not(None) if archived else put_away.is_(None)]
    return (*place, *(Consultation.folded.contains(word, autoescape=True) for word in words))


def _order(sort: Sort, reverse: bool) -> tuple[ColumnElement[Any], ...]:
    column = _COLUMNS[sort]
    is_upward = reverse != (sort == "client")
    by = column.asc() if is_upward else column.desc()
    by_id = Consultation.id.asc() if is_upward else Consultation.id.desc()
    return (by.nulls_last() if sort == "event" else by), by_id
