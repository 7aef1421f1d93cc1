"""Run by Alembic: takes the connection and the transaction that ``webapp.records.schema`` has opened."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"], render_as_batch=True, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
