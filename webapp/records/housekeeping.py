"""What is done by itself beside the server: the backup that is due, and the purge of what was deleted long ago.

Every worker looks; a turn taken in the records lets one of them do it.
"""

from __future__ import annotations

import datetime as dt
import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass

from webapp.records.columns import utc_now
from webapp.records.errors import RecordsError, StorageBusy
from webapp.records.model import Turn
from webapp.records.opening import Records

TURN = "housekeeping"
TURN_LASTS = dt.timedelta(minutes=15)  # longer than a backup takes; a worker that died holds nothing up for longer
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class House:
    """How often a backup is made, and how long what was deleted and what was left half filled stay; none is never."""

    backup_every: dt.timedelta | None = dt.timedelta(days=1)
    deleted_stay: dt.timedelta | None = dt.timedelta(days=30)
    drafts_stay: dt.timedelta | None = dt.timedelta(days=60)

    def keep(self, records: Records, now: dt.datetime) -> None:
        """Do what is due, if no other worker does.

        Raises
        ------
        StorageError
            If it cannot be done; it is due again then.
        """
        if not self._is_due(records, now) or not take_turn(records, TURN, now, TURN_LASTS):
            return
        try:
            if self._is_due(records, now):
                self._work(records, now)
        finally:
            end_turn(records, TURN)

    def _is_due(self, records: Records, now: dt.datetime) -> bool:
        needs_backup = self.backup_every is not None and records.backups.is_due(now, self.backup_every)
        return needs_backup or self._is_doomed(records, now)

    def _is_doomed(self, records: Records, now: dt.datetime) -> bool:
        deleted, drafts = self.deleted_stay, self.drafts_stay
        is_deleted = deleted is not None and records.consultations.any_deleted(now - deleted)
        return is_deleted or (drafts is not None and records.drafts.any_untouched(now - drafts))

    def _work(self, records: Records, now: dt.datetime) -> None:
        # The backup comes first, so that what is purged by mistake is in it.
        if self.backup_every is not None and records.backups.is_due(now, self.backup_every):
            records.backups.make(records.storage, now)
        if self.deleted_stay is not None:
            records.consultations.purge(now - self.deleted_stay)
        if self.drafts_stay is not None:
            records.drafts.purge(now - self.drafts_stay)


def take_turn(records: Records, name: str, now: dt.datetime, lasts: dt.timedelta) -> bool:
    """Take a task that one worker does for all; false where another has it.

    A turn that ends later than one taken now was taken by a clock that was ahead: it counts for nothing.
    """
    try:
        with records.storage.writing() as session:
            turn = session.get(Turn, name, with_for_update=True)
            if turn is not None and now < turn.until_at <= now + lasts:
                return False
            if turn is None:
                session.add(Turn(name=name, until_at=now + lasts))  # of two at once the key refuses the second
            else:
                turn.until_at = now + lasts
    except StorageBusy:
        return False  # another took it at this very moment
    return True


def end_turn(records: Records, name: str) -> None:
    """Give a task back."""
    with records.storage.writing() as session:
        if (turn := session.get(Turn, name)) is not None:
            session.delete(turn)


class Housekeeping(threading.Thread):
    """Keeps house beside a server; what goes wrong is logged and tried again.

    Parameters
    ----------
    house : House
        What is to be done how often.
    records : callable
        Gives the records, or none while there are none: an advice alone makes no file.
    now : callable
        The clock, in UTC.
    look_every_s : float
        How long it waits between two looks [s].
    """

    def __init__(
        self,
        house: House,
        records: Callable[[], Records | None],
        now: Callable[[], dt.datetime] = utc_now,
        look_every_s: float = 300.0,
    ) -> None:
        super().__init__(name="housekeeping", daemon=True)
        self._house, self._records, self._now = house, records, now
        self._look_every_s = look_every_s
        self._ended = threading.Event()

    def run(self) -> None:
        """Look, wait, look again."""
        while not self._ended.is_set():
            self._look()
            self._ended.wait(self._look_every_s)

    def stop(self) -> None:
        """End after the work under way, if any."""
        self._ended.set()

    def _look(self) -> None:
        try:
            if (records := self._records()) is not None:
                self._house.keep(records, self._now())
        except (RecordsError, OSError) as error:
            _log.error("no backup was made, or nothing purged: %s", error)
