"""The tables of tours. No names, no accounts, no times of single answers: nothing that tells who said what.

Ids are never used again, so that an answer which waited on a phone cannot reach another food.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

_NEVER_AGAIN = {"sqlite_autoincrement": True}


class Base(DeclarativeBase):
    """What the tables have in common."""


class Tour(Base):
    """A tour. ``version`` counts every change, ``phone_version`` those that the phones can see."""

    __tablename__ = "tour"
    __table_args__ = _NEVER_AGAIN

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(String(16), unique=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    version: Mapped[int] = mapped_column(default=1)
    phone_version: Mapped[int] = mapped_column(default=1)
    changed_at: Mapped[int] = mapped_column(BigInteger, index=True)
    ended: Mapped[bool] = mapped_column(default=False)
    title: Mapped[str] = mapped_column(Text)
    lang: Mapped[str] = mapped_column(String(2))
    held_on: Mapped[str | None] = mapped_column(String(10))
    meal_carbohydrate_g: Mapped[float | None]
    show_plan: Mapped[bool] = mapped_column(default=False)


class Stop(Base):
    """A food of a tour. ``shown`` once its group's amounts were revealed; ``version`` counts its changes."""

    __tablename__ = "stop"
    __table_args__ = (
        CheckConstraint("state IN ('waiting', 'open', 'revealed', 'closed')", name="stop_state"),
        _NEVER_AGAIN,
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    tour_id: Mapped[int] = mapped_column(ForeignKey("tour.id", ondelete="CASCADE"), index=True)
    position: Mapped[int]
    name: Mapped[str] = mapped_column(Text)
    question: Mapped[str] = mapped_column(Text)
    measure: Mapped[str] = mapped_column(Text)
    food: Mapped[str | None] = mapped_column(Text)
    panel: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(8), default="waiting")
    shown: Mapped[bool] = mapped_column(default=False)
    version: Mapped[int] = mapped_column(default=1)


class Phone(Base):
    """A phone that joined, by a hash that links to nothing else."""

    __tablename__ = "phone"
    __table_args__ = (UniqueConstraint("tour_id", "hash", name="phone_once"), _NEVER_AGAIN)

    id: Mapped[int] = mapped_column(primary_key=True)
    tour_id: Mapped[int] = mapped_column(ForeignKey("tour.id", ondelete="CASCADE"))
    hash: Mapped[str] = mapped_column(String(64))


class Guess(Base):
    """What a phone said at a stop; ``hands`` holds the numbers of a measured hand as JSON."""

    __tablename__ = "guess"
    __table_args__ = (UniqueConstraint("stop_id", "phone_id", name="guess_once"), _NEVER_AGAIN)

    id: Mapped[int] = mapped_column(primary_key=True)
    stop_id: Mapped[int] = mapped_column(ForeignKey("stop.id", ondelete="CASCADE"))
    phone_id: Mapped[int] = mapped_column(ForeignKey("phone.id", ondelete="CASCADE"), index=True)
    count: Mapped[float]
    measure: Mapped[str] = mapped_column(Text)
    cooked: Mapped[bool]
    hands: Mapped[str | None] = mapped_column(Text)
    late: Mapped[bool]


class Practice(Base):
    """What a phone's owner poured for one of a measure, in the measure's own unit."""

    __tablename__ = "practice"
    __table_args__ = (
        UniqueConstraint("phone_id", "round", "measure", name="practice_once"),
        CheckConstraint("round IN ('before', 'after')", name="practice_round"),
        _NEVER_AGAIN,
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    phone_id: Mapped[int] = mapped_column(ForeignKey("phone.id", ondelete="CASCADE"))
    round: Mapped[str] = mapped_column(String(6))
    measure: Mapped[str] = mapped_column(Text)
    measured: Mapped[float]
