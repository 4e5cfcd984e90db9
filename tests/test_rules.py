"""Label rules: printed amounts, what they may stand for, percents. The regulation itself is in outside/."""

import math

import pytest

from shelfcheck import data, rules
from shelfcheck.panel import MANDATORY
from shelfcheck.rules import Interval, nutrients, printed_interval


def test_every_nutrient_has_a_grid_a_unit_a_citation_and_a_name_in_both_languages() -> None:
    for row in data.load(rules.RULES)["nutrients"]:
        nutrient = nutrients()[row["id"]]

        assert nutrient.unit in ("kcal", "g", "mg", "mcg")
        assert row["cite"].startswith("101.9")
        assert nutrient.names["en"]
        assert nutrient.names["es"]
        assert nutrient.within is None or nutrient.within in nutrients()


def test_all_that_a_label_must_print_is_known() -> None:
    assert set(MANDATORY) <= set(nutrients())


def test_an_interval_has_its_middle_and_the_uncertainty_of_a_rectangle() -> None:
    interval = Interval(7.5, 8.5)

    assert interval.middle == 8
    assert interval.standard_uncertainty == pytest.approx(0.5 / math.sqrt(3))


@pytest.mark.parametrize(
    ("nutrient", "printed", "low", "high"),
    [
        ("energy", 0, 0, 5),
        ("energy", 5, 2.5, 7.5),  # and 3 kcal may be printed 0 as well
        ("energy", 50, 47.5, 55),  # the step grows from 5 to 10 above 50
        ("energy", 60, 55, 65),
        ("fat", 0, 0, 0.5),
        ("fat", 0.5, 0.5, 0.75),  # below 0.5 is printed 0
        ("fat", 5, 4.75, 5.5),
        ("fat", 8, 7.5, 8.5),
        ("sodium", 5, 5, 7.5),
        ("sodium", 140, 137.5, 145),
        ("sodium", 150, 145, 155),
        ("carbohydrate", 1, 0.5, 1.5),
        ("cholesterol", 0, 0, 2.5),
        ("vitamin_d", 2, 1.95, 2.05),
    ],
)
def test_a_printed_amount_stands_for_all_that_round_to_it(
    nutrient: str, printed: float, low: float, high: float
) -> None:
    assert printed_interval(nutrient, printed) == pytest.approx((low, high))


def test_less_than_stands_for_what_the_rule_lets_the_words_say() -> None:
    assert printed_interval("fiber", 1, less_than=True) == (0, 1)
    assert printed_interval("cholesterol", 5, less_than=True) == (2, 5)
    assert printed_interval("sodium", 7, less_than=True) == (0, 7)


def test_a_number_off_its_grid_is_good_to_half_a_step() -> None:
    assert printed_interval("sodium", 163) == (158, 168)
    assert not rules.on_grid(nutrients()["sodium"], 163)
    assert rules.on_grid(nutrients()["sodium"], 160)


def test_minerals_have_no_lawful_grid() -> None:
    assert rules.on_grid(nutrients()["potassium"], 237)


def test_percents_are_taken_of_the_daily_value_of_the_form() -> None:
    sodium = nutrients()["sodium"]

    assert rules.percent_dv(sodium, 230) == pytest.approx(10)
    assert rules.percent_dv(sodium, 240, "1993") == pytest.approx(10)
    assert rules.percent_dv(nutrients()["trans_fat"], 3) is None
    assert rules.printed_percent(nutrients()["trans_fat"], 3) is None


def test_a_percent_may_come_from_the_amount_before_rounding() -> None:
    fat = nutrients()["fat"]

    assert rules.lawful_percents(fat, 8) == (10, 11)
    assert rules.lawful_percents(nutrients()["total_sugars"], 8) is None
    assert rules.lawful_percents(nutrients()["cholesterol"], 5, less_than=True) == (1, 2)


def test_no_label_unit_is_unknown_to_the_measures() -> None:
    assert rules.label_units() == {"ml": {"cup": 240, "tbsp": 15, "tsp": 5, "fl_oz": 30}, "g": {"oz": 28}}
