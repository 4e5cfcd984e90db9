"""One case in, Python's answer out; ``run.mjs`` gives JavaScript's answer to the same case.

A case is ``{"ask": "portion", "given": {...}}``, what ``POST /api/portions`` takes with ``lang`` beside
it, or ``{"ask": "check", "given": {"panel": ..., "lang": ...}}``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shelfcheck.amounts import amount_from
from shelfcheck.check import checked, refuse
from shelfcheck.errors import InvalidInputError, gather
from shelfcheck.foods import find_food
from shelfcheck.measures import hands_from
from shelfcheck.panel import Panel
from shelfcheck.panel_json import panel_from_json, panel_to_json
from shelfcheck.portion import Portion, Range, build_plan, build_portion
from shelfcheck.portion_json import portion_to_json


def ask(case: Mapping[str, Any]) -> dict[str, Any]:
    """Return ``{"answer": ...}`` as people see it, and for a portion its numbers ``unrounded``.

    The answer of a case that cannot be worked out is its ``{"error": ...}``, or ``{"faults": ...}``.
    """
    return _check(case["given"]) if case["ask"] == "check" else _portion(case["given"])


def _check(given: Mapping[str, Any]) -> dict[str, Any]:
    lang = given["lang"]
    try:
        panel = checked(panel_from_json(given["panel"], lang), lang)
    except InvalidInputError as error:
        return {"answer": {"faults": error.fields}}
    return {"answer": {"panel": panel_to_json(panel, lang)}}


def _portion(given: Mapping[str, Any]) -> dict[str, Any]:
    try:
        portion = work_out(given)
    except InvalidInputError as error:
        return {"answer": error.to_json()}
    return {"answer": portion_to_json(portion, given["lang"]), "unrounded": _unrounded(portion)}


def work_out(given: Mapping[str, Any]) -> Portion:
    """Return the portion, by the same steps as the service.

    Raises:
        InvalidInputError: of whatever kind the core raises.
    """
    lang, amount, plan = given["lang"], given["amount"], given["plan"] or {}

    def read_panel() -> Panel:
        panel = panel_from_json(given["panel"], lang)
        refuse(panel, lang)
        return panel

    panel, said, hands, plans = gather(
        lang,
        read_panel,
        lambda: amount_from(amount["count"], amount["measure"], lang, cooked=amount["cooked"]),
        lambda: hands_from(given["hands"], lang),
        lambda: build_plan(plan.get("meal_carbohydrate_g"), plan.get("day_sodium_mg"), lang),
    )
    name = given["food"] or panel.food
    food = find_food(name, lang) if name else None
    return build_portion(panel, said, food, hands=hands, plan=plans, coverage=given["coverage"], lang=lang)


def _unrounded(portion: Portion) -> dict[str, list[float | None] | None]:
    named = {
        "servings": portion.servings,
        "grams": portion.grams,
        "carb_choices": portion.carb_choices(),
        "day_sodium_percent": portion.day_sodium_percent(),
        "meal_carbohydrate_percent": portion.meal_carbohydrate_percent(),
    }
    eaten = {key: [*_ends(eaten.range), eaten.percent_dv] for key, eaten in portion.nutrients.items()}
    return {key: _ends(found) if found else None for key, found in named.items()} | eaten


def _ends(found: Range) -> list[float | None]:
    return [found.value, found.low, found.high]
