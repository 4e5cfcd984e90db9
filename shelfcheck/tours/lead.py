"""What an educator does with her tour. Each function takes the token that opens it."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, Literal, NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from shelfcheck.errors import InvalidInputError, StopShownError, TourChangedError
from shelfcheck.tours.codes import new_code, new_token, token_hash
from shelfcheck.tours.plan import StopPlan, TourPlan
from shelfcheck.tours.rows import lead_version, stop_of, stops_of, touch, touch_stop, tour_of_token
from shelfcheck.tours.store import Store
from shelfcheck.tours.tables import Guess, Stop, Tour
from shelfcheck.tours.views import tour_to_json
from shelfcheck.words import DEFAULT, say

State = Literal["waiting", "open", "revealed", "closed"]
STATES: tuple[State, ...] = ("waiting", "open", "revealed", "closed")
_TOUR_PARTS = ("title", "lang", "held_on", "meal_carbohydrate_g", "show_plan")


class Made(NamedTuple):
    """A new tour: the token that opens it, told this once, and what the educator sees."""

    token: str
    tour: dict[str, Any]


def make(store: Store, plan: TourPlan, lang: str = DEFAULT) -> Made:
    """Make a tour with a code and a token of its own."""
    token = new_token()
    with store.writing(lang) as db:
        tour = _with_free_code(store, db, plan, token)
        db.add_all(_stop(tour, each, place) for place, each in enumerate(plan.stops))
    return Made(token, read(store, token, lang))


def read(store: Store, token: str, lang: str = DEFAULT) -> dict[str, Any]:
    """Return everything the educator sees.

    Raises:
        DeadLinkError: when the token opens no tour; so does every function below.
    """
    with store.reading(lang) as db:
        return tour_to_json(store, db, tour_of_token(db, token, lang))


def version(store: Store, token: str, lang: str = DEFAULT) -> str:
    """Return the version of what ``read`` would return, by one query."""
    with store.reading(lang) as db:
        return lead_version(tour_of_token(db, token, lang))


def replace(
    store: Store, token: str, plan: TourPlan, fits: Callable[[str], bool], lang: str = DEFAULT
) -> dict[str, Any]:
    """Put ``plan`` in the place of the tour's own; stops with an id stay, those left out go.

    A plan that the tour has already is no change, whatever version it was made from: it was sent again
    because its answer got lost.

    Args:
        store: where the tour is kept.
        token: what opens it.
        plan: the new plan.
        fits: whether a version is the one that the plan was made from.
        lang: the language of sentences.

    Raises:
        TourChangedError: with the current tour, when it is of another version.
        InvalidInputError: when a stop's id is none of the tour.
    """
    with store.writing(lang) as db:
        tour = tour_of_token(db, token, lang, lock=True)
        fresh = fits(lead_version(tour))
        taken = fresh or _has(db, tour, plan)
        if fresh:
            _apply(db, tour, plan, lang)
            if db.new or db.deleted or any(db.is_modified(row) for row in db.dirty):
                touch(store, db, tour, phones=True)
    now = read(store, token, lang)
    if not taken:
        raise TourChangedError(say("error.tour_changed", lang), now)
    return now


def set_state(store: Store, token: str, stop_id: int, state: State, lang: str = DEFAULT) -> dict[str, Any]:
    """Open, reveal, close or put back a stop; the state it has already changes nothing.

    Raises:
        NoStopError: when the tour has no such stop.
        StopShownError: when it should open although its group has seen the amounts.
    """
    with store.writing(lang) as db:
        tour = tour_of_token(db, token, lang, lock=True)
        stop = stop_of(db, tour, stop_id, lang)
        if stop.state != state:
            if state == "open" and stop.shown:
                raise StopShownError(say("error.stop_shown", lang))
            stop.state = state
            stop.shown = stop.shown or (state == "revealed" and _is_answered(db, stop))
            touch(store, db, tour, phones=True)
    return read(store, token, lang)


def copy(store: Store, token: str, lang: str = DEFAULT) -> Made:
    """Make a new tour of the same plan, without anybody's amounts."""
    with store.reading(lang) as db:
        tour = tour_of_token(db, token, lang)
        plan = _plan_of(db, tour)
    return make(store, plan, lang)


def renew_link(store: Store, token: str, lang: str = DEFAULT) -> str:
    """Return a new token; the old one opens nothing any more."""
    fresh = new_token()
    with store.writing(lang) as db:
        tour = tour_of_token(db, token, lang, lock=True)
        tour.token_hash = token_hash(fresh)
        touch(store, db, tour, phones=False)
    return fresh


def end(store: Store, token: str, lang: str = DEFAULT) -> dict[str, Any]:
    """End the tour: its code lets no phone in any more; the report stays."""
    with store.writing(lang) as db:
        tour = tour_of_token(db, token, lang, lock=True)
        if not tour.ended:
            tour.ended = True
            touch(store, db, tour, phones=True)
    return read(store, token, lang)


def delete(store: Store, token: str, lang: str = DEFAULT) -> None:
    """Delete the tour with all that was said in it."""
    with store.writing(lang) as db:
        db.delete(tour_of_token(db, token, lang, lock=True))


def _with_free_code(store: Store, db: Session, plan: TourPlan, token: str) -> Tour:
    """Return a new row; a code that is taken is drawn again."""
    values = {part: value for part, value in plan._asdict().items() if part != "stops"}
    values |= {"token_hash": token_hash(token), "changed_at": store.now}
    while True:
        added = store.insert(Tour).values(code=new_code(), **values)
        added = added.on_conflict_do_nothing(index_elements=[Tour.code])
        tour = db.scalars(added.returning(Tour)).one_or_none()
        if tour is not None:
            store.calendar.note(tour.id)
            return tour


def _has(db: Session, tour: Tour, plan: TourPlan) -> bool:
    """Tell whether the tour's plan is this one; a stop that was sent as new may have its id by now."""
    stops = stops_of(db, tour)
    return (
        all(getattr(tour, part) == getattr(plan, part) for part in _TOUR_PARTS)
        and len(stops) == len(plan.stops)
        and all(
            _is(stop, each, place) for place, (stop, each) in enumerate(zip(stops, plan.stops, strict=True))
        )
    )


def _is(stop: Stop, plan: StopPlan, place: int) -> bool:
    same = all(getattr(stop, part) == value for part, value in _parts(plan, place).items())
    return same and plan.id in (None, stop.id)


def _apply(db: Session, tour: Tour, plan: TourPlan, lang: str) -> None:
    known = {stop.id: stop for stop in stops_of(db, tour)}
    strange = [place for place, each in enumerate(plan.stops) if each.id is not None and each.id not in known]
    if strange:
        faults = {f"stops.{place}.id": say("fault.stop_id", lang) for place in strange}
        raise InvalidInputError(say("error.request_faults", lang), faults)
    for part in _TOUR_PARTS:
        setattr(tour, part, getattr(plan, part))
    for place, each in enumerate(plan.stops):
        if each.id is None:
            db.add(_stop(tour, each, place))
        else:
            _change(known.pop(each.id), each, place)
    for stop in known.values():
        db.delete(stop)


def _change(stop: Stop, plan: StopPlan, place: int) -> None:
    before = (stop.measure, stop.food, stop.panel)
    for part, value in _parts(plan, place).items():
        setattr(stop, part, value)
    if before != (stop.measure, stop.food, stop.panel):
        touch_stop(stop)


def _stop(tour: Tour, plan: StopPlan, place: int) -> Stop:
    return Stop(tour_id=tour.id, **_parts(plan, place))


def _parts(plan: StopPlan, place: int) -> dict[str, Any]:
    parts = {part: value for part, value in plan._asdict().items() if part != "id"}
    return parts | {"position": place, "panel": json.dumps(plan.panel)}


def _plan_of(db: Session, tour: Tour) -> TourPlan:
    stops = tuple(
        StopPlan(None, stop.name, stop.question, stop.measure, stop.food, json.loads(stop.panel))
        for stop in stops_of(db, tour)
    )
    return TourPlan(tour.title, tour.lang, tour.held_on, tour.meal_carbohydrate_g, tour.show_plan, stops)


def _is_answered(db: Session, stop: Stop) -> bool:
    return db.scalar(select(Guess.id).where(Guess.stop_id == stop.id).limit(1)) is not None


def state_from(raw: object, lang: str = DEFAULT) -> State:
    """Return the state that ``raw`` names.

    Raises:
        InvalidInputError: when it names none.
    """
    if raw not in STATES:
        told = say("fault.one_of", lang, allowed=", ".join(STATES))
        raise InvalidInputError(say("error.request_faults", lang), {"state": told})
    return raw
