"""How often something was tried, counted by all workers together."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Sequence

from sqlalchemy import delete, func, or_, select
from sqlalchemy.orm import Session

from webapp.records.columns import utc_now
from webapp.records.model import Attempt
from webapp.records.storage import Storage


class Attempts:
    """The attempts of one shop, by keys of which only the digest is kept."""

    def __init__(self, storage: Storage, now: Callable[[], dt.datetime] = utc_now) -> None:
        self._storage = storage
        self._now = now

    def admit(self, limits: Sequence[tuple[str, int]], window: dt.timedelta) -> bool:
        """Count one attempt by each key, unless one of them has reached its limit within the window.

        Raises
        ------
        StorageError
            If it cannot be counted; then it is not admitted either.
        """
        moment = self._now()
        with self._storage.writing() as session:
            _take_turns(session)
            # Those dated ahead are of a clock that was set back; they would count until it has caught up.
            is_over = or_(Attempt.tried_at <= moment - window, Attempt.tried_at > moment + window)
            session.execute(delete(Attempt).where(is_over))
            if any(_count(session, key) >= most for key, most in limits):
                return False
            session.add_all(Attempt(key=_digest(key), tried_at=moment) for key, _ in limits)
        return True

    def forgive(self, all_of: str, one_of: Sequence[str]) -> None:
        """Forget every attempt by one key, and the latest by each of some others."""
        with self._storage.writing() as session:
            session.execute(delete(Attempt).where(Attempt.key == _digest(all_of)))
            for key in one_of:
                latest = select(Attempt.id).where(Attempt.key == _digest(key)).order_by(Attempt.tried_at.desc())
                session.execute(delete(Attempt).where(Attempt.id == latest.limit(1).scalar_subquery()))

    def count(self) -> int:
        """Return how many are remembered."""
        with self._storage.reading() as session:
            return session.scalar(select(func.count()).select_from(Attempt)) or 0


def _take_turns(session: Session) -> None:
    # SQLite's writers come one after the other anyway; on PostgreSQL two could else both be the last that is admitted.
    if session.get_bind().dialect.name == "postgresql":
        session.connection().exec_driver_sql("LOCK TABLE attempt IN SHARE ROW EXCLUSIVE MODE")


def _count(session: Session, key: str) -> int:
    return session.scalar(select(func.count()).select_from(Attempt).where(Attempt.key == _digest(key))) or 0


def _digest(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()
