"""The shop's settings: small JSON values by key."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import delete, select

from webapp.records.model import Setting
from webapp.records.storage import Storage


class Settings:
    """The settings of one shop."""

    def __init__(self, storage: Storage) -> None:
        self._storage = storage

    def get(self, key: str, default: Any = None) -> Any:
        """Return a setting, or the default where it was never set."""
        with self._storage.reading() as session:
            kept = session.get(Setting, key)
        return default if kept is None else kept.value

    def put(self, key: str, value: Any) -> None:
        """Set it."""
        with self._storage.writing() as session:
            session.merge(Setting(key=key, value=value))

    def remove(self, key: str) -> None:
        """Forget it."""
        with self._storage.writing() as session:
            session.execute(delete(Setting).where(Setting.key == key))

    def all(self) -> Mapping[str, Any]:
        """Return every setting that was made."""
        with self._storage.reading() as session:
            return {kept.key: kept.value for kept in session.scalars(select(Setting).order_by(Setting.key))}
