"""Servings and nutrients of an amount, with their ranges."""

import math

import pytest

from shelfcheck.amounts import Amount
from shelfcheck.errors import AmountError, InvalidInputError
from shelfcheck.measures import hands_from
from shelfcheck.panel import Panel
from shelfcheck.portion import COVERAGES, Plan, Range, build_plan, build_portion
from shelfcheck.portion_json import portion_to_json
from tests.making import eat, panel


def test_everything_is_the_label_times_the_servings(granola: Panel) -> None:
    portion = eat(granola, "2 fists")

    assert portion.servings.value == 3
    for key, eaten in portion.nutrients.items():
        assert eaten.range.value == pytest.approx(3 * (granola.value(key) or 0))
    assert portion.grams is not None
    assert portion.grams.value == 165


def test_the_range_is_the_quadrature_of_the_hand_and_the_labels_rounding(granola: Panel) -> None:
    fat = eat(granola, "2 fists").nutrients["fat"].range

    u = math.hypot(24 * 0.3, 3 * 0.5 / math.sqrt(3))  # 8 g stands for 7.5 to 8.5 g
    assert (fat.low, fat.high) == pytest.approx((24 - u, 24 + u))


def test_twice_the_coverage_is_twice_the_width_but_never_below_nothing(granola: Panel) -> None:
    one, two = (eat(granola, "2 fists", coverage=coverage) for coverage in COVERAGES)

    for key, eaten in two.nutrients.items():
        narrow = one.nutrients[key].range
        assert eaten.range.value == narrow.value
        assert eaten.range.high - eaten.range.value == pytest.approx(2 * (narrow.high - narrow.value))
        assert eaten.range.low == pytest.approx(
            max(0, eaten.range.value - (eaten.range.high - eaten.range.value))
        )
    assert two.nutrients["trans_fat"].range.low == 0
    assert two.nutrients["trans_fat"].range.high > 0
    assert two.servings.low == pytest.approx(3 * 0.4)


def test_own_hands_narrow_the_range(granola: Panel) -> None:
    own = eat(granola, "2 fists", hands=hands_from({"fist_ml": 240}))

    assert own.servings.value == 3
    assert (own.servings.low, own.servings.high) == pytest.approx((3 * 0.85, 3 * 1.15))


def test_less_than_counts_as_the_middle_of_what_it_may_stand_for() -> None:
    portion = eat(panel("1 cup/240 ml", {"fiber": {"value": 1, "less_than": True}}), "2 cups")

    assert portion.nutrients["fiber"].per_serving == 0.5
    assert portion.nutrients["fiber"].range.value == 1


def test_what_is_not_printed_is_left_out_and_not_taken_for_nothing() -> None:
    portion = eat(panel("1 cup/240 ml", {"energy": 90}), "1 cup")

    assert set(portion.nutrients) == {"energy"}
    assert portion.carb_choices() is None
    assert portion.day_sodium_percent() is None
    assert portion_to_json(portion)["carb_choices"] is None


def test_a_field_to_be_checked_stays_so_in_the_portion(granola: Panel) -> None:
    portion = eat(granola.marked("nutrients.sodium"), "2 fists")

    assert portion.nutrients["sodium"].state == "check"
    assert portion.nutrients["fat"].state == "sure"
    assert portion.state == "sure"
    assert eat(granola.marked("serving.metric_amount"), "2 fists").state == "check"
    assert portion_to_json(portion)["nutrients"]["sodium"]["state"] == "check"


def test_cooked_food_is_told_by_the_column_as_prepared() -> None:
    mix = eat("macaroni_mix", "1 cup", "macaroni")
    made = eat("macaroni_mix", "1 cup cooked", "macaroni")
    column = made.panel.columns["as_prepared"]

    assert mix.nutrients["energy"].per_serving == mix.panel.value("energy")
    assert made.nutrients["energy"].per_serving == column["energy"].value
    assert made.nutrients["energy"].per_serving > mix.nutrients["energy"].per_serving


def test_a_whole_package_is_what_its_own_column_says() -> None:
    soup = eat("chicken_noodle_soup", "1 package")
    told = soup.panel.columns["per_container"]

    assert {key: eaten.range.value for key, eaten in soup.nutrients.items() if key in told} == {
        key: declared.interval(key).middle if declared.less_than else declared.value
        for key, declared in told.items()
        if declared.value is not None
    }
    sodium = soup.nutrients["sodium"].range
    assert sodium.high - sodium.low < 10  # the rounding of its column, and not of the servings
    assert eat("chicken_noodle_soup", "2 packages").nutrients["sodium"].range.value == 2 * sodium.value


def test_percents_are_of_the_daily_value_of_the_labels_form() -> None:
    new = eat(panel("1 cup/240 ml", {"sodium": 230}), "2 cups")
    old = eat(panel("1 cup/240 ml", {"sodium": 240}, form="1993"), "2 cups")

    assert new.nutrients["sodium"].percent_dv == pytest.approx(20)
    assert old.nutrients["sodium"].percent_dv == pytest.approx(20)


def test_the_shares_of_the_day_and_the_meal_follow_the_plan(granola: Panel) -> None:
    portion = eat(granola, "2 fists", plan=build_plan(45, 1500))

    assert portion.day_sodium_percent() == pytest.approx(portion.nutrients["sodium"].range.scaled(100 / 1500))
    meal = portion.meal_carbohydrate_percent()
    assert meal is not None
    assert meal.value == pytest.approx(111 / 45 * 100)
    assert eat(granola, "2 fists").meal_carbohydrate_percent() is None
    assert Plan().sodium_mg == 2300


@pytest.mark.parametrize("value", [-1, 0, 1e9, math.nan, math.inf])
def test_a_plan_beyond_what_any_care_team_sets_is_refused(value: float) -> None:
    with pytest.raises(InvalidInputError) as caught:
        build_plan(value, value)

    assert set(caught.value.fields) == {"plan.meal_carbohydrate_g", "plan.day_sodium_mg"}


@pytest.mark.parametrize("count", [0, -2, math.nan, math.inf, 1e5])
def test_an_absurd_count_is_refused(granola: Panel, count: float) -> None:
    with pytest.raises(AmountError):
        build_portion(granola, Amount(count, "fist"))


def test_weight_by_the_label_is_as_sure_as_its_last_digit() -> None:
    grams = eat(panel("1 container/5 g", {"energy": 10}, servings_per_container=1), "1 package").grams

    assert grams is not None
    assert grams.value == 5
    assert grams.high == pytest.approx(5 + 0.5 / math.sqrt(3))


def test_weight_as_eaten_does_not_depend_on_how_the_food_cooks() -> None:
    grams = eat("white_rice", "1 fist cooked", "rice_white").grams

    assert grams is not None
    assert grams.value == pytest.approx(158)
    assert grams.high == pytest.approx(158 * (1 + math.hypot(0.3, 0.05)))


def test_no_weight_is_told_where_neither_label_nor_food_tells_it() -> None:
    assert eat("soy_sauce", "2 thumbs").grams is None


def test_a_range_scales_with_its_unit() -> None:
    assert Range(3, 2, 4).scaled(0.5) == Range(1.5, 1, 2)


def test_a_portion_is_written_by_the_contract(granola: Panel) -> None:
    written = portion_to_json(eat(granola, "2 fists"))

    assert written["servings"] == {"value": 3.0, "low": 2.1, "high": 3.9, "state": "sure"}
    assert written["amount"] == {"count": 2.0, "measure": "fist", "cooked": False, "text": "2 fists"}
    assert written["nutrients"]["energy"] == {
        "value": 690,
        "low": 483,
        "high": 897,
        "unit": "kcal",
        "percent_dv": None,
        "state": "sure",
    }
    assert written["grams"]["value"] == 165
    assert written["carb_choices"]["value"] == 7.4
    assert written["meal_carbohydrate_percent"] is None
    assert written["food"] is None
    assert len(written["cautions"]) == 4
    assert all(isinstance(step, str) for step in written["working"])
