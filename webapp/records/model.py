"""What is kept. Times are UTC; ids are random, so that an address gives away nothing."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any, Literal

from sqlalchemy import CheckConstraint, Double, ForeignKey, Index, MetaData, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

from webapp.records.columns import FOLDED, Document, JsonObject, UtcTime

Role = Literal["owner", "staff"]


def new_id() -> str:
    """Return an id that nobody guesses."""
    return uuid.uuid4().hex


class Base(DeclarativeBase):
    """Constraints are named, so that a migration can find them on both databases."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {str: Text(), float: Double(), dt.datetime: UtcTime(), JsonObject: Document(), Role: Text()}


class Consultation(Base):
    """A client's event, in the few columns that a list shows; ``advised`` holds the rest.

    ``revision`` grows by one with every change and is what a browser must bring back to save.
    """

    __tablename__ = "consultation"

    id: Mapped[str] = mapped_column(primary_key=True, default=new_id)
    client: Mapped[str]
    event: Mapped[str]
    folded: Mapped[str] = mapped_column(FOLDED)
    event_date: Mapped[dt.date | None]
    coat: Mapped[str | None]
    filling: Mapped[str | None]
    verdict: Mapped[str | None]
    created_at: Mapped[dt.datetime]
    updated_at: Mapped[dt.datetime]
    archived_at: Mapped[dt.datetime | None]
    deleted_at: Mapped[dt.datetime | None]
    revision: Mapped[int] = mapped_column(default=1)

    advised: Mapped[Advised] = relationship(
        cascade="all, delete-orphan", lazy="raise", uselist=False, passive_deletes=True
    )

    # Each begins with what every list asks for, goes on with what it is sorted by and ends with what is searched,
    # so that a search walks one index from end to end and reads no more rows than it shows.
    __table_args__ = (
        Index("ix_consultation_by_update", "deleted_at", "archived_at", "updated_at", "id", "folded"),
        Index("ix_consultation_by_creation", "deleted_at", "archived_at", "created_at", "id", "folded"),
        Index("ix_consultation_by_date", "deleted_at", "archived_at", "event_date", "id", "folded"),
        Index("ix_consultation_by_client", "deleted_at", "archived_at", "folded", "id"),
    )


class Advised(Base):
    """What was asked and what was advised, as it was, with the versions that made it.

    A table of its own, because an advice is a thousand times as long as what a list shows of it.
    """

    __tablename__ = "advised"

    consultation_id: Mapped[str] = mapped_column(ForeignKey("consultation.id", ondelete="CASCADE"), primary_key=True)
    brief: Mapped[JsonObject]
    advice: Mapped[JsonObject]
    data_version: Mapped[str]
    code_version: Mapped[str]


class Account(Base):
    """Someone who may log in; ``name_key`` is the folded name, so that no two look the same."""

    __tablename__ = "account"

    id: Mapped[str] = mapped_column(primary_key=True, default=new_id)
    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(FOLDED, unique=True)
    password_hash: Mapped[str]
    role: Mapped[Role]
    created_at: Mapped[dt.datetime]
    password_changed_at: Mapped[dt.datetime]

    __table_args__ = (CheckConstraint("role IN ('owner', 'staff')", name="role"),)


class Draft(Base):
    """A form as far as it is filled, by the names of its fields; nothing in it need be valid."""

    __tablename__ = "draft"

    id: Mapped[str] = mapped_column(primary_key=True)
    account_id: Mapped[str | None] = mapped_column(ForeignKey("account.id", ondelete="CASCADE"), index=True)
    consultation_id: Mapped[str | None] = mapped_column(ForeignKey("consultation.id", ondelete="CASCADE"), index=True)
    fields: Mapped[JsonObject]
    updated_at: Mapped[dt.datetime] = mapped_column(index=True)


class Outcome(Base):
    """What happened on the day: hours until the look was lost, or hours it was seen to hold.

    It names no client and outlives its consultation: what it says of the formulation stays true.
    """

    __tablename__ = "outcome"

    id: Mapped[str] = mapped_column(primary_key=True, default=new_id)
    consultation_id: Mapped[str | None] = mapped_column(ForeignKey("consultation.id", ondelete="SET NULL"), index=True)
    formulation: Mapped[str] = mapped_column(index=True)
    look: Mapped[str]
    held_h: Mapped[float | None]
    softened_h: Mapped[float | None]
    weather: Mapped[JsonObject]
    coat_c: Mapped[float | None]
    coat_low_c: Mapped[float | None]
    coat_high_c: Mapped[float | None]
    remark: Mapped[str]
    created_at: Mapped[dt.datetime]
    updated_at: Mapped[dt.datetime]

    __table_args__ = (CheckConstraint("(held_h IS NULL) <> (softened_h IS NULL)", name="one_end"),)


class Link(Base):
    """A link to a client's sheet; of its secret only the digest is kept."""

    __tablename__ = "link"

    id: Mapped[str] = mapped_column(primary_key=True)
    consultation_id: Mapped[str] = mapped_column(ForeignKey("consultation.id", ondelete="CASCADE"), index=True)
    digest: Mapped[str]
    created_at: Mapped[dt.datetime]
    expires_at: Mapped[dt.datetime]
    revoked_at: Mapped[dt.datetime | None]


class Setting(Base):
    """A setting of this shop."""

    __tablename__ = "setting"

    key: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[Any] = mapped_column(Document(), nullable=False)


class Price(Base):
    """What a pack of one ingredient holds [g, or pieces for eggs] and costs in this shop."""

    __tablename__ = "price"

    ingredient: Mapped[str] = mapped_column(primary_key=True)
    holds: Mapped[float]
    price: Mapped[float]
    updated_at: Mapped[dt.datetime]

    __table_args__ = (CheckConstraint("holds > 0 AND price > 0", name="above_nothing"),)


class Attempt(Base):
    """One attempt to log in, under the digest of what it is counted by; gone when it no longer counts."""

    __tablename__ = "attempt"

    id: Mapped[str] = mapped_column(primary_key=True, default=new_id)
    key: Mapped[str]
    tried_at: Mapped[dt.datetime] = mapped_column(index=True)

    __table_args__ = (Index("ix_attempt_key_tried_at", "key", "tried_at"),)


class Turn(Base):
    """Until when a task that one worker does for all is somebody's."""

    __tablename__ = "turn"

    name: Mapped[str] = mapped_column(primary_key=True)
    until_at: Mapped[dt.datetime]


# What is of the running workers and not of the shop: no archive holds it.
PASSING = frozenset({Attempt.__tablename__, Turn.__tablename__})
