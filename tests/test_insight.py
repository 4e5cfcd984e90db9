"""What is worth saying about a portion."""

import pytest

from shelfcheck.insight import Insight, cautions, insights
from shelfcheck.panel import Panel
from shelfcheck.portion import Portion, build_plan
from shelfcheck.words import LANGUAGES
from tests.making import eat, panel


def said(portion: Portion, code: str, lang: str = "en") -> list[Insight]:
    return [insight for insight in insights(portion, lang) if insight.code == code]


def test_a_printed_zero_that_may_add_up_is_told_from_two_servings_on(granola: Panel) -> None:
    zeros = said(eat(granola, "4 fists"), "zero_adds_up")

    assert [insight.nutrients for insight in zeros] == [("trans_fat",)]
    assert zeros[0].values["below"] == 3
    assert "6 servings" in zeros[0].text
    assert "up to 3 g" in zeros[0].text
    assert said(eat(granola, "1 fist"), "zero_adds_up") == []


def test_a_total_is_told_before_its_parts() -> None:
    label = panel("1 cup/240 ml", {"energy": 0, "fat": 0, "trans_fat": 0})

    told = said(eat(label, "4 cups"), "zero_adds_up")
    assert [insight.nutrients[0] for insight in told] == ["fat", "trans_fat", "energy"]


def test_a_zero_of_a_nutrient_that_is_not_printed_is_not_told() -> None:
    assert said(eat(panel("1 cup/240 ml", {"energy": 90}), "4 cups"), "zero_adds_up") == []


def test_high_and_low_are_told_for_the_amount_really_eaten(granola: Panel) -> None:
    high = said(eat(granola, "2 fists"), "high_limit")[0]
    low = said(eat(granola, "1/2 fist"), "low_limit")[0]
    enough = said(eat(granola, "1 fist"), "high_enough")[0]

    assert high.nutrients == ("sodium", "added_sugars")  # 21 % and 60 %
    assert set(low.nutrients) == {"saturated_fat"}  # 3.75 %; sodium is 5.2 %
    assert set(enough.nutrients) == {"fiber", "calcium", "iron"}


@pytest.mark.parametrize(
    ("sodium", "code"), [(460, "high_limit"), (450, None), (115, "low_limit"), (120, None)]
)
def test_five_and_twenty_percent_are_the_bounds(sodium: float, code: str | None) -> None:
    portion = eat(panel("1 cup/240 ml", {"sodium": sodium}), "1 cup")

    assert [insight.code for insight in insights(portion) if insight.code.endswith("limit")] == (
        [code] if code else []
    )


@pytest.mark.parametrize(
    ("amount", "told"), [("1 cup", True), ("1/2 cup", False), ("2/3 cup", False), ("1/4 cup", True)]
)
def test_a_portion_far_from_the_labels_serving_is_told(granola: Panel, amount: str, *, told: bool) -> None:
    assert bool(said(eat(granola, amount), "servings")) is told


def test_one_serving_is_singular_and_three_are_times(granola: Panel) -> None:
    assert said(eat(granola, "2 fists"), "servings")[0].text == "This is 3 times the label's serving."
    assert "of the label's serving" in said(eat(granola, "1/3 cup"), "servings")[0].text


def test_the_share_of_the_meal_and_the_day_follow_the_plan(granola: Panel) -> None:
    portion = eat(granola, "2 fists", plan=build_plan(45, 1500))

    assert said(portion, "meal_share")[0].text.startswith("247 % of the 45 g")
    assert said(portion, "day_sodium")[0].text == "32 % of a day's sodium (1500 mg)."
    assert said(eat(granola, "2 fists"), "meal_share") == []
    assert said(eat(granola, "2 fists"), "day_sodium")[0].text == "21 % of a day's sodium (2300 mg)."


def test_fields_that_are_not_sure_are_told_first(granola: Panel) -> None:
    doubtful = granola.marked("nutrients.sodium").marked("serving.household_amount")

    first = insights(eat(doubtful, "2 fists"))[0]
    assert first.code == "look_again"
    assert "serving size, sodium" in first.text


def test_dry_food_in_hand_measures_asks_whether_it_was_meant_cooked() -> None:
    assert said(eat("white_rice", "1 fist", "rice_white"), "counted_dry")
    assert said(eat("white_rice", "1 cup", "rice_white"), "counted_dry") == []
    assert said(eat("dry_spaghetti", "1 bundle", "spaghetti"), "counted_dry") == []
    assert said(eat("white_rice", "1 fist cooked", "rice_white"), "counted_dry") == []


def test_the_kitchens_rule_is_said_beside_the_measured_yield() -> None:
    rule = said(eat("white_rice", "1 fist cooked", "rice_white"), "cooks_rule")

    assert "1/4 cup dry makes about 1 cup" in rule[0].text
    assert "by weight it makes about 0.8 cup" in rule[0].text


def test_numbers_as_prepared_are_named_so() -> None:
    assert said(eat("macaroni_mix", "1 cup cooked", "macaroni"), "as_prepared")
    assert said(eat("macaroni_mix", "1 cup", "macaroni"), "as_prepared") == []


def test_the_bundle_is_told_in_millimetres() -> None:
    assert "18 mm" in said(eat("dry_spaghetti", "1 bundle", "spaghetti"), "bundle")[0].text


def test_the_cautions_stand_beside_every_result_in_both_languages() -> None:
    for lang in LANGUAGES:
        assert len(cautions(lang)) == 4
    assert "insulin" in " ".join(cautions())
    assert "insulina" in " ".join(cautions("es"))


def test_no_insight_scolds_or_leaves_a_gap_to_fill_in(granola: Panel) -> None:
    for lang in LANGUAGES:
        for insight in insights(eat(granola, "6 fists", plan=build_plan(45, 2300)), lang):
            assert "{" not in insight.text
            assert not {"bad", "must", "never", "malo", "debe", "nunca"} & set(insight.text.lower().split())
