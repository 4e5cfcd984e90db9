"""Make the tables of tours."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables, parents first."""
    op.create_table(
        "tour",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("code", sa.String(16), nullable=False, unique=True),
        sa.Column("token_hash", sa.String(64), nullable=False, unique=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("phone_version", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.BigInteger(), nullable=False, index=True),
        sa.Column("ended", sa.Boolean(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("lang", sa.String(2), nullable=False),
        sa.Column("held_on", sa.String(10), nullable=True),
        sa.Column("meal_carbohydrate_g", sa.Double(), nullable=True),
        sa.Column("show_plan", sa.Boolean(), nullable=False),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "stop",
        sa.Column("id", sa.Integer(), primary_key=True),
        _belongs_to("tour", index=True),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("question", sa.Text(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("food", sa.Text(), nullable=True),
        sa.Column("panel", sa.Text(), nullable=False),
        sa.Column("state", sa.String(8), nullable=False),
        sa.Column("shown", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("state IN ('waiting', 'open', 'revealed', 'closed')", name="stop_state"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "phone",
        sa.Column("id", sa.Integer(), primary_key=True),
        _belongs_to("tour"),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.UniqueConstraint("tour_id", "hash", name="phone_once"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "guess",
        sa.Column("id", sa.Integer(), primary_key=True),
        _belongs_to("stop"),
        _belongs_to("phone", index=True),
        sa.Column("count", sa.Double(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("cooked", sa.Boolean(), nullable=False),
        sa.Column("hands", sa.Text(), nullable=True),
        sa.Column("late", sa.Boolean(), nullable=False),
        sa.UniqueConstraint("stop_id", "phone_id", name="guess_once"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "practice",
        sa.Column("id", sa.Integer(), primary_key=True),
        _belongs_to("phone"),
        sa.Column("round", sa.String(6), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("measured", sa.Double(), nullable=False),
        sa.CheckConstraint("round IN ('before', 'after')", name="practice_round"),
        sa.UniqueConstraint("phone_id", "round", "measure", name="practice_once"),
        sqlite_autoincrement=True,
    )


def downgrade() -> None:
    """Drop the tables, children first."""
    for table in ("practice", "guess", "phone", "stop", "tour"):
        op.drop_table(table)


def _belongs_to(table: str, *, index: bool = False) -> sa.Column[int]:
    key = sa.ForeignKey(f"{table}.id", ondelete="CASCADE")
    return sa.Column(f"{table}_id", sa.Integer(), key, nullable=False, index=index)
