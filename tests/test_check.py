"""What a panel cannot be, and what it is not likely to be."""

from typing import Any

import pytest

from shelfcheck import check
from shelfcheck.errors import InvalidInputError
from shelfcheck.panel import Panel
from shelfcheck.panel_json import panel_from_json
from shelfcheck.rules import Interval
from tests.making import SAMPLES, panel, sample

WHOLE = {"energy": 230, "fat": 8, "carbohydrate": 37, "protein": 3}


def doubted(label: Panel) -> set[tuple[str, str]]:
    return {(doubt.code, doubt.field.partition(".")[2]) for doubt in check.doubts(label)}


@pytest.mark.parametrize("name", sorted(path.stem for path in SAMPLES.glob("*.json")))
def test_no_lawful_sample_is_doubted_or_refused(name: str) -> None:
    label = panel_from_json(sample(name))

    assert check.faults(label) == {}
    assert doubted(label) == set()
    assert check.checked(label) == label


@pytest.mark.parametrize(
    ("nutrients", "code", "fields"),
    [
        ({"sodium": 163}, "grid", {"sodium"}),
        ({"fat": 8.5}, "grid", {"fat"}),
        ({"sodium": {"value": 160, "percent_dv": 17}}, "percent", {"sodium"}),
        ({"calcium": {"value": 260, "percent_dv": 2}}, "percent", {"calcium"}),
        ({"fat": 3, "saturated_fat": 5}, "part_of", {"fat", "saturated_fat"}),
        ({"total_sugars": 10, "added_sugars": 12}, "part_of", {"total_sugars", "added_sugars"}),
        (WHOLE | {"energy": 2300}, "energy", {"energy", "fat", "carbohydrate", "protein"}),
        (WHOLE | {"energy": 130}, "energy", {"energy", "fat", "carbohydrate", "protein"}),
        ({"energy": 230, "sodium": 12000}, "salty", {"sodium"}),
    ],
)
def test_a_relation_that_fails_is_doubted_on_each_field_that_may_be_to_blame(
    nutrients: dict[str, Any], code: str, fields: set[str]
) -> None:
    assert doubted(panel("/400 g", nutrients)) == {(code, field) for field in fields}


@pytest.mark.parametrize(
    "nutrients",
    [
        {"fat": {"value": 8, "percent_dv": 10}},
        {"fat": {"value": 8, "percent_dv": 11}},  # a percent may come from 8.4 g
        {"fiber": {"value": 1, "percent_dv": 2, "less_than": True}},
        {"iron": {"value": 8, "percent_dv": 45}},
        {"energy": 10, "sodium": 20000},  # a seasoning
        {"energy": 230, "sodium": {"value": 12000, "percent_dv": 522}},  # said twice
        {"fat": 3, "saturated_fat": 3},
        {"total_sugars": 12, "added_sugars": 12},
        WHOLE,
        WHOLE | {"energy": 200, "fiber": 9},  # fibre may be left out of the calories
        {"energy": 0, "fat": 0, "carbohydrate": 0, "protein": 0},
    ],
)
def test_a_lawful_relation_is_not_doubted(nutrients: dict[str, Any]) -> None:
    assert doubted(panel("/400 g", nutrients)) == set()


@pytest.mark.parametrize(
    ("total", "doubted_on"), [(6, set()), (7, set()), (60, {"fat", "per_container.fat"})]
)
def test_a_package_holds_its_servings(total: float, doubted_on: set[str]) -> None:
    column = {"columns": {"per_container": {"fat": total}}, "servings_per_container": 2}

    assert doubted(panel("1 cup/240 ml", {"fat": 3}, **column)) == {
        ("container", field) for field in doubted_on
    }


def test_more_food_in_a_serving_than_its_weight_is_refused() -> None:
    heavy = panel("1 tbsp/15 g", {"fat": 20, "carbohydrate": 2})

    found = check.faults(heavy)

    assert set(found) == {"nutrients.fat", "nutrients.carbohydrate"}
    assert "15.5 g" in found["nutrients.fat"]
    with pytest.raises(InvalidInputError) as caught:
        check.checked(heavy)
    assert caught.value.fields == found


def test_the_heavier_serving_is_also_told_as_a_doubt_for_what_was_read_from_a_photo() -> None:
    heavy = panel("1 tbsp/15 g", {"fat": 20})

    assert doubted(heavy) == {("heavier", "fat")}


def test_a_serving_in_millilitres_weighs_at_most_what_the_densest_food_does() -> None:
    assert check.faults(panel("1 tbsp/15 ml", {"carbohydrate": 22})) == {}
    assert set(check.faults(panel("1 tbsp/15 ml", {"carbohydrate": 24}))) == {"nutrients.carbohydrate"}


def test_pure_fat_and_pure_sugar_are_no_contradiction() -> None:
    assert check.faults(panel("1 tbsp/14 g", {"fat": 14})) == {}
    assert check.faults(panel("1 tsp/4 g", {"carbohydrate": 4})) == {}


def test_without_a_serving_nothing_can_be_too_heavy() -> None:
    assert check.faults(panel("", {"fat": 900})) == {}


@pytest.mark.parametrize(
    ("serving", "fits"),
    [
        ("0.667 cup/55 g", True),
        ("1 cup/8 g", True),  # air-popped popcorn, USDA SR26 NDB 19034
        ("1 tbsp/21 g", True),  # honey, USDA SR26 NDB 19296
        ("1 cup/550 g", False),
        ("1 cup/3 g", False),
        ("1 tbsp/15 ml", True),
        ("1 cup/24 ml", False),
        ("3 cracker/500 g", True),
        ("1.5 oz/42 g", True),
        ("1 oz/30 g", True),
        ("1 oz/26 g", False),
    ],
)
def test_a_household_measure_and_its_weight_make_a_density_of_food(serving: str, *, fits: bool) -> None:
    assert check.household_fits(panel(serving)) is fits
    assert ("household", "metric_amount") in doubted(panel(serving)) or fits


def test_calories_are_bounded_by_what_fat_carbohydrate_and_protein_allow() -> None:
    bounds = check.energy_bounds(panel("/55 g", WHOLE | {"fiber": 4}))

    # 9 x 7.5 + 4 x (36.5 - 4.5) + 4 x 2.5 and 9 x 8.5 + 4 x 37.5 + 4 x 3.5
    assert bounds == Interval(205.5, 240.5)
    assert check.energy_bounds(panel("/55 g", {"fat": 8})) is None
    assert check.energy_fits(panel("/55 g", {"fat": 8, "carbohydrate": 1, "protein": 1})) is None


def test_a_doubtful_field_comes_back_to_be_checked_with_its_reason(granola: Panel) -> None:
    sodium = granola.nutrients["sodium"]._replace(value=1600.0)
    label = check.checked(granola._replace(nutrients={**granola.nutrients, "sodium": sodium}))

    assert label.nutrients["sodium"].state == "check"
    assert label.nutrients["fat"].state == "sure"
    assert [(doubt.field, doubt.code) for doubt in label.doubts] == [("nutrients.sodium", "percent")]
