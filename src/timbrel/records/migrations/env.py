"""Alembic's entry: run the steps on the connection that the record hands over."""

from __future__ import annotations

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
