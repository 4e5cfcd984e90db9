"""Worked examples with their sources: what a handbook, the regulation or plain arithmetic says comes out.

``worked`` maps a path in the answer to the number it must be, or to the bounds it must lie within.
"""

from __future__ import annotations

from typing import Any

from tests.vectors.build import case, panel

_LINES = (
    *("energy", "fat", "saturated_fat", "trans_fat", "cholesterol", "sodium", "carbohydrate", "fiber"),
    *("total_sugars", "protein", "added_sugars", "vitamin_d", "calcium", "iron", "potassium"),
)
_SAMPLE = dict(zip(_LINES, (230, 8, 1, 0, 0, 160, 37, 4, 12, 3, 10, 2, 260, 8, 235), strict=True))
_MACARONI = dict(zip(_LINES, (250, 12, 3, 3, 30, 470, 31, 0, 5, 5), strict=False))
SAMPLE_PANEL = panel((2 / 3, "cup"), (55, "g"), _SAMPLE, servings_per_container=8, text="2/3 cup (55g)")
"""The panel that 21 CFR 101.9(d) prints; some printings say 240 mg potassium."""

MACARONI_1993 = panel((1, "cup"), (228, "g"), _MACARONI, servings_per_container=2, form="1993")
"""A teaching panel of the old form (US Office on Women's Health: the FDA's macaroni and cheese sample)."""

_ENERGY = {"energy": 170, "fat": 15, "carbohydrate": 6, "protein": 6}


def worked() -> list[dict[str, Any]]:
    """Return the examples, each with ``source``, ``how_known`` and ``worked``."""
    return [
        _example(
            "sample_panel_two_fists",
            case(SAMPLE_PANEL, 2, "fist"),
            {
                "servings.value": 3.0,
                "grams.value": 165,
                **_eaten(energy=690, fat=24, saturated_fat=3, sodium=480, carbohydrate=111, fiber=12),
                "carb_choices.value": 7.4,
                "day_sodium_percent.value": 21,
            },
            "21 CFR 101.9(d) sample label; fist: common practice, no source",
            "derived here from read values: 2 / (2/3) = 3",
        ),
        _example(
            "sample_panel_whole_package",
            case(SAMPLE_PANEL, 1, "container"),
            {"servings.value": 8, **_eaten(sodium=1280, energy=1840)},
            "a teaching page multiplies the same panel: 160 mg x 8 = 1,280 mg",
            "read in source for sodium",
        ),
        _example(
            "sample_panel_one_serving_percents",
            case(SAMPLE_PANEL, 2 / 3, "cup"),
            {"servings.value": 1, **_percents(fat=10, saturated_fat=5, sodium=7, carbohydrate=13, fiber=14)},
            "21 CFR 101.9(d) sample label: the printed percentages, none of them on a vitamin's grid",
            "read in source",
        ),
        _example(
            "macaroni_1993_whole_package",
            case(MACARONI_1993, 2, "cup"),
            {
                "servings.value": 2,
                **_eaten(energy=500, fat=24, sodium=940, carbohydrate=62),
                **_percents(fat=37, saturated_fat=30, cholesterol=20, sodium=39, carbohydrate=21),
            },
            "US Office on Women's Health teaching panel; Daily Values of 1993 (65, 20, 300, 2400, 300)",
            "read in source; percentages derived here from read values",
        ),
        _example(
            "nuts_one_palmful",
            case(panel((1, "oz"), (28, "g"), _ENERGY), 1, "palmful", food="almonds"),
            {"servings.value": 1.0, "grams.value": 28, **_eaten(energy=170)},
            "common practice, no source: a palmful of nuts is 1 oz; 1 oz = 28 g, 21 CFR 101.9(b)(5)(viii)",
            "common practice, no source",
        ),
        _example(
            "soy_sauce_two_thumbs",
            case(panel((1, "tbsp"), (15, "ml"), {"sodium": 960}), 2, "thumb"),
            {"servings.value": 2.0, **_eaten(sodium=1920)},
            "common practice, no source: a thumb is a tablespoon; 960 mg a tablespoon is the trade's value",
            "common practice, no source",
        ),
        _example(
            "cheese_two_pieces",
            case(panel((1, "oz"), (28, "g"), {"energy": 110, "fat": 9}), 2, "two_fingers"),
            {"servings.value": 2.0, "grams.value": 56, **_eaten(energy=220, fat=18)},
            "common practice, no source: two fingers of cheese are about 1 oz",
            "common practice, no source",
        ),
        _example(
            "pasta_one_bundle",
            case(panel((2, "oz"), (56, "g"), {"carbohydrate": 42}), 1, "bundle", food="spaghetti"),
            {"servings.value": 1.0, "grams.value": 56, **_eaten(carbohydrate=42)},
            "household magazine: 4 oz of spaghetti is 1 inch across, so 2 oz is 18 mm; 2 oz is 56 g",
            "derived here from read values",
        ),
        _example(
            "almonds_one_fist_by_weight",
            case(panel(None, (28, "g"), _ENERGY), 1, "fist", food="almonds"),
            {"servings.value": {"from": 5.05, "to": 5.15}, "grams.value": 143},
            "USDA SR26 NDB 12061: 143 g a cup; 143 / 28 = 5.1",
            "read in source; the quotient is arithmetic",
        ),
        _example(
            "rice_one_fist_cooked",
            case(panel((0.25, "cup"), (45, "g"), {"carbohydrate": 36}), 1, "fist", food="rice", cooked=True),
            {
                "servings.value": {"from": 1.0, "to": 1.4},
                "servings.low": {"to": 1.0},
                "servings.high": {"from": 1.22},
            },
            "cooks' rule: 1/4 cup dry makes about 1 cup (1.0); USDA SR26 NDB 20044, 20045 (185, 158 g a cup):"
            " 1/4 cup dry makes 0.82 cup (1.22)",
            "common practice, no source; derived here from read values",
        ),
        _example(
            "linguine_one_cup_choices",
            case(panel((0.5, "cup"), None, {"carbohydrate": 24}), 1, "cup"),
            {"servings.value": 2, "carb_choices.value": 3.2, **_eaten(carbohydrate=48)},
            "worked example in a diabetes nutrition handbook: 48 g = 3.2 choices",
            "read in source",
        ),
        _example(
            "zeros_that_add_up",
            case(panel((1, "cup"), None, {"trans_fat": 0}), 4, "cup"),
            {"servings.value": 4, "insights.zero_adds_up.below": 2},
            "21 CFR 101.9(c)(2)(ii): under 0.5 g shall print as 0; 4 x 0.5 = 2",
            "derived here from read values",
        ),
    ]


def find(answer: dict[str, Any], path: str) -> float:
    """Return the number at ``path``; ``insights.CODE.NAME`` names a value of an insight by its code."""
    found: Any = answer
    for part in path.split("."):
        if isinstance(found, list):
            found = next(insight["values"] for insight in found if insight["code"] == part)
        else:
            found = found[part]
    return float(found)


def _example(
    name: str, asked: dict[str, Any], numbers: dict[str, Any], source: str, how_known: str
) -> dict[str, Any]:
    return {"id": name, "source": source, "how_known": how_known, **asked, "worked": numbers}


def _eaten(**nutrients: float) -> dict[str, float]:
    return {f"nutrients.{key}.value": value for key, value in nutrients.items()}


def _percents(**nutrients: float) -> dict[str, float]:
    return {f"nutrients.{key}.percent_dv": value for key, value in nutrients.items()}
