"""The shop's own prices; attempts to log in, which several workers count together; who keeps house when."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables; what is there already is left alone."""
    op.create_table(
        "price",
        sa.Column("ingredient", sa.Text(), nullable=False),
        sa.Column("holds", sa.Double(), nullable=False),
        sa.Column("price", sa.Double(), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("holds > 0 AND price > 0", name="ck_price_above_nothing"),
        sa.PrimaryKeyConstraint("ingredient", name="pk_price"),
    )
    op.create_table(
        "attempt",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("tried_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_attempt"),
    )
    op.create_index("ix_attempt_key_tried_at", "attempt", ["key", "tried_at"])
    op.create_index("ix_attempt_tried_at", "attempt", ["tried_at"])
    op.create_table(
        "turn",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("until_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_turn"),
    )


def downgrade() -> None:
    """Refuse: going back would lose what is kept. A backup is made before every step up."""
    raise RuntimeError("going back would lose what is kept: restore the backup made before the step")
