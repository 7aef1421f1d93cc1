"""Consultations with their drafts, outcomes and links; accounts; settings."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def _folded() -> sa.types.TypeEngine[str]:
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def _time(name: str, *, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=nullable)


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=nullable)


def _number(name: str) -> sa.Column[float]:
    return sa.Column(name, sa.Double(), nullable=True)


def _refers(table: str, column: str, to: str, ondelete: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=f"fk_{table}_{column}", ondelete=ondelete)


def upgrade() -> None:
    """Make all tables."""
    _make_consultations()
    _make_accounts_and_drafts()
    _make_outcomes_and_links()
    op.create_table("setting", _text("key"), _text("value"), sa.PrimaryKeyConstraint("key", name="pk_setting"))


def _make_consultations() -> None:
    op.create_table(
        "consultation",
        _text("id"),
        _text("client"),
        _text("event"),
        sa.Column("folded", _folded(), nullable=False),
        sa.Column("event_date", sa.Date(), nullable=True),
        _text("coat", nullable=True),
        _text("filling", nullable=True),
        _text("verdict", nullable=True),
        _time("created_at"),
        _time("updated_at"),
        _time("archived_at", nullable=True),
        _time("deleted_at", nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_consultation"),
    )
    for name, sorted_by in (
        ("update", ["updated_at", "id", "folded"]),
        ("creation", ["created_at", "id", "folded"]),
        ("date", ["event_date", "id", "folded"]),
        ("client", ["folded", "id"]),
    ):
        columns = ["deleted_at", "archived_at", *sorted_by]
        op.create_index(f"ix_consultation_by_{name}", "consultation", columns)
    op.create_table(
        "advised",
        _text("consultation_id"),
        _text("brief"),
        _text("advice"),
        _text("data_version"),
        _text("code_version"),
        _refers("advised", "consultation_id", "consultation", "CASCADE"),
        sa.PrimaryKeyConstraint("consultation_id", name="pk_advised"),
    )


def _make_accounts_and_drafts() -> None:
    op.create_table(
        "account",
        _text("id"),
        _text("name"),
        sa.Column("name_key", _folded(), nullable=False),
        _text("password_hash"),
        _text("role"),
        _time("created_at"),
        _time("password_changed_at"),
        sa.CheckConstraint("role IN ('owner', 'staff')", name="ck_account_role"),
        sa.UniqueConstraint("name_key", name="uq_account_name_key"),
        sa.PrimaryKeyConstraint("id", name="pk_account"),
    )
    op.create_table(
        "draft",
        _text("id"),
        _text("account_id", nullable=True),
        _text("consultation_id", nullable=True),
        _text("fields"),
        _time("updated_at"),
        _refers("draft", "account_id", "account", "CASCADE"),
        _refers("draft", "consultation_id", "consultation", "CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_draft"),
    )
    for column in ("account_id", "consultation_id", "updated_at"):
        op.create_index(f"ix_draft_{column}", "draft", [column])


def _make_outcomes_and_links() -> None:
    op.create_table(
        "outcome",
        _text("id"),
        _text("consultation_id", nullable=True),
        _text("formulation"),
        _text("look"),
        _number("held_h"),
        _number("softened_h"),
        _text("weather"),
        _number("coat_c"),
        _number("coat_low_c"),
        _number("coat_high_c"),
        _text("remark"),
        _time("created_at"),
        _time("updated_at"),
        sa.CheckConstraint("(held_h IS NULL) <> (softened_h IS NULL)", name="ck_outcome_one_end"),
        _refers("outcome", "consultation_id", "consultation", "SET NULL"),
        sa.PrimaryKeyConstraint("id", name="pk_outcome"),
    )
    op.create_table(
        "link",
        _text("id"),
        _text("consultation_id"),
        _text("digest"),
        _time("created_at"),
        _time("expires_at"),
        _time("revoked_at", nullable=True),
        _refers("link", "consultation_id", "consultation", "CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_link"),
    )
    for table, column in (("outcome", "consultation_id"), ("outcome", "formulation"), ("link", "consultation_id")):
        op.create_index(f"ix_{table}_{column}", table, [column])


def downgrade() -> None:
    """Refuse: going back would lose what is kept. A backup is made before every step up."""
    raise RuntimeError("going back would lose what is kept: restore the backup made before the step")
