"""Random cases, the same for the same seed: panels, amounts, foods, hands and plans, partly awkward.

Awkward are ties, thirds cut short, zeros, "less than", units that nobody knows, numbers that cannot be.
"""

from __future__ import annotations

from random import Random
from typing import Any

from shelfcheck.foods import foods
from shelfcheck.measures import measures
from shelfcheck.rules import Nutrient, declare, nutrients, printed_percent

THIRDS = (1 / 3, 2 / 3, 0.333, 0.33, 0.667, 0.67, 0.6667, 1.33, 1.6667, 0.17, 0.8333)
FOODS = tuple(foods())
PLAIN = (0.25, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 12, 16, 24)
TIES = (0.005, 0.015, 0.05, 0.125, 0.15, 0.35, 1.005, 2.675, 7.45, 10.03125, 1.015625, 0.0005)
COUNTS = (0, -1, 1e-7, 0.001, 0.37, 100, 10_000, 10_001)
VOLUMES = ("cup", "tbsp", "tsp", "fl_oz", "fl oz", "tablespoon")
HOUSEHOLD = (*VOLUMES, "oz", "ounce", "g", "piece", "slice", "bar", "Crackers", "cookies")
PACKAGES = ("bottle", "can", "package", "container", "pouches", "Box")
ODD_UNITS = ("pretzel twists", "constructor", "Galletas", "glass", "rodaja", " CUP ")
WORDS = (
    "Fists",
    "puños",
    "handful",
    "2 dedos",
    "two-fingers",
    "half_fist",
    "mL",
    "slices",
    "lata",
    "wing",
    "crackers.",
    "toString",
)
NAMES = ("rice", "arroz", "peanut butter", "Almendras", "white", "no such food", "constructor", "", "  ")
HANDS = {
    "fist_ml": (90, 600),
    "fist_water_ml": (150, 1100),
    "hand_breadth_mm": (60, 115),
    "thumb_ml": (6, 40),
    "palmful_g": (28, 80),
}
METRIC = (1, 1.5, 3.7, 5, 14, 15, 28, 30, 45, 55, 56, 85, 100, 240, 355)
CONTAINERS = (None, 1, 2, 4.5, 12, {"value": 2.5, "about": True}, {"value": 30, "about": True})
TEXTS = ("", "", "2/3 cup (55g)", "$& about 3 {pieces}", "\N{BREAD}" * 50)
PIECES = (*[None] * 9, 1, {"value": 5}, {"value": 24, "about": True}, {"value": None, "about": True})
BAD_VALUES: tuple[Any, ...] = (-1, 1e9, "12", True, [], {"state": "sure"}, {"value": 3, "state": "maybe"})


def random_cases(count: int, seed: int) -> list[dict[str, Any]]:
    """Return ``count`` cases for ``ask``; one in five asks for the check of a panel."""
    random = Random(seed)
    return [_case(random) for _ in range(count)]


def _case(random: Random) -> dict[str, Any]:
    lang = random.choice(("en", "es"))
    if random.random() < 0.2:
        return {"ask": "check", "given": {"panel": _panel(random), "lang": lang}}
    amount = {"count": _count(random), "measure": _measure(random), "cooked": random.random() < 0.25}
    given = {
        "panel": _panel(random),
        "amount": amount,
        "food": _food(random),
        "hands": _hands(random),
        "plan": _plan(random),
        "coverage": random.choice((1, 1, 2)),
        "lang": lang,
    }
    return {"ask": "portion", "given": given}


def _count(random: Random) -> float:
    if random.random() < 0.05:
        return random.choice(COUNTS)
    return random.choice((_number(random), random.choice(PLAIN), round(random.uniform(0.01, 30), 2)))


def _number(random: Random) -> float:
    kinds = (random.choice(THIRDS), random.choice(PLAIN), random.choice(TIES), random.uniform(0.01, 60))
    return random.choices(kinds, (3, 5, 1, 2))[0]


def _measure(random: Random) -> str:
    others = (*HOUSEHOLD, *PACKAGES, *WORDS)
    return random.choice(list(measures())) if random.random() < 0.75 else random.choice(others)


def _food(random: Random) -> str | None:
    kinds = (None, random.choice(FOODS), random.choice(NAMES))
    return random.choices(kinds, (4, 5, 1))[0]


def _hands(random: Random) -> dict[str, Any] | None:
    if random.random() < 0.6:
        return None
    hands: dict[str, Any] = {}
    for name in random.sample(list(HANDS), random.randint(1, 2)):
        low, high = HANDS[name]
        hands[name] = random.choice((random.randint(low, high), random.uniform(low, high)))
    if random.random() < 0.08:
        hands[random.choice((*HANDS, "foot_ml", "__proto__"))] = random.choice(BAD_VALUES)
    return hands


def _plan(random: Random) -> dict[str, float | None] | None:
    if random.random() < 0.5:
        return None
    meal, day = random.choice((None, 30, 45, 60.5)), random.choice((None, 1500, 2000, 2300))
    return {"meal_carbohydrate_g": 3 if random.random() < 0.03 else meal, "day_sodium_mg": day}


def _panel(random: Random) -> dict[str, Any]:
    panel: dict[str, Any] = {"serving": _serving(random), "nutrients": _column(random)}
    if random.random() < 0.15:
        panel["columns"] = {random.choice(("as_prepared", "per_container")): _column(random)}
    if random.random() < 0.2:
        panel["form"] = random.choice(("1993", "1993", "2016", 1993))
    if random.random() < 0.1:
        panel["food"] = random.choice(FOODS)
    if random.random() < 0.1:
        panel["name"] = "Ñandú crackers"
    return _spoilt(random, panel) if random.random() < 0.06 else panel


def _serving(random: Random) -> dict[str, Any]:
    unit = random.choice((*HOUSEHOLD, *HOUSEHOLD, *PACKAGES, *ODD_UNITS, None))
    metric = random.choices(("g", "ml", "grams", "mL", None), (7, 3, 1, 1, 1))[0]
    parts = {
        "household_amount": _stated(random, _number(random)) if unit else None,
        "household_unit": _stated(random, unit),
        "metric_amount": _stated(random, _metric_amount(random)) if metric else None,
        "metric_unit": metric,
        "servings_per_container": random.choice(CONTAINERS),
        "pieces": random.choice(PIECES),
        "text": random.choice(TEXTS),
    }
    return {key: value for key, value in parts.items() if value is not None or random.random() < 0.5}


def _metric_amount(random: Random) -> float:
    return random.uniform(0.5, 400) if random.random() < 0.1 else random.choice(METRIC)


def _column(random: Random) -> dict[str, Any]:
    printed = [nutrient for nutrient in nutrients().values() if random.random() < 0.6]
    return {nutrient.id: _declared(random, nutrient) for nutrient in printed}


def _declared(random: Random, nutrient: Nutrient) -> Any:
    most = {"kcal": 400, "g": 6, "mg": 500, "mcg": 20}[nutrient.unit]
    true = random.choice((0, random.uniform(0, 1), random.uniform(0, most), random.uniform(0, most)))
    value = declare(nutrient, true) if random.random() < 0.8 else random.choice((_number(random), true))
    if random.random() < 0.3:
        return value
    state = "check" if random.random() < 0.1 else "sure"
    declared: dict[str, Any] = {"value": value, "unit": nutrient.unit, "state": state}
    if random.random() < 0.5:
        declared["percent_dv"] = printed_percent(nutrient, random.choice((true, value)))
    if random.random() < 0.06 and "less_than" in nutrient.grid:
        declared |= {"value": nutrient.grid["less_than"]["value"], "less_than": True}
    return declared | {"value": None} if random.random() < 0.04 else declared


def _spoilt(random: Random, panel: dict[str, Any]) -> dict[str, Any]:
    """Return the panel with one thing in it that cannot be."""
    bad = random.choice(BAD_VALUES)
    spoils: tuple[dict[str, Any], ...] = (
        {"nutrients": {**panel["nutrients"], "fat": bad}},
        {"nutrients": {**panel["nutrients"], "constructor": 1, "sodium": {"value": 5, "unit": "g"}}},
        {"serving": {**panel["serving"], "metric_amount": bad}},
        {"serving": {**panel["serving"], "household_amount": 0, "metric_unit": "stone", "text": "x" * 81}},
        {"columns": {"other": {}, "as_prepared": []}},
        {"form": "1066", "name": 7},
        {"serving": None, "nutrients": []},
    )
    return panel | random.choice(spoils)


def _stated(random: Random, value: Any) -> Any:
    if value is None or random.random() < 0.5:
        return value
    return {"value": value, "state": random.choices(("sure", "check", "missing"), (8, 2, 1))[0]}
