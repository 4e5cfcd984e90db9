"""From an amount to label servings: each bridge, and each sentence where there is none."""

import pytest

from shelfcheck.amounts import Amount, parse_amount
from shelfcheck.bridges import Bridge, build_bridge
from shelfcheck.errors import NoBridgeError, UnknownMeasureError
from shelfcheck.foods import find_food
from shelfcheck.measures import Hands, hands_from
from tests.making import panel


def bridge(
    amount: str, serving: str, food: str | None = None, hands: Hands | None = None, **more: object
) -> Bridge:
    label = panel(serving, **more)  # type: ignore[arg-type]
    known = find_food(food) if food else None
    return build_bridge(parse_amount(amount), label.serving, known, hands or Hands())


@pytest.mark.parametrize(
    ("amount", "serving", "food", "servings", "parts"),
    [
        # the label's own unit
        ("1 cup", "0.667 cup/55 g", None, 1.5, {"measure"}),
        ("1 cracker", "9 cracker/30 g", None, 1 / 9, {"measure"}),
        ("1 slice", "2 slice/50 g", None, 0.5, {"measure"}),
        ("1 can", "1 can/355 ml", None, 1, {"measure"}),
        # volume to volume
        ("1 fist", "0.667 cup/55 g", None, 1.5, {"measure"}),
        ("1 thumb", "2 tbsp/32 g", None, 0.5, {"measure"}),
        ("1 fl oz", "1 can/360 ml", None, 1 / 12, {"measure"}),
        ("1 pint", "1 cup/240 ml", None, 473.176473 / 240 / 473.176473, {"measure"}),
        # weight to weight
        ("1 g", "0.667 cup/55 g", None, 1 / 55, {"measure"}),
        ("1 bundle", "2 oz/56 g", None, 1, {"measure"}),
        ("1 ounce", "9 cracker/30 g", None, 28 / 30, {"measure"}),
        ("2 two-finger pieces", "1 oz", None, 1, {"measure"}),
        # pieces to pieces
        ("1 piece", "3 cookie/32 g", None, 1 / 3, {"measure"}),
        ("1 piece", "1 oz/28 g", "almonds", 1.233 / 28, {"measure", "piece"}),
        # through the food's density, both ways
        ("1 fist", "/28 g", "almonds", 143 / 28, {"measure", "density"}),
        ("1 cup", "1 oz/28 g", "almonds", 143 / 28, {"measure", "density"}),
        ("1 g", "2 tbsp", "peanut_butter", 1 / (258 / 240) / 30, {"measure", "density"}),
        ("1 piece", "0.25 cup", "almonds", 1.233 / (143 / 240) / 60, {"measure", "piece", "density"}),
        # a palmful: by weight for nuts, by volume where the label speaks of volume
        ("1 palmful", "1 oz/28 g", "peanuts", 1, {"measure"}),
        ("1 palmful", "0.25 cup/40 g", "raisins", 47 / 60, {"measure"}),
        # dry to cooked
        ("1 cup cooked", "0.25 cup/45 g", "rice_white", 158 / 2.82 / 45, {"measure", "density", "yield"}),
        ("1 g cooked", "0.25 cup/45 g", "rice_white", 1 / 2.82 / 45, {"measure", "yield"}),
        ("1 fist cooked", "2 oz/56 g", "spaghetti", 140 / 2.38 / 56, {"measure", "density", "yield"}),
        (
            "1 cup cooked",
            "0.25 cup",
            "rice_white",
            158 / 2.82 / (185 / 240) / 60,
            {"measure", "density", "yield"},
        ),
        # cooked, but a food that does not swell
        ("1 cup cooked", "1 cup/248 g", "chicken_noodle_soup", 1, {"measure"}),
    ],
)
def test_each_bridge_leads_to_the_labels_servings(
    amount: str, serving: str, food: str | None, servings: float, parts: set[str]
) -> None:
    built = bridge(amount, serving, food)

    assert built.servings_per_one == pytest.approx(servings)
    assert set(built.parts) == parts


def test_packages_go_by_the_servings_per_container() -> None:
    exact = bridge("1 package", "0.667 cup/55 g", servings_per_container=8)
    about = bridge("1 package", "0.667 cup/55 g", servings_per_container={"value": 8, "about": True})
    halves = bridge("1 package", "0.667 cup/55 g", servings_per_container={"value": 3, "about": True})

    assert exact.servings_per_one == about.servings_per_one == 8
    assert exact.relative_uncertainty == 0
    # "about 8" is 7.5 to 8.5, "about 3" is 2.75 to 3.25 (21 CFR 101.9(b)(8)(i)), rectangular
    assert about.relative_uncertainty == pytest.approx(0.5 / 8 / 3**0.5)
    assert halves.relative_uncertainty == pytest.approx(0.25 / 3 / 3**0.5)


def test_a_container_that_is_the_serving_needs_no_servings_per_container() -> None:
    assert bridge("half the package", "1 container/150 g").servings_per_one == 1
    assert bridge("1 bottle", "1 container/355 ml").servings_per_one == 1


def test_pieces_printed_beside_another_measure_count() -> None:
    assert bridge("1 almond", "1 oz/28 g", pieces=24).servings_per_one == pytest.approx(1 / 24)
    assert bridge("1 piece", "1 oz/28 g", pieces=24).servings_per_one == pytest.approx(1 / 24)


def test_the_labels_own_weight_beats_the_food_table() -> None:
    # 2/3 cup (55 g) is this very granola; the table's 122 g a cup would make 1 cup 2.2 servings
    assert bridge("1 cup", "0.667 cup/55 g", "granola").servings_per_one == pytest.approx(1.5)


def test_own_hands_change_the_size_and_its_uncertainty() -> None:
    own = bridge("1 fist", "1 cup/240 ml", hands=hands_from({"fist_ml": 300}))

    assert own.servings_per_one == pytest.approx(1.25)
    assert own.relative_uncertainty == 0.15


def test_uncertainties_met_on_the_way_are_added_in_quadrature() -> None:
    built = bridge("1 fist cooked", "0.25 cup/45 g", "rice_white")

    assert built.parts == {"measure": 0.3, "density": 0.05, "yield": 0.21}
    assert built.relative_uncertainty == pytest.approx((0.3**2 + 0.05**2 + 0.21**2) ** 0.5)


def test_the_weight_as_eaten_is_the_weight_before_it_is_counted_dry() -> None:
    assert bridge("1 cup cooked", "0.25 cup/45 g", "rice_white").grams_per_one() == pytest.approx(158)
    assert bridge("1 cup", "0.667 cup/55 g").grams_per_one() is None


@pytest.mark.parametrize(
    ("amount", "serving", "food", "field", "sentence"),
    [
        ("1 fist", "", None, "serving", "serving size is missing"),
        (
            "1 package",
            "0.667 cup/55 g",
            None,
            "serving.servings_per_container",
            "servings per container are missing",
        ),
        (
            "2 bags",
            "1 cup/240 ml",
            None,
            "serving.servings_per_container",
            "servings per container are missing",
        ),
        ("1 fist", "/28 g", None, "food", "without knowing the food"),
        ("1 fist", "3 cracker/30 g", None, "food", "without knowing the food"),
        ("1 bundle", "1 cup", None, "food", "without knowing the food"),
        ("3 piece", "1 cup/30 g", None, "food", "without knowing the food"),
        ("1 cup", "1 bagel/105 g", "bagel", "food", "without knowing the food"),
        ("1 fist cooked", "0.25 cup/45 g", None, "food", "say which food it is"),
        ("1 two-finger piece cooked", "1 piece", "rice_white", "food", "without knowing the food"),
    ],
)
def test_without_a_bridge_the_one_thing_to_supply_is_named(
    amount: str, serving: str, food: str | None, field: str, sentence: str
) -> None:
    with pytest.raises(NoBridgeError, match=sentence) as caught:
        bridge(amount, serving, food)

    assert caught.value.fields == {field: caught.value.message}


def test_the_sentence_says_the_amount_and_the_serving_as_printed() -> None:
    with pytest.raises(NoBridgeError, match=r"2 fists .* \(28 g\)"):
        bridge("2 fists", "/28 g")
    with pytest.raises(NoBridgeError, match=r"\(3 cracker \(30 g\)\)"):
        bridge("2 fists", "3 cracker/30 g")
    with pytest.raises(NoBridgeError, match=r"\(9 crackers \(30g\)\)"):
        bridge("2 fists", "9 cracker/30 g", text="9 crackers (30g)")


def test_a_unit_that_is_neither_ours_nor_the_labels_is_unknown() -> None:
    with pytest.raises(UnknownMeasureError, match="bucket") as caught:
        bridge("2 buckets", "0.667 cup/55 g")

    assert set(caught.value.fields) == {"amount.measure"}


def test_another_noun_counts_pieces_only_where_pieces_are_known() -> None:
    with pytest.raises(UnknownMeasureError):
        bridge("3 cookies", "9 cracker/30 g")
    assert bridge("3 crackers", "9 piece/30 g").servings_per_one == pytest.approx(1 / 9)


def test_a_bridge_does_not_depend_on_the_count() -> None:
    serving = panel("0.667 cup/55 g").serving

    one = build_bridge(Amount(1, "fist"), serving, None, Hands())
    assert build_bridge(Amount(7.5, "fist"), serving, None, Hands()) == one


@pytest.mark.parametrize("amount", ["1 package", "2 bundles"])
def test_what_is_measured_as_sold_is_the_same_when_cooked(amount: str) -> None:
    cooked = f"{amount} cooked"
    label = {"serving": "2 oz/56 g", "servings_per_container": 8}

    assert bridge(cooked, food="spaghetti", **label) == bridge(amount, **label) == bridge(cooked, **label)  # type: ignore[arg-type]
