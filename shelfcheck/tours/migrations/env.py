"""Alembic's entry: runs the steps on the connection that it is given."""

from __future__ import annotations

from alembic import context

from shelfcheck.tours.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,  # SQLite changes a table by copying it
)
context.run_migrations()
