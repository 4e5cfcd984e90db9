"""The document an educator writes: a title and the foods to stop at. Every fault is told by its path.

{"title": "Cereal shelf", "lang": "en", "held_on": "2026-12-05", "meal_carbohydrate_g": 45, "show_plan": true,
 "stops": [{"name": "Bran flakes", "question": "How much do you pour?", "measure": "fist",
            "food": "bran_flakes", "panel": {...}}]}
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from datetime import date
from typing import Any, NamedTuple

from shelfcheck import data
from shelfcheck.amounts import amount_from
from shelfcheck.check import refuse
from shelfcheck.errors import InvalidInputError
from shelfcheck.foods import find_food
from shelfcheck.panel import Panel
from shelfcheck.panel_json import panel_from_json, panel_to_json
from shelfcheck.portion import build_plan, build_portion
from shelfcheck.words import DEFAULT, LANGUAGES, say

_PARTS = ("title", "lang", "held_on", "meal_carbohydrate_g", "show_plan", "stops")
_STOP_PARTS = ("id", "name", "question", "measure", "food", "panel")
_NOT_WRITTEN = ("Cc", "Cs")
"""Unicode's control characters and halves of characters, which no database takes alike."""


class StopPlan(NamedTuple):
    """A food to stop at. ``id`` where the tour has it already; ``panel`` as the JSON of the contract."""

    id: int | None
    name: str
    question: str
    measure: str
    food: str | None
    panel: dict[str, Any]


class TourPlan(NamedTuple):
    """A whole tour as its educator wrote it; the phones see the meal's carbohydrate where ``show_plan``.

    ``held_on`` is the day (ISO 8601), where she has set one.
    """

    title: str
    lang: str
    held_on: str | None
    meal_carbohydrate_g: float | None
    show_plan: bool
    stops: tuple[StopPlan, ...]


def plan_from_json(raw: Mapping[str, Any], lang: str = DEFAULT) -> TourPlan:
    """Return the plan that ``raw`` (parsed JSON) describes.

    Raises:
        InvalidInputError: with one sentence for each fault in ``fields``, such as ``stops.0.panel.serving``.
    """
    return _Reader(lang).plan(raw)


class _Reader:
    """Reads one plan and gathers its faults by path."""

    def __init__(self, lang: str) -> None:
        self.lang = lang
        self.faults: dict[str, str] = {}
        self.limits: dict[str, int] = data.load("tour_rules.json")["limits"]

    def plan(self, raw: Mapping[str, Any]) -> TourPlan:
        self.known(raw, _PARTS, "")
        title = self.text(raw.get("title"), "title", self.limits["title"])
        lang = raw.get("lang", DEFAULT)
        if lang not in LANGUAGES:
            self.fault("lang", "one_of", allowed=", ".join(LANGUAGES))
        show = raw.get("show_plan", False)
        if not isinstance(show, bool):
            self.fault("show_plan", "yes_or_no")
        held_on = self.day(raw.get("held_on"))
        meal = self.meal(raw.get("meal_carbohydrate_g"))
        stops = self.stops(raw.get("stops", []))
        if self.faults:
            raise InvalidInputError(say("error.request_faults", self.lang), self.faults)
        return TourPlan(title, lang, held_on, meal, show, stops)

    def day(self, raw: object) -> str | None:
        if raw is None:
            return None
        try:
            return date.fromisoformat(str(raw)).isoformat()
        except ValueError:
            self.fault("held_on", "not_a_day")
            return None

    def meal(self, raw: object) -> float | None:
        if raw is None:
            return None
        if isinstance(raw, bool) or not isinstance(raw, (int, float)):
            self.fault("meal_carbohydrate_g", "not_a_number")
            return None
        try:
            return build_plan(float(raw), None, self.lang).meal_carbohydrate_g
        except (InvalidInputError, OverflowError) as error:
            fields = error.fields if isinstance(error, InvalidInputError) else {}
            told = fields.get("plan.meal_carbohydrate_g") or say("fault.not_a_number", self.lang)
            self.faults["meal_carbohydrate_g"] = told
            return None

    def stops(self, raw: object) -> tuple[StopPlan, ...]:
        if not isinstance(raw, list):
            self.fault("stops", "not_an_object", name="stops")
            return ()
        if len(raw) > self.limits["stops"]:
            self.fault("stops", "stop_count", most=self.limits["stops"])
            return ()
        stops = [self.stop(each, f"stops.{place}") for place, each in enumerate(raw)]
        seen: set[int] = set()
        for place, stop in enumerate(stops):
            if stop.id in seen:
                self.fault(f"stops.{place}.id", "stop_twice")
            seen |= {stop.id} if stop.id is not None else set()
        return tuple(stops)

    def stop(self, raw: object, path: str) -> StopPlan:
        if not isinstance(raw, dict):
            self.fault(path, "not_an_object", name=path)
            return StopPlan(None, "", "", "", None, {})
        self.known(raw, _STOP_PARTS, f"{path}.")
        number = raw.get("id")
        if number is not None and (isinstance(number, bool) or not isinstance(number, int)):
            self.fault(f"{path}.id", "stop_id")
            number = None
        name = self.text(raw.get("name"), f"{path}.name", self.limits["name"])
        question = self.text(raw.get("question", ""), f"{path}.question", self.limits["question"], least=0)
        measure, food = raw.get("measure", "fist"), raw.get("food")
        if not isinstance(measure, str) or not _written(measure):
            self.fault(f"{path}.measure", "not_a_text")
            measure = ""
        if food is not None and not isinstance(food, str):
            self.fault(f"{path}.food", "not_a_text")
            food = None
        panel = self.panel(raw.get("panel"), f"{path}.panel")
        if panel is None or not measure:
            return StopPlan(number, name, question, measure, food, {})
        measure, food = self.eaten(panel, measure, food or panel.food, path)
        return StopPlan(number, name, question, measure, food, panel_to_json(panel, self.lang))

    def panel(self, raw: object, path: str) -> Panel | None:
        if not isinstance(raw, dict):
            self.fault(path, "missing" if raw is None else "not_an_object", name=path)
            return None
        try:
            panel = panel_from_json(raw, self.lang)
            refuse(panel, self.lang)
        except InvalidInputError as error:
            self.faults |= {f"{path}.{at}": why for at, why in error.fields.items()}
            return None
        return panel

    def eaten(self, panel: Panel, measure: str, food: str | None, path: str) -> tuple[str, str | None]:
        """Return the measure and the food by their ids, once one of the measure makes a portion."""
        try:
            known = find_food(food, self.lang) if food else None
            amount = amount_from(1, measure, self.lang)
            build_portion(panel, amount, known, lang=self.lang)
        except InvalidInputError as error:
            self.faults |= {f"{path}.{_place_of(at)}": why for at, why in error.fields.items()}
            return measure, food
        return amount.measure, known.id if known else None

    def text(self, raw: object, path: str, most: int, least: int = 1) -> str:
        text = " ".join(raw.split()) if isinstance(raw, str) else ""
        if not isinstance(raw, str) or not least <= len(text) <= most or not _written(text):
            self.fault(path, "not_a_word", most=most)
        return text

    def known(self, raw: Mapping[str, Any], parts: tuple[str, ...], path: str) -> None:
        for part in raw.keys() - set(parts):
            self.fault(f"{path}{str(part)[:40]}", "unknown_field")

    def fault(self, path: str, code: str, **params: object) -> None:
        self.faults.setdefault(path, say(f"fault.{code}", self.lang, **params))


def _written(text: str) -> bool:
    return not any(unicodedata.category(sign) in _NOT_WRITTEN for sign in text)


def _place_of(field: str) -> str:
    """Return where in a stop a fault of its portion belongs."""
    if field.startswith("amount"):
        return "measure"
    return field if field == "food" else f"panel.{field}"
