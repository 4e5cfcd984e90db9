"""Units against NIST's tables, exact definitions and pint's registry."""

import pint
import pytest

from shelfcheck.amounts import parse_amount
from shelfcheck.measures import measures
from shelfcheck.rules import label_units
from shelfcheck.units import to_label_unit
from tests.making import eat, outside, panel

UNITS = outside("units")
PINT_NAMES = {"cup": "cup", "tbsp": "tablespoon", "tsp": "teaspoon", "fl_oz": "fluid_ounce"}


def test_label_units_are_those_of_the_regulation() -> None:
    assert label_units() == {"ml": UNITS["label"]["ml"], "g": UNITS["label"]["g"]}
    for unit, amount in UNITS["label"]["ml"].items():
        assert measures()[unit].ways[0].amount == amount


@pytest.mark.parametrize(("cups", "milliliters"), UNITS["cooking"]["cups_to_ml"])
def test_cups_hold_what_the_table_of_cooking_says(cups: str, milliliters: float) -> None:
    portion = eat(panel("1 bottle/1 ml", {"energy": 5}), f"{cups} cup")

    assert portion.servings.value == pytest.approx(milliliters)


@pytest.mark.parametrize("unit", PINT_NAMES)
def test_pint_has_the_exact_customary_units(unit: str) -> None:
    exact = pint.UnitRegistry().Quantity(1, PINT_NAMES[unit]).m_as("milliliter")

    assert exact == pytest.approx(UNITS["exact"]["ml"][unit], rel=1e-12)
    assert UNITS["household"]["ml"][unit] == pytest.approx(exact, rel=0.015)


@pytest.mark.parametrize("unit", PINT_NAMES)
def test_label_volumes_are_144_hundredths_of_a_percent_above_the_exact_ones(unit: str) -> None:
    assert label_units()["ml"][unit] / UNITS["exact"]["ml"][unit] == pytest.approx(1.0144, abs=5e-5)


def test_the_label_ounce_is_12_tenths_of_a_percent_below_the_exact_one() -> None:
    assert label_units()["g"]["oz"] / UNITS["exact"]["oz_g"] == pytest.approx(0.9877, abs=5e-5)


def test_other_units_are_the_exact_ones() -> None:
    registry = pint.UnitRegistry()
    for word, unit in (("pint", "pint"), ("quart", "quart"), ("gallon", "gallon"), ("liter", "liter")):
        assert to_label_unit(1, word) == (pytest.approx(registry.Quantity(1, unit).m_as("milliliter")), "ml")
    for word in ("lb", "pound", "kg"):
        assert to_label_unit(1, word) == (pytest.approx(registry.Quantity(1, word).m_as("gram")), "g")


def test_a_pound_is_sixteen_exact_ounces() -> None:
    assert parse_amount("1 lb").count == pytest.approx(16 * UNITS["exact"]["oz_g"])
