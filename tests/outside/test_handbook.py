"""Portions of foods, made from a handbook's analyses, against the handbook's own household weights."""

from typing import Any

import pytest

from shelfcheck import check, rules
from shelfcheck.foods import find_food
from shelfcheck.panel import Panel
from shelfcheck.rules import nutrients
from tests.making import eat, outside, panel

BOOK = outside("handbook")
KEYS = ("energy", "fat", "sodium", "carbohydrate", "fiber", "protein")


def label_of(composition: str, serving: float = 100) -> Panel:
    """Return the panel whose serving is so many grams, amounts as analysed: nothing is lost by rounding."""
    amounts = BOOK["per_100g"][composition]
    return panel(f"/{serving} g", {key: amounts[key] * serving / 100 for key in KEYS})


@pytest.mark.parametrize(
    "case", BOOK["portions"], ids=lambda case: f"{case['amount']} of {case['composition']}"
)
def test_an_amount_holds_what_the_handbook_says(case: dict[str, Any]) -> None:
    portion = eat(label_of(case["composition"]), case["amount"], case["food"])

    assert portion.grams is not None
    assert portion.grams.value == pytest.approx(case["grams"], rel=0.02)
    for key, value in case["expect"].items():
        assert portion.nutrients[key].range.value == pytest.approx(value, rel=case["tolerance"]), key


@pytest.mark.parametrize(("composition", "food", "amount"), BOOK["choices"]["rows"])
def test_what_is_taught_as_one_choice_is_about_one(composition: str, food: str, amount: str) -> None:
    known = find_food(food)
    density = known.density(cooked="cooked" in known.densities)  # the analysis is of the food as eaten
    assert density is not None
    grams = density.value * 240
    amounts = {key: BOOK["per_100g"][composition][key] * grams / 100 for key in KEYS}
    choices = eat(panel(f"1 cup/{grams} g", amounts), amount, food).carb_choices()

    assert choices is not None
    assert choices.value * 15 == pytest.approx(15, abs=5)


@pytest.mark.parametrize("composition", BOOK["per_100g"])
@pytest.mark.parametrize("serving", [15, 28, 55, 140])
def test_a_label_made_by_the_rules_from_an_analysis_is_not_doubted(composition: str, serving: float) -> None:
    printed = {}
    for key in KEYS:
        amount = BOOK["per_100g"][composition][key] * serving / 100
        value = rules.declare(nutrients()[key], amount)
        percent = rules.printed_percent(nutrients()[key], amount) if key != "protein" else None
        printed[key] = {"value": value, "percent_dv": percent}
    label = panel(f"/{serving} g", printed)

    assert list(check.doubts(label)) == []
    assert check.faults(label) == {}


def test_another_published_yield_lies_within_two_of_our_uncertainties() -> None:
    gain, book = find_food("couscous").cooked_per_dry, BOOK["couscous"]

    assert gain is not None
    assert gain.value == pytest.approx(book["g_per_g"], rel=book["tolerance"])
    assert abs(gain.value - book["g_per_g"]) < 2 * gain.u * gain.value


@pytest.mark.parametrize(
    ("food", "dry", "cooked"),
    [
        ("rice_white", "rice_white_dry", "rice_white"),
        ("oats", "oats_dry", "oatmeal"),
        ("spaghetti", "spaghetti_dry", "spaghetti"),
    ],
)
@pytest.mark.parametrize("kept", ["energy", "carbohydrate", "solids"])
def test_cooking_keeps_energy_carbohydrate_and_solids(food: str, dry: str, cooked: str, kept: str) -> None:
    before, after = BOOK["per_100g"][dry], BOOK["per_100g"][cooked]
    gain = find_food(food).cooked_per_dry

    factor = (
        (100 - before["water"]) / (100 - after["water"]) if kept == "solids" else before[kept] / after[kept]
    )
    assert gain is not None
    assert gain.value == pytest.approx(factor, rel=0.04)
