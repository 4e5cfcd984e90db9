"""A tour as the educator sees it, and as the phones do: what is not open yet, they do not get."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shelfcheck.amounts import Amount
from shelfcheck.foods import food_by_id
from shelfcheck.panel import Panel
from shelfcheck.panel_json import panel_from_json
from shelfcheck.tours.codes import shown_code
from shelfcheck.tours.group import Said, build_group, group_to_json
from shelfcheck.tours.rows import lead_version, phone_version, phones_of, stops_of
from shelfcheck.tours.store import Store
from shelfcheck.tours.tables import Guess, Phone, Practice, Stop, Tour


def tour_to_json(store: Store, db: Session, tour: Tour) -> dict[str, Any]:
    """Return everything the educator sees of her tour."""
    stops = stops_of(db, tour)
    answered = _answered(db, tour)
    return {
        "version": lead_version(tour),
        "code": shown_code(tour.code),
        "ended": tour.ended,
        "kept_until": _kept_until(store, tour),
        "title": tour.title,
        "lang": tour.lang,
        "held_on": tour.held_on,
        "meal_carbohydrate_g": tour.meal_carbohydrate_g,
        "show_plan": tour.show_plan,
        "phones": phones_of(db, tour),
        "practised": _practised(db, tour),
        "stops": [
            _named(stop)
            | {
                "food": stop.food,
                "panel": json.loads(stop.panel),
                "answered": answered.get(stop.id, 0),
                "group": group_of(store, db, stop) if _is_shown(stop) else None,
            }
            for stop in stops
        ],
    }


def phone_to_json(store: Store, db: Session, tour: Tour) -> dict[str, Any]:
    """Return what a phone may see of the tour by now."""
    return {
        "version": phone_version(tour),
        "code": shown_code(tour.code),
        "title": tour.title,
        "lang": tour.lang,
        "held_on": tour.held_on,
        "meal_carbohydrate_g": tour.meal_carbohydrate_g if tour.show_plan else None,
        "stops": [
            _named(stop)
            | {
                "food": stop.food if stop.state != "waiting" else None,
                "panel": json.loads(stop.panel) if stop.state != "waiting" else None,
                "group": group_of(store, db, stop) if _is_shown(stop) else None,
            }
            for stop in stops_of(db, tour)
        ],
    }


def group_of(store: Store, db: Session, stop: Stop) -> dict[str, Any]:
    """Return the group's amounts at a stop, worked out once for each version of it.

    Call it while reading only: what a writing session sees may never come to be.
    """
    return store.remember(("group", stop.id, stop.version), lambda: _group(db, stop))


def panel_of(stop: Stop) -> Panel:
    """Return the stop's panel."""
    return _read_panel(stop.panel)


def _group(db: Session, stop: Stop) -> dict[str, Any]:
    guesses = db.scalars(select(Guess).where(Guess.stop_id == stop.id))
    said = (Said(Amount(g.count, g.measure, g.cooked), json.loads(g.hands or "{}"), g.late) for g in guesses)
    food = food_by_id(stop.food) if stop.food else None
    return group_to_json(build_group(panel_of(stop), food, stop.measure, said))


@lru_cache(maxsize=256)
def _read_panel(text: str) -> Panel:
    return panel_from_json(json.loads(text))


def _named(stop: Stop) -> dict[str, Any]:
    return {
        "id": stop.id,
        "name": stop.name,
        "question": stop.question,
        "measure": stop.measure,
        "state": stop.state,
    }


def _is_shown(stop: Stop) -> bool:
    """Tell whether the group sees its amounts now."""
    return stop.state == "revealed" or (stop.state == "closed" and stop.shown)


def _answered(db: Session, tour: Tour) -> dict[int, int]:
    counted = (
        select(Guess.stop_id, func.count())
        .join(Stop, Stop.id == Guess.stop_id)
        .where(Stop.tour_id == tour.id)
        .group_by(Guess.stop_id)
    )
    return {row[0]: row[1] for row in db.execute(counted)}


def _practised(db: Session, tour: Tour) -> dict[str, int]:
    counted = (
        select(Practice.round, func.count(Practice.phone_id.distinct()))
        .join(Phone, Phone.id == Practice.phone_id)
        .where(Phone.tour_id == tour.id)
        .group_by(Practice.round)
    )
    return {"before": 0, "after": 0} | {row[0]: row[1] for row in db.execute(counted)}


def _kept_until(store: Store, tour: Tour) -> str:
    return (datetime.fromtimestamp(tour.changed_at, UTC) + timedelta(days=store.days)).date().isoformat()
