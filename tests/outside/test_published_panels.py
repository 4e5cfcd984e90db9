"""Whole panels that the agency published: percents, plausibility, and worked portions of them."""

from typing import Any

import pytest

from shelfcheck import check, rules
from shelfcheck.panel import Panel
from shelfcheck.portion_json import portion_to_json
from shelfcheck.rules import nutrients
from tests.making import eat, outside, panel

PUBLISHED = outside("published_panels")
PANELS = {row["name"]: row for row in PUBLISHED["panels"]}


def made(row: dict[str, Any]) -> Panel:
    amounts = {
        key: {"value": value, "percent_dv": row["percents"].get(key)} for key, value in row["amounts"].items()
    }
    return panel(
        row["serving"], amounts, form=row["form"], servings_per_container=row["servings_per_container"]
    )


@pytest.mark.parametrize("row", PANELS.values(), ids=PANELS)
def test_each_percent_is_the_one_printed(row: dict[str, Any]) -> None:
    told = {
        key: rules.printed_percent(nutrients()[key], row["amounts"][key], row["form"])
        for key in row["percents"]
    }

    assert told == row["percents"]


@pytest.mark.parametrize("row", PANELS.values(), ids=PANELS)
def test_nothing_on_a_published_panel_is_doubted(row: dict[str, Any]) -> None:
    assert list(check.doubts(made(row))) == []
    assert check.energy_fits(made(row))


def test_the_whole_package_is_the_panel_times_its_servings() -> None:
    row = PANELS["macaroni and cheese of 1993"]
    eaten = eat(made(row), "1 package").nutrients

    assert {key: eaten[key].range.value for key in row["package"]} == row["package"]


@pytest.mark.parametrize("amount", ["2 fists", "2 cups"])
def test_two_cups_of_the_sample_are_three_servings(amount: str) -> None:
    case = PUBLISHED["two_cups_of_the_sample"]
    told = portion_to_json(eat(made(PANELS["sample panel of 2016"]), amount))

    assert told["servings"]["value"] == case["servings"]
    assert told["grams"]["value"] == case["grams"]
    assert told["carb_choices"]["value"] == case["carb_choices"]
    assert told["day_sodium_percent"]["value"] == case["percent_of_2300_mg_sodium"]
    assert {key: told["nutrients"][key]["value"] for key in case["nutrients"]} == case["nutrients"]


def test_the_package_of_the_sample_holds_what_teachers_reckon() -> None:
    case = PUBLISHED["package_of_the_sample"]
    portion = eat(made(PANELS["sample panel of 2016"]), "the whole package")

    assert portion.servings.value == case["servings"]
    assert {key: portion.nutrients[key].range.value for key in case["nutrients"]} == case["nutrients"]


def test_a_cup_of_linguine_is_about_three_choices() -> None:
    case = PUBLISHED["linguine"]
    told = portion_to_json(
        eat(panel(case["serving"], {"carbohydrate": case["carbohydrate"]}), case["amount"])
    )

    assert told["nutrients"]["carbohydrate"]["value"] == case["grams"]
    assert told["carb_choices"]["value"] == case["carb_choices"]
