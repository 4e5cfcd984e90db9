"""How long tours are kept: some days after their last change, then all of it goes."""

from __future__ import annotations

from contextlib import suppress

from sqlalchemy import delete, select

from shelfcheck.errors import StoreError
from shelfcheck.tours.store import Store
from shelfcheck.tours.tables import Tour

_HOUR = 60 * 60


def sweep(store: Store) -> None:
    """Delete every tour that was not changed for as many days as tours are kept.

    Raises:
        StoreError: when the database does not answer.
    """
    old = Tour.changed_at < store.calendar.outdated()
    with store.writing() as db:
        for tour in db.scalars(select(Tour.id).where(old)).all():
            if not store.calendar.is_fresh(tour):
                db.execute(delete(Tour).where(Tour.id == tour, old))  # another may have changed it by now


def tidy(store: Store) -> None:
    """Sweep when that was not done for an hour; a database that does not answer is swept another time."""
    if abs(store.now - store.swept_at) >= _HOUR:
        store.swept_at = store.now
        with suppress(StoreError):
            sweep(store)
