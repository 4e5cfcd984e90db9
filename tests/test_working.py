"""The working, as an educator would write it on a board."""

import pytest

from shelfcheck.numbers import decimals
from shelfcheck.panel import Panel
from shelfcheck.working import volume, working
from tests.making import eat, panel


def test_two_fists_of_the_sample_cereal_are_shown_step_by_step(granola: Panel) -> None:
    assert working(eat(granola, "2 fists")) == [
        "2 fists = 2 cups",
        "One serving on the label = 2/3 cup (55g)",
        "2 cups ÷ 2/3 cup = 3 servings",
        "calories: 3 × 230 = 690 kcal",
        "fat: 3 × 8 = 24 g",
        "sodium: 3 × 160 = 480 mg",
        "carbohydrate: 3 × 37 = 111 g",
        "Give or take 30 % (about two times in three): the measure 30 %",
    ]


def test_the_working_is_in_spanish_too(granola: Panel) -> None:
    steps = working(eat(granola, "2 fists"), "es")

    assert steps[0] == "2 puños = 2 tazas"
    assert steps[1].endswith("2/3 cup (55g)")
    assert not {"cups", "servings", "fat", "measure"} & set(" ".join(steps).split())


def test_density_and_cooking_are_steps_of_their_own() -> None:
    steps = working(eat("white_rice", "1 fist cooked", "rice_white"))

    assert steps[:3] == ["1 fist cooked = 1 cup", "1 cup of white rice = 158 g", "158 g cooked = 56 g dry"]
    assert steps[-1].startswith("Give or take 37 %")
    assert "how it cooks 21 %" in steps[-1]


def test_a_package_is_divided_by_its_servings() -> None:
    steps = working(eat(panel("1 cup/240 ml", {"energy": 90}, servings_per_container=4), "half the package"))

    assert "1/2 package × 4 servings in one = 2 servings" in steps
    assert "Give or take" not in " ".join(steps)


def test_pieces_are_divided_as_they_are_counted() -> None:
    steps = working(eat(panel("9 cracker/30 g", {"energy": 140}), "12 crackers"))

    assert "12 crackers ÷ 9 crackers = 1.333 servings" in steps


def test_the_labels_own_measure_is_not_explained() -> None:
    steps = working(eat(panel("1 cup/240 ml", {"energy": 90}, text="1 cup (240mL)"), "2 cups"))

    assert steps[:2] == ["One serving on the label = 1 cup (240mL)", "2 cups ÷ 1 cup = 2 servings"]


def test_twice_the_coverage_is_said(granola: Panel) -> None:
    assert working(eat(granola, "2 fists", coverage=2))[-1].startswith(
        "Give or take 60 % (about 19 times in 20)"
    )


def test_what_the_label_does_not_print_is_not_multiplied() -> None:
    steps = working(eat(panel("1 cup/240 ml", {"energy": 90}), "2 cups"))

    assert [step for step in steps if "×" in step] == ["calories: 2 × 90 = 180 kcal"]


@pytest.mark.parametrize(
    ("milliliters", "said"),
    [
        (480, "2 cups"),
        (60, "1/4 cup"),
        (59, "3.93 tablespoons"),
        (15, "1 tablespoon"),
        (5, "1 teaspoon"),
        (1, "0.2 teaspoon"),
        (320, "1 1/3 cups"),
    ],
)
def test_a_volume_is_said_in_the_largest_kitchen_measure_that_suits_it(milliliters: float, said: str) -> None:
    assert volume(milliliters) == said


def test_numbers_have_at_most_two_decimals_with_ties_going_up() -> None:
    assert [decimals(2.675), decimals(3), decimals(0.125, 1), decimals(2.5, 0)] == ["2.68", "3", "0.1", "3"]
