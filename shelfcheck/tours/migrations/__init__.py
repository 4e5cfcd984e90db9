"""Brings the tables to their newest form, step by step; two services may start at once."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text

_LOCK = 0x5E1FC4EC
"""The advisory lock that replicas on one PostgreSQL take; any number that nobody else uses."""


NEWEST = "0001"
"""The step that the tables of this release are at."""


class StrangeTablesError(Exception):
    """The tables are of a step that this release does not know: a newer release made them."""


def is_newest(connection: Connection) -> bool:
    """Tell, without any lock, whether the tables are those of this release."""
    if not inspect(connection).has_table("alembic_version"):
        return False
    return bool(connection.scalar(text("SELECT version_num FROM alembic_version")) == NEWEST)


def upgrade(connection: Connection) -> None:
    """Run every step that is still to be done, inside the transaction of ``connection``.

    On SQLite the transaction holds the write lock already; on PostgreSQL an advisory lock is taken.

    Raises:
        StrangeTablesError: when the tables are of a step that is not known here.
    """
    from alembic import command
    from alembic.config import Config
    from alembic.util import CommandError

    if connection.dialect.name == "postgresql":
        connection.execute(text("SET LOCAL lock_timeout = '60s'"))
        connection.execute(text("SET LOCAL statement_timeout = '60s'"))
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, "head")
    except CommandError as error:
        raise StrangeTablesError(str(error)) from error
