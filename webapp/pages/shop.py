"""This one shop: its settings, its records and the address under which it is reached."""

from __future__ import annotations

import datetime as dt
from threading import Lock
from urllib.parse import urlsplit

from flask import Flask, current_app, request

from webapp.config import Config
from webapp.records.housekeeping import House, Housekeeping
from webapp.records.opening import Records, open_records
from webapp.records.storage import FILE_NAME


class RecordsOnDemand:
    """The records, opened when first asked for: advice alone needs no folder."""

    def __init__(self, config: Config) -> None:
        self._config = config
        self._lock = Lock()
        self._records: Records | None = None

    def opened(self) -> Records:
        with self._lock:
            if self._records is None:
                config = self._config
                self._records = open_records(config.records_dir, config.database_url, keep_backups=config.keep_backups)
            return self._records


def records_of(app: Flask) -> Records:
    kept: Records | RecordsOnDemand = app.extensions["records"]
    return kept if isinstance(kept, Records) else kept.opened()


def records_if_any(app: Flask) -> Records | None:
    """Return the records where there are any; an advice alone makes no file."""
    config: Config = app.extensions["config"]
    is_there = (
        isinstance(app.extensions["records"], Records)
        or config.database_url is not None
        or (config.records_dir / FILE_NAME).exists()
    )
    return records_of(app) if is_there else None


def keep_house(app: Flask) -> Housekeeping:
    """Start what makes backups and purges beside a server; of several workers one does it."""
    config: Config = app.extensions["config"]
    house = House(
        backup_every=dt.timedelta(hours=config.backup_hours) if config.backup_hours else None,
        deleted_stay=dt.timedelta(days=config.purge_days) if config.purge_days else None,
    )
    keeping = Housekeeping(house, lambda: records_if_any(app))
    keeping.start()
    return keeping


def current_records() -> Records:
    """Return the shop's records; raises a StorageError where they cannot be opened."""
    return records_of(current_app)


def current_config() -> Config:
    config: Config = current_app.extensions["config"]
    return config


def own_origin() -> str:
    """Return scheme, host and port of this shop, as the start of a link that is sent to someone."""
    return current_config().outside or f"{request.scheme}://{request.host.lower()}"


def own_host() -> str | None:
    """Return the name of the host this shop is reached by; none on this machine alone."""
    outside = current_config().outside
    return urlsplit(outside).hostname if outside else None


def is_behind_tls() -> bool:
    return (current_config().outside or "").startswith("https://")


def own_page(address: str) -> str:
    """Return an address if it is a page of ours, else the first page: nobody is led elsewhere."""
    is_own = address.startswith("/") and not address.startswith(("//", "/\\"))
    return address if is_own and address.isprintable() else "/"
