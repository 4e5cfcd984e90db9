"""Rows of a tour found and locked: by the lead's token, by the join code, by a stop's id."""

from __future__ import annotations

from sqlalchemy import Select, case, func, select
from sqlalchemy.orm import Session

from shelfcheck import data
from shelfcheck.errors import DeadLinkError, NoStopError, NoTourError, TourEndedError, TourFullError
from shelfcheck.tours.codes import phone_hash, token_fits, token_hash, typed_code
from shelfcheck.tours.store import Store
from shelfcheck.tours.tables import Phone, Stop, Tour
from shelfcheck.words import DEFAULT, say


def tour_of_token(db: Session, token: str, lang: str = DEFAULT, *, lock: bool = False) -> Tour:
    """Return the tour that ``token`` opens; with ``lock`` nobody else changes it meanwhile.

    Raises:
        DeadLinkError: when there is none.
    """
    tour = _found(db, select(Tour).where(Tour.token_hash == token_hash(token)), lock=lock)
    if tour is None or not token_fits(token, tour.token_hash):
        raise DeadLinkError(say("error.dead_link", lang))
    return tour


def tour_of_code(db: Session, code: str, lang: str = DEFAULT, *, lock: bool = False) -> Tour:
    """Return the tour that goes on under ``code`` as it was typed; ``lock`` as above.

    Raises:
        NoTourError: when there is none; TourEndedError, which is one, when it has ended.
    """
    tour = _found(db, select(Tour).where(Tour.code == typed_code(code)), lock=lock)
    if tour is None:
        raise NoTourError(say("error.no_tour", lang))
    if tour.ended:
        raise TourEndedError(say("error.no_tour", lang))
    return tour


def stop_of(db: Session, tour: Tour, stop_id: int, lang: str = DEFAULT) -> Stop:
    """Return a stop of the tour.

    Raises:
        NoStopError: when the tour has no such stop.
    """
    most = 2**31  # beyond it no id can be, and some databases refuse the question
    stop = db.get(Stop, stop_id) if stop_id < most else None
    if stop is None or stop.tour_id != tour.id:
        raise NoStopError(say("error.no_stop", lang))
    return stop


def stops_of(db: Session, tour: Tour) -> list[Stop]:
    """Return the stops of the tour in their order."""
    return list(db.scalars(select(Stop).where(Stop.tour_id == tour.id).order_by(Stop.position)))


def known_phone(db: Session, tour: Tour, phone: str) -> Phone | None:
    """Return the phone, when it has joined this tour."""
    wanted = select(Phone).where(Phone.tour_id == tour.id, Phone.hash == phone_hash(tour.id, phone))
    return db.scalars(wanted).one_or_none()


def joined_phone(
    store: Store, db: Session, tour: Tour, phone: str, lang: str = DEFAULT
) -> tuple[Phone, bool]:
    """Return the phone, joined now where it had not, and whether it is new. ``tour`` must be locked.

    Raises:
        TourFullError: when as many phones joined as a tour can have.
    """
    known = known_phone(db, tour, phone)
    if known:
        return known, False
    most = int(data.load("tour_rules.json")["limits"]["phones"])
    if phones_of(db, tour) >= most:
        raise TourFullError(say("error.tour_full", lang, most=most))
    added = store.insert(Phone).values(tour_id=tour.id, hash=phone_hash(tour.id, phone))
    return db.scalars(added.returning(Phone)).one(), True


def phones_of(db: Session, tour: Tour) -> int:
    """Return how many phones joined the tour."""
    return db.scalar(select(func.count()).select_from(Phone).where(Phone.tour_id == tour.id)) or 0


def touch(store: Store, db: Session, tour: Tour, *, phones: bool) -> None:
    """Count a change of the tour, in the same transaction; ``phones`` when they can see it.

    The time of its last change never goes back, even where the clock does.
    """
    tour.version = Tour.version + 1  # an expression: the database counts
    if phones:
        tour.phone_version = Tour.phone_version + 1
    now = store.now
    tour.changed_at = case((Tour.changed_at < now, now), else_=Tour.changed_at)
    store.calendar.note(tour.id)
    db.flush()


def touch_stop(stop: Stop) -> None:
    """Count a change of what a stop's group holds."""
    stop.version = Stop.version + 1


def lead_version(tour: Tour) -> str:
    """Return the version of what the educator sees; a tour made later never has it."""
    return f"{tour.id}-{tour.version}"


def phone_version(tour: Tour) -> str:
    """Return the version of what the phones see."""
    return f"{tour.id}-{tour.phone_version}"


def _found(db: Session, wanted: Select[Tour], *, lock: bool) -> Tour | None:
    return db.scalars(wanted.with_for_update() if lock else wanted).one_or_none()
