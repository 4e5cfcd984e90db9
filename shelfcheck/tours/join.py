"""What a phone does: see the tour, say an amount, practise. It gives a random number, and no name."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from typing import Any, NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from shelfcheck.amount_json import amount_from_json
from shelfcheck.amounts import Amount
from shelfcheck.errors import GuessShownError, InvalidInputError, NotOpenError, StopClosedError, gather
from shelfcheck.foods import food_by_id
from shelfcheck.measures import hands_from
from shelfcheck.portion import build_portion
from shelfcheck.tours.practice import Poured, poured_from
from shelfcheck.tours.rows import (
    joined_phone,
    known_phone,
    phone_version,
    stop_of,
    stops_of,
    touch,
    touch_stop,
    tour_of_code,
)
from shelfcheck.tours.store import Store
from shelfcheck.tours.tables import Guess, Practice, Stop
from shelfcheck.tours.views import panel_of, phone_to_json
from shelfcheck.words import DEFAULT, say


class Sent(NamedTuple):
    """An amount as a phone sent it; ``hands`` as JSON, for its owner's hand where it was measured."""

    phone: str
    amount: Amount
    hands: str | None


def see(store: Store, code: str, lang: str = DEFAULT) -> dict[str, Any]:
    """Return what a phone may see by now.

    Raises:
        NoTourError: when no tour goes on under this code; so does every function below.
    """
    with store.reading(lang) as db:
        return phone_to_json(store, db, tour_of_code(db, code, lang))


def version(store: Store, code: str, lang: str = DEFAULT) -> str:
    """Return the version of what ``see`` would return, by one query."""
    with store.reading(lang) as db:
        return phone_version(tour_of_code(db, code, lang))


def enter(store: Store, code: str, raw: Mapping[str, Any], lang: str = DEFAULT) -> None:
    """Count the phone among those that joined.

    Raises:
        InvalidInputError: when ``phone`` is no UUID.
        TourFullError: when as many phones joined as a tour can have.
    """
    phone = phone_from(raw, lang)
    with store.writing(lang) as db:
        tour = tour_of_code(db, code, lang, lock=True)
        if joined_phone(store, db, tour, phone, lang)[1]:
            touch(store, db, tour, phones=False)


def guess(
    store: Store, code: str, stop_id: int, raw: Mapping[str, Any], lang: str = DEFAULT
) -> dict[str, Any]:
    """Keep what a phone said at a stop, and return it as it is kept.

    Before the reveal it takes the place of what the phone said there before. After it, a first answer
    that had waited is taken and marked late. The same answer sent again changes nothing.

    Raises:
        InvalidInputError: with the faults of the amount and the hands, by the field.
        NoStopError, NotOpenError, StopClosedError, GuessShownError, TourFullError: why it is not taken.
    """
    sent = _sent_from(raw, lang)
    with store.writing(lang) as db:
        tour = tour_of_code(db, code, lang, lock=True)
        stop = stop_of(db, tour, stop_id, lang)
        before = _guess_of(db, stop, known.id) if (known := known_phone(db, tour, sent.phone)) else None
        if before is not None and _same(before, sent):
            return _told(before)
        _refuse(stop, before, lang)
        _try_portion(stop, sent, lang)
        phone, _ = joined_phone(store, db, tour, sent.phone, lang)
        late = stop.state == "revealed"
        values = {**sent.amount._asdict(), "hands": sent.hands, "late": late}
        added = store.insert(Guess).values(stop_id=stop.id, phone_id=phone.id, **values)
        added = added.on_conflict_do_update(index_elements=["stop_id", "phone_id"], set_=values)
        db.execute(added)
        stop.shown = stop.shown or late
        touch_stop(stop)
        touch(store, db, tour, phones=late)
    return _said(sent.amount, sent.hands, late=late)


def practise(store: Store, code: str, raw: Mapping[str, Any], lang: str = DEFAULT) -> dict[str, Any]:
    """Keep what somebody poured for one of a measure, in place of what they poured in that round before.

    Raises:
        InvalidInputError: with every fault by its field.
        TourFullError: when as many phones joined as a tour can have.
    """
    phone, poured = gather(lang, lambda: phone_from(raw, lang), lambda: poured_from(raw, lang))
    with store.writing(lang) as db:
        tour = tour_of_code(db, code, lang, lock=True)
        row, _ = joined_phone(store, db, tour, phone, lang)
        added = store.insert(Practice).values(phone_id=row.id, **poured._asdict())
        keys = ["phone_id", "round", "measure"]
        db.execute(added.on_conflict_do_update(index_elements=keys, set_={"measured": poured.measured}))
        touch(store, db, tour, phones=False)
    found: dict[str, Any] = poured._asdict()
    return found


def mine(store: Store, code: str, raw: Mapping[str, Any], lang: str = DEFAULT) -> dict[str, Any]:
    """Return what this one phone said and poured, for a page that was loaded again.

    Raises:
        InvalidInputError: when ``phone`` is no UUID.
    """
    number = phone_from(raw, lang)
    with store.reading(lang) as db:
        tour = tour_of_code(db, code, lang)
        phone = known_phone(db, tour, number)
        stops = [stop.id for stop in stops_of(db, tour)]
        key = phone.id if phone else None
        guesses = db.scalars(select(Guess).where(Guess.phone_id == key))
        said = {guess.stop_id: _told(guess) for guess in guesses}
        poured = db.scalars(select(Practice).where(Practice.phone_id == key).order_by(Practice.id))
        return {
            "guesses": [{"stop": stop, **said[stop]} for stop in stops if stop in said],
            "practice": [Poured(row.round, row.measure, row.measured)._asdict() for row in poured],
        }


def phone_from(raw: Mapping[str, Any], lang: str = DEFAULT) -> str:
    """Return the phone's random number.

    Raises:
        InvalidInputError: when it is no UUID.
    """
    phone = raw.get("phone")
    try:
        return str(uuid.UUID(phone if isinstance(phone, str) else ""))
    except ValueError:
        told = say("fault.phone" if phone is not None else "fault.missing", lang)
        raise InvalidInputError(say("error.request_faults", lang), {"phone": told}) from None


def _sent_from(raw: Mapping[str, Any], lang: str) -> Sent:
    amount = {part: value for part, value in raw.items() if part not in ("phone", "hands")}
    phone, said, hands = gather(
        lang,
        lambda: phone_from(raw, lang),
        lambda: _flat(amount, lang),
        lambda: _hands(raw.get("hands"), lang),
    )
    return Sent(phone, said, hands)


def _flat(raw: Mapping[str, Any], lang: str) -> Amount:
    """Return the amount whose parts stand beside the phone, faults by the same paths."""
    try:
        return amount_from_json(raw, lang)
    except InvalidInputError as error:
        raise _by_own_paths(error) from None


def _by_own_paths(error: InvalidInputError) -> InvalidInputError:
    fields = {path.removeprefix("amount."): why for path, why in error.fields.items()}
    return type(error)(error.message, fields)


def _hands(raw: object, lang: str) -> str | None:
    if raw is None or raw == {}:
        return None
    if not isinstance(raw, dict):
        told = say("fault.not_an_object", lang, name="hands")
        raise InvalidInputError(say("error.request_faults", lang), {"hands": told})
    hands_from(raw, lang)
    return json.dumps({name: float(size) for name, size in raw.items()}, sort_keys=True)


def _refuse(stop: Stop, before: Guess | None, lang: str) -> None:
    """Raise when the stop does not take this amount now."""
    if stop.state == "waiting":
        raise NotOpenError(say("error.not_open", lang))
    if stop.state == "closed":
        raise StopClosedError(say("error.stop_closed", lang))
    if stop.state == "revealed" and before is not None:
        raise GuessShownError(say("error.guess_shown", lang))


def _try_portion(stop: Stop, sent: Sent, lang: str) -> None:
    """Raise, with the core's own sentence, when the amount makes no portion of this food."""
    food = food_by_id(stop.food) if stop.food else None
    hands = hands_from(json.loads(sent.hands or "{}"), lang)
    try:
        build_portion(panel_of(stop), sent.amount, food, hands=hands, lang=lang)
    except InvalidInputError as error:
        raise _by_own_paths(error) from None


def _guess_of(db: Session, stop: Stop, phone_id: int) -> Guess | None:
    return db.scalars(select(Guess).where(Guess.stop_id == stop.id, Guess.phone_id == phone_id)).one_or_none()


def _same(guess: Guess, sent: Sent) -> bool:
    before = (guess.count, guess.measure, guess.cooked, guess.hands)
    return before == (*sent.amount, sent.hands)


def _told(guess: Guess) -> dict[str, Any]:
    return _said(Amount(guess.count, guess.measure, guess.cooked), guess.hands, late=guess.late)


def _said(amount: Amount, hands: str | None, *, late: bool) -> dict[str, Any]:
    return {"guess": {**amount._asdict(), "hands": json.loads(hands or "{}")}, "late": late}
