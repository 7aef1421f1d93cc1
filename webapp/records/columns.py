"""Column types that mean the same on SQLite and PostgreSQL."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from sqlalchemy import DateTime, Dialect, Text
from sqlalchemy.types import TypeDecorator

JsonObject = dict[str, Any]


def utc_now() -> dt.datetime:
    """Return the time, in UTC."""
    return dt.datetime.now(dt.UTC)


def json_text(document: object) -> str:
    """Return the one text that stands for a document: the order of its keys is kept, ASCII only.

    ASCII, because neither a character that PostgreSQL refuses nor half a surrogate pair then reaches the file.
    """
    return json.dumps(document, ensure_ascii=True, allow_nan=False, separators=(",", ":"))


class UtcTime(TypeDecorator[dt.datetime]):
    """A moment, kept and given in UTC; a time without a zone is refused."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """Turn a moment of any zone into UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone")
        return value.astimezone(dt.UTC)

    def process_result_value(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """Give UTC; SQLite keeps no zone."""
        if value is None:
            return None
        return value.replace(tzinfo=dt.UTC) if value.tzinfo is None else value.astimezone(dt.UTC)


class Document(TypeDecorator[Any]):
    """A JSON document, kept as its text so that it comes back key by key as it was; null is a document too."""

    impl = Text
    cache_ok = True
    should_evaluate_none = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str:
        """Write it down."""
        return json_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        """Read it."""
        return None if value is None else json.loads(value)


# Compared letter by letter on every server, whatever language it was set up for.
FOLDED = Text().with_variant(Text(collation="C"), "postgresql")
