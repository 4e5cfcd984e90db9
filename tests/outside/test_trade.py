"""What the trade teaches of hand measures, and worked results that an educator would check first."""

import pytest

from shelfcheck import data
from shelfcheck.portion_json import portion_to_json
from tests.making import eat, outside, panel

TRADE = outside("trade")
BOTTLE = panel("1 bottle/1 ml", {"energy": 5})


@pytest.mark.parametrize(("hand", "kitchen"), TRADE["measures"])
def test_a_hand_measure_holds_what_the_trade_says(hand: str, kitchen: str) -> None:
    assert eat(BOTTLE, hand).servings.value == pytest.approx(eat(BOTTLE, kitchen).servings.value)


@pytest.mark.parametrize(("name", "serving", "food", "energy"), TRADE["two_thumbs_are_a_serving"])
def test_two_thumbs_are_the_serving_of_what_is_spread_or_poured(
    name: str, serving: str, food: str, energy: float
) -> None:
    portion = eat(panel(serving, {"energy": energy}, name=name), "two thumbs", food)

    assert portion.servings.value == pytest.approx(1)
    assert portion.nutrients["energy"].range.value == pytest.approx(energy)


def test_a_usual_bowl_holds_what_people_pour() -> None:
    """Bowls of 12 and 18 oz, filled 24 to 92 and 43 to 114 % above a serving of cereal of 3/4 to 1 cup.

    The fillings: consumer magazine test, 2014, 124 shoppers. The serving: common practice, no source.
    """
    poured = [
        over * cups for low, high in ((1.24, 1.92), (1.43, 2.14)) for over, cups in ((low, 0.75), (high, 1))
    ]

    servings = eat(panel("1 cup/240 ml", {"energy": 150}), "1 bowl").servings

    assert servings.value == pytest.approx((min(poured) + max(poured)) / 2, abs=0.05)
    assert servings.low == pytest.approx(min(poured), abs=0.05)
    assert servings.high == pytest.approx(max(poured), abs=0.05)


def test_a_palm_of_peanuts_is_an_ounce() -> None:
    case = TRADE["palm_of_peanuts"]
    energy = (
        eat(panel(case["serving"], {"energy": case["energy"]}), "1 palm", "peanuts").nutrients["energy"].range
    )

    assert energy.value == case["energy"]
    assert energy.low < case["usda_energy"] < energy.high


def test_soy_sauce_by_the_trade_and_by_the_handbook_lie_in_one_range() -> None:
    case = TRADE["soy_sauce"]
    sodium = eat(panel(case["serving"], {"sodium": case["sodium"]}), "1 thumb").nutrients["sodium"].range

    assert sodium.value == case["sodium"]
    assert sodium.low < case["usda_sodium"] < sodium.high


def test_half_a_fist_of_oats_is_a_serving_dry_and_about_a_fist_cooked() -> None:
    case = TRADE["oats"]
    label = panel(case["serving"], {"energy": case["energy"]})

    assert eat(label, "half a fist", "oats").servings.value == pytest.approx(1)
    cooked = eat(label, "1 fist cooked", "oats").servings
    assert cooked.low < 1 < cooked.high
    assert cooked.value == pytest.approx(1, abs=0.1)


def test_a_fist_of_cooked_rice_covers_the_kitchens_rule_and_the_handbook() -> None:
    case = TRADE["rice"]
    label = panel(case["serving"], {"energy": case["energy"], "carbohydrate": case["carbohydrate"]})
    for amount in ("1 fist cooked", case["cooked"]):
        portion = eat(label, amount, "rice_white")

        assert 1.0 <= portion.servings.value <= 1.4
        assert portion.servings.low <= 1.0 <= portion.servings.high
        assert portion.servings.low <= case["handbook_servings"] <= portion.servings.high
        carbohydrate = portion.nutrients["carbohydrate"].range
        assert carbohydrate.low < case["carbohydrate"] < carbohydrate.high


def test_rice_labelled_by_volume_alone_is_bridged_too() -> None:
    servings = eat(panel("0.25 cup", {"energy": 160}), "1 fist cooked", "rice_white").servings

    assert 1.0 <= servings.value <= 1.4
    assert servings.low <= 1.0
    assert servings.high >= TRADE["rice"]["handbook_servings"]


def test_an_ounce_of_cheese_is_two_fingers() -> None:
    case = TRADE["cheese"]

    assert eat(panel(case["serving"], {"energy": case["energy"]}), "1 two-finger piece").servings.value == 1


def test_a_bundle_of_pasta_is_a_serving_and_about_a_cup_cooked() -> None:
    case = TRADE["pasta"]
    label = panel(case["serving"], {"energy": case["energy"]})

    assert eat(label, "1 bundle").servings.value == 1
    assert eat(label, "1 bundle cooked", "spaghetti").servings.value == 1  # held dry, whatever becomes of it
    cooked = eat(label, case["cooked"], "spaghetti").servings
    assert cooked.low < 1 < cooked.high


def test_the_bundle_is_as_wide_as_two_ounces_of_spaghetti() -> None:
    # a household magazine: 4 oz of spaghetti are 1 inch across; areas go with the square of the diameter
    bundle = next(row for row in data.load("measures.json")["measures"] if row["id"] == "bundle")

    assert bundle["diameter_mm"] == pytest.approx(25.4 * (2 / 4) ** 0.5, abs=0.5)
    coin = 4 * (24.26 / 25.4) ** 2  # oz in the ring of the coin that is often named, not 2
    assert coin == pytest.approx(3.6, abs=0.06)
    # two fingers laid side by side are about 36 mm: the rule that is often taught makes four servings
    assert 2 * (36 / bundle["diameter_mm"]) ** 2 == pytest.approx(8)


@pytest.mark.parametrize("cups", TRADE["cereals"]["serving_cups"])
def test_poured_cereal_is_more_than_the_labels_serving(cups: float) -> None:
    case = TRADE["cereals"]
    label = panel(f"{cups} cup/40 g", {"energy": case["energy"]})
    for over in case["poured_over_percent"]:
        poured = cups * (1 + over / 100)
        eaten = eat(label, f"{poured:.3f} cups").nutrients["energy"].range

        assert eaten.value == pytest.approx(case["energy"] * (1 + over / 100), rel=1e-3)
        assert eaten.low > case["energy"]


@pytest.mark.parametrize(("sample", "amount", "food", "servings", "near"), TRADE["done"])
def test_each_sample_is_so_many_servings(
    sample: str, amount: str, food: str | None, servings: float, near: float
) -> None:
    assert eat(sample, amount, food).servings.value == pytest.approx(servings, abs=near)


def test_two_fists_of_the_sample_panel() -> None:
    told = portion_to_json(eat("fda_sample", "2 fists"))

    assert told["servings"]["value"] == 3.0
    values = {key: told["nutrients"][key]["value"] for key in ("energy", "fat", "sodium", "carbohydrate")}
    assert values == {"energy": 690, "fat": 24, "sodium": 480, "carbohydrate": 111}
    assert told["carb_choices"]["value"] == 7.4


def test_a_fist_of_almonds_labelled_by_weight_alone() -> None:
    # 143 g a cup, USDA SR26 NDB 12061
    assert eat(panel("/28 g", {"energy": 170}), "1 fist", "almonds").servings.value == pytest.approx(
        5.1, abs=0.05
    )
