"""A portion as the JSON object of the contract, numbers rounded as people read them."""

from __future__ import annotations

from typing import Any

from shelfcheck.insight import Insight, cautions, insights
from shelfcheck.numbers import round_half_up, round_three
from shelfcheck.portion import Eaten, Portion, Range
from shelfcheck.rules import nutrients
from shelfcheck.words import DEFAULT
from shelfcheck.working import working


def portion_to_json(portion: Portion, lang: str = DEFAULT) -> dict[str, Any]:
    """Return ``portion`` with insights, working and cautions in the words of ``lang``."""
    amount = portion.amount
    known = nutrients()
    choices = portion.carb_choices()
    return {
        "amount": {
            "count": amount.count,
            "measure": amount.measure,
            "cooked": amount.cooked,
            "text": amount.text(lang),
        },
        "food": portion.food.id if portion.food else None,
        "coverage": portion.coverage,
        "servings": {**_range(portion.servings, 2), "state": portion.state},
        "grams": _range(portion.grams, 0) if portion.grams else None,
        "nutrients": {key: _eaten(eaten, known[key].decimals) for key, eaten in portion.nutrients.items()},
        "carb_choices": _range(choices, 1) if choices else None,
        "day_sodium_percent": _optional(portion.day_sodium_percent()),
        "meal_carbohydrate_percent": _optional(portion.meal_carbohydrate_percent()),
        "insights": [_insight(insight) for insight in insights(portion, lang)],
        "working": working(portion, lang),
        "cautions": list(cautions(lang)),
    }


def _eaten(eaten: Eaten, decimals: int) -> dict[str, Any]:
    values, unit, percent, state, *_ = eaten
    value, low, high = round_three(values, decimals)
    return {
        "value": value,
        "low": low,
        "high": high,
        "unit": unit,
        "percent_dv": None if percent is None else round_half_up(percent),
        "state": state,
    }


def _optional(share: Range | None) -> dict[str, float] | None:
    return _range(share, 0) if share else None


def _range(values: Range, decimals: int) -> dict[str, float]:
    value, low, high = round_three(values, decimals)
    return {"value": value, "low": low, "high": high}


def _insight(insight: Insight) -> dict[str, Any]:
    code, text, keys, values = insight
    rounded = {key: round_half_up(value, 1) for key, value in values.items()} if values else {}
    return {"code": code, "text": text, "nutrients": list(keys), "values": rounded}
