"""Our rounding, zeros, percents and steps against 21 CFR 101.9 and published examples of it."""

import pytest

from shelfcheck import check, rules
from shelfcheck.insight import insights
from shelfcheck.panel import Panel
from shelfcheck.rules import nutrients, printed_interval
from tests.making import eat, outside, panel

LAW = outside("label_law")
DECLARED = LAW["declared"]["published"]["rows"] + LAW["declared"]["edges"]["rows"]


@pytest.mark.parametrize(("nutrient", "amount", "printed"), DECLARED)
def test_an_amount_is_printed_as_the_regulation_rounds_it(
    nutrient: str, amount: float, printed: float
) -> None:
    assert rules.declare(nutrients()[nutrient], amount) == printed
    interval = printed_interval(nutrient, printed)
    assert interval.low <= amount < interval.high


def test_three_calories_may_be_printed_as_0_or_as_5() -> None:
    rule = LAW["declared"]["may_be_zero"]

    for printed in rule["printed"]:
        interval = printed_interval("energy", printed)
        assert interval.low <= rule["energy"] < interval.high


@pytest.mark.parametrize(("nutrient", "below"), LAW["zeros"]["below"].items())
def test_a_printed_zero_may_hide_up_to_the_rules_threshold(nutrient: str, below: float) -> None:
    assert printed_interval(nutrient, 0).high >= below
    assert printed_interval(nutrient, 0).low == 0
    if nutrient != "cholesterol":  # 2 mg rounds to 0 by the nearest 5 mg too
        assert printed_interval(nutrient, 0).high == below


def test_a_zero_adds_up_over_servings(granola: Panel) -> None:
    case = LAW["zeros"]["adds_up"]

    told = [i for i in insights(eat(granola, "2 2/3 cups")) if i.code == "zero_adds_up"]
    assert case["servings"] == eat(granola, "2 2/3 cups").servings.value
    assert [(i.nutrients, i.values["below"]) for i in told] == [((case["nutrient"],), case["below"])]


@pytest.mark.parametrize(("nutrient", "printed", "low", "high"), LAW["intervals"]["rows"])
def test_a_printed_amount_stands_for_its_band(nutrient: str, printed: float, low: float, high: float) -> None:
    assert printed_interval(nutrient, printed) == (low, high)


@pytest.mark.parametrize(("nutrient", "bounds"), LAW["three_servings_of_the_sample"]["bounds"].items())
def test_three_servings_lie_within_what_rounding_allows(
    granola: Panel, nutrient: str, bounds: tuple[float, float]
) -> None:
    interval = granola.nutrients[nutrient].interval(nutrient)

    assert (3 * interval.low, 3 * interval.high) == tuple(bounds)


@pytest.mark.parametrize(("nutrient", "amount", "percent"), LAW["percents"]["rows"])
def test_a_percent_is_printed_as_the_agency_printed_it(nutrient: str, amount: float, percent: float) -> None:
    assert rules.printed_percent(nutrients()[nutrient], amount) == percent


@pytest.mark.parametrize(("amount", "percent"), LAW["percent_steps"]["calcium_mg_and_percent"])
def test_percents_of_minerals_go_in_their_steps(amount: float, percent: float) -> None:
    assert rules.printed_percent(nutrients()["calcium"], amount) == percent


@pytest.mark.parametrize("form", ["2016", "1993"])
def test_the_daily_values_are_those_of_the_form(form: str) -> None:
    given = LAW["daily_values"][form]

    assert {key: nutrients()[key].daily_value_of(form) for key in given} == given


def test_no_other_nutrient_has_a_daily_value() -> None:
    having = {key for key, nutrient in nutrients().items() if nutrient.daily_value}

    assert having == set(LAW["daily_values"]["2016"])
    assert not having & set(LAW["daily_values"]["none"])


@pytest.mark.parametrize(("servings", "printed"), LAW["servings"]["rows"])
def test_servings_per_container_are_printed_in_their_steps(servings: float, printed: float) -> None:
    assert rules.round_servings(servings) == printed


@pytest.mark.parametrize(("amount", "printed"), LAW["metric"]["rows"])
def test_metric_amounts_are_printed_in_their_steps(amount: float, printed: float) -> None:
    assert rules.round_metric(amount) == printed


def test_calories_follow_fat_carbohydrate_and_protein() -> None:
    case = LAW["energy"]
    label = panel(
        "/55 g", {key: case[key] for key in ("fat", "carbohydrate", "protein")} | {"energy": case["printed"]}
    )

    bounds = check.energy_bounds(label)
    assert bounds is not None
    assert bounds.middle == case["kcal"]
    assert check.energy_fits(label)
