"""Our ranges against the `uncertainties` library, which propagates by itself (GUM, JCGM 100:2008, 5.1.2)."""

import math
import random

import pytest
from uncertainties import ufloat

from shelfcheck import rules
from shelfcheck.amounts import Amount
from shelfcheck.foods import find_food
from shelfcheck.measures import hands_from, measures
from shelfcheck.numbers import quadrature
from shelfcheck.portion import build_portion
from shelfcheck.rules import Interval, nutrients
from tests.making import panel

KEYS = ("energy", "fat", "sodium", "carbohydrate", "protein", "cholesterol")


def rectangle(low: float, high: float, value: float) -> object:
    """A value known to lie between two bounds, each place in between as likely: half width / root 3."""
    return ufloat(value, (high - low) / 2 / math.sqrt(3))


@pytest.mark.parametrize("seed", range(60))
def test_the_range_of_a_random_portion_is_what_the_library_propagates(seed: int) -> None:
    rng = random.Random(seed)
    amounts = {
        key: rules.declare(nutrients()[key], rng.uniform(1, 40) * (10 if key in ("energy", "sodium") else 1))
        for key in KEYS
    }
    label = panel("0.25 cup/45 g", amounts)
    count, coverage = round(rng.uniform(0.25, 6), 2), rng.choice((1, 2))
    food, cooked = find_food("rice_white"), rng.random() < 0.5
    hands = hands_from({"fist_ml": rng.uniform(150, 500)}) if rng.random() < 0.5 else hands_from({})
    portion = build_portion(label, Amount(count, "fist", cooked), food, hands=hands, coverage=coverage)

    fist, spread = hands.size(measures()["fist"], measures()["fist"].ways[0])
    eaten = ufloat(fist, fist * spread) * count
    if cooked:
        density, gain = food.densities["cooked"], food.cooked_per_dry
        assert gain is not None
        grams = eaten * ufloat(density.value, density.value * density.u)
        servings = grams / ufloat(gain.value, gain.value * gain.u) / 45
    else:
        servings = eaten / 60
    assert portion.servings.value == pytest.approx(servings.n)
    assert portion.servings.high == pytest.approx(servings.n + coverage * servings.s)
    for key in KEYS:
        interval = label.nutrients[key].interval(key)
        expected = servings * rectangle(interval.low, interval.high, amounts[key])
        told = portion.nutrients[key].range
        assert told.value == pytest.approx(expected.n)
        assert told.high == pytest.approx(expected.n + coverage * expected.s)
        assert told.low == pytest.approx(max(0, expected.n - coverage * expected.s), abs=1e-9)


def test_a_rectangle_has_half_its_width_over_root_three() -> None:
    # JCGM 100:2008, 4.3.7, from memory: 8 g of fat, 7.5 to 8.5 g
    assert Interval(7.5, 8.5).standard_uncertainty == pytest.approx(0.2887, abs=5e-5)
    assert Interval(7.5, 8.5).standard_uncertainty / 8 == pytest.approx(0.0361, abs=5e-5)


def test_relative_uncertainties_of_a_product_add_in_quadrature() -> None:
    # JCGM 100:2008, 5.1.2, from memory
    product = ufloat(8, 8 * 0.036) * ufloat(3, 3 * 0.3) * ufloat(1, 0.05)

    assert quadrature(0.036, 0.3, 0.05) == pytest.approx(0.3063, abs=5e-5)
    assert quadrature(0.036, 0.3, 0.05) == pytest.approx(product.s / product.n)


def test_a_range_holds_the_truth_about_two_times_in_three() -> None:
    """Hands drawn with the spread that is claimed: 68 % within one, 95 % within two (normal)."""
    rng = random.Random(7)
    label, truth = panel("1 cup/240 ml", {"carbohydrate": 30}), []
    for _ in range(4000):
        cup = rng.gauss(240, 240 * 0.3)
        truth.append(cup / 240 * rng.uniform(29.5, 30.5))
    for coverage, share in ((1, 0.683), (2, 0.954)):
        told = build_portion(label, Amount(1, "fist"), coverage=coverage).nutrients["carbohydrate"].range
        inside = sum(told.low <= value <= told.high for value in truth) / len(truth)
        assert inside == pytest.approx(share, abs=0.02)


def test_hand_geometry_follows_the_measured_ratio_of_mens_and_womens_hands() -> None:
    # the ratio: ANSUR II hand sizes (circumference squared x palm length, men over women); the rest: geometry
    hands = hands_from({"fist_ml": 240 * 1.387})

    assert hands.volume_ratio == pytest.approx(1.387)
    assert hands.length_ratio == pytest.approx(1.115, abs=5e-4)
    assert hands.area_ratio == pytest.approx(1.244, abs=5e-4)


def test_the_spread_of_an_unknown_hand_is_that_of_hands_and_of_judging() -> None:
    # ANSUR II: volumes of adult hands vary by 0.21; Gibson 2016 (J Nutr Sci 5:e29, abstract): 80 % are
    # judged within 25 %, which is 0.195 if errors are normal
    fist = measures()["fist"]

    assert math.hypot(0.21, 0.195) == pytest.approx(hands_from({}).size(fist, fist.ways[0])[1], abs=0.02)
