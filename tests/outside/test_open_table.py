"""Labels, portions and yields against a table of foods that another country's laboratories analysed."""

from collections.abc import Mapping

import pytest

from shelfcheck import check, rules
from shelfcheck.panel import Panel
from shelfcheck.rules import nutrients
from tests.making import eat, outside, panel

TABLE = outside("open_table")
FOODS = {row[0]: dict(zip(TABLE["columns"], row, strict=True)) for row in TABLE["rows"]}


def per_100g(code: str) -> dict[str, float]:
    """Return a food's nutrients as a US label counts them: calories, and carbohydrate with its fibre."""
    food = FOODS[code]
    return {
        "energy": food["kj"] * TABLE["kcal_per_kj"],
        "fat": food["fat"],
        "carbohydrate": food["available_carbohydrate"] + food["fiber"],
        "fiber": food["fiber"],
        "protein": food["protein"],
    }


def label_of(amounts: Mapping[str, float], serving: float) -> Panel:
    """Return the label that the rules print of so many grams."""
    printed = {}
    for key, amount in amounts.items():
        each = amount * serving / 100
        percent = rules.printed_percent(nutrients()[key], each) if key != "protein" else None
        printed[key] = {"value": rules.declare(nutrients()[key], each), "percent_dv": percent}
    return panel(f"/{serving} g", printed)


@pytest.mark.parametrize("code", FOODS)
@pytest.mark.parametrize("serving", [28, 45, 100])
def test_the_label_of_a_real_food_is_neither_doubted_nor_refused(code: str, serving: float) -> None:
    label = label_of(per_100g(code), serving)

    assert list(check.doubts(label)) == []
    assert check.faults(label) == {}


@pytest.mark.parametrize("code", FOODS)
def test_the_label_of_a_real_food_with_ten_times_the_calories_is_doubted(code: str) -> None:
    amounts = per_100g(code)
    label = label_of(amounts | {"energy": amounts["energy"] * 10}, 50)

    assert "energy" in {doubt.code for doubt in check.doubts(label)}


@pytest.mark.parametrize("code", FOODS)
def test_a_food_weighs_what_its_parts_weigh(code: str) -> None:
    food, label = FOODS[code], label_of(per_100g(code), 100)
    parts = sum(label.value(key) or 0 for key in ("fat", "carbohydrate", "protein"))

    assert parts <= 100 - food["water"] + 1.5  # each of the three is rounded by half a gram at most
    # half as much again in the same serving is more than there is, once the food is dry
    if food["water"] < 20:
        heavier = {key: amount * 1.5 for key, amount in per_100g(code).items()}
        assert check.faults(label_of(heavier, 100))


def test_dry_rice_by_our_yield_holds_what_cooked_rice_was_found_to_hold() -> None:
    case = TABLE["cooked_rice"]
    portion = eat(label_of(per_100g(case["code"]), 100), "1 cup cooked", "rice_white")

    assert portion.nutrients["carbohydrate"].range.value == pytest.approx(
        case["carbohydrate"], rel=case["tolerance"]
    )
    assert portion.nutrients["energy"].range.value == pytest.approx(case["energy"], rel=case["tolerance"])
    assert portion.nutrients["carbohydrate"].range.low < case["carbohydrate"]
    assert portion.nutrients["carbohydrate"].range.high > case["carbohydrate"]


@pytest.mark.parametrize(
    ("code", "kcal", "carbohydrate", "near", "carbohydrate_near"), TABLE["against_usda"]["rows"]
)
def test_two_national_tables_agree_so_far(
    code: str, kcal: float, carbohydrate: float, near: float, carbohydrate_near: float | None
) -> None:
    amounts = per_100g(code)

    assert amounts["energy"] == pytest.approx(kcal, rel=near)
    if carbohydrate_near is not None:
        assert amounts["carbohydrate"] == pytest.approx(carbohydrate, rel=carbohydrate_near)


def test_a_palmful_of_almonds_by_either_table_lies_in_one_range() -> None:
    usda, other = 579 * 0.28, per_100g("H001")["energy"] * 0.28  # USDA SR26 NDB 12061
    eaten = eat(label_of(per_100g("H001"), 28), "1 palmful", "almonds").nutrients["energy"].range

    assert eaten.low < usda < eaten.high
    assert eaten.low < other < eaten.high
