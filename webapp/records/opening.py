"""From where the records are to records that are ready."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from webapp.records.accounts import Accounts
from webapp.records.attempts import Attempts
from webapp.records.backups import Backups
from webapp.records.columns import utc_now
from webapp.records.consultations import Consultations
from webapp.records.drafts import Drafts
from webapp.records.links import Links
from webapp.records.outcomes import Outcomes
from webapp.records.prices import Prices
from webapp.records.schema import revision_of, steps, upgrade
from webapp.records.settings import Settings
from webapp.records.storage import BUSY_S, Storage, create_file, file_of, read_url, url_in_folder

BACKUP_FOLDER = "backups"


@dataclass(frozen=True)
class Records:
    """All records of one shop."""

    storage: Storage
    backups: Backups
    consultations: Consultations
    drafts: Drafts
    outcomes: Outcomes
    links: Links
    accounts: Accounts
    attempts: Attempts
    prices: Prices
    settings: Settings

    def close(self) -> None:
        """Let go of the database."""
        self.storage.close()


def open_records(
    folder: Path,
    database_url: str | None = None,
    *,
    keep_backups: int = 14,
    now: Callable[[], dt.datetime] = utc_now,
    busy_s: float = BUSY_S,
) -> Records:
    """Open the records in a folder, or on a PostgreSQL server; make or update their schema.

    Parameters
    ----------
    folder : Path
        Holds the file of records, and the backups for either database; made if it is not there.
    database_url : str, optional
        A PostgreSQL server to use in the place of the file.
    keep_backups : int
        How many backups stay.
    now : callable
        The clock, in UTC.
    busy_s : float
        How long a change waits for another program's to end [s].

    Raises
    ------
    StorageError
        If they cannot be reached or written, or are from a newer version of the advisor.
    ValueError
        If ``database_url`` is not understood.
    """
    url = read_url(database_url) if database_url else url_in_folder(folder)
    if (file := file_of(url)) is not None:
        create_file(file)
    storage = Storage(url, busy_s)
    backups = Backups(folder / BACKUP_FOLDER, keep_backups)
    try:
        if revision_of(url) in steps()[:-1]:
            backups.make(storage, now(), prune=False)
        upgrade(url, busy_s=busy_s)
    except BaseException:
        storage.close()
        raise
    return Records(
        storage=storage,
        backups=backups,
        consultations=Consultations(storage, now),
        drafts=Drafts(storage, now),
        outcomes=Outcomes(storage, now),
        links=Links(storage, now),
        accounts=Accounts(storage, now),
        attempts=Attempts(storage, now),
        prices=Prices(storage, now),
        settings=Settings(storage),
    )
