"""The panel and its serving."""

import pytest

from shelfcheck.panel import Declared, Doubt, Panel, Serving
from tests.making import panel


def test_a_household_measure_is_told_in_label_millilitres() -> None:
    serving = panel("0.667 cup/55 g").serving

    assert serving.household_count() == 2 / 3
    assert serving.household_ml() == pytest.approx(160)
    assert serving.milliliters() == pytest.approx(160)
    assert serving.grams() == 55


def test_ounces_are_28_g_where_no_grams_are_printed() -> None:
    assert panel("1 oz").serving.grams() == 28
    assert panel("1.5 oz/43 g").serving.grams() == 43


def test_metric_millilitres_serve_where_the_household_measure_is_no_volume() -> None:
    serving = panel("1 can/355 ml").serving

    assert serving.household_ml() is None
    assert serving.milliliters() == 355
    assert serving.grams() is None


def test_an_empty_serving_tells_nothing() -> None:
    serving = Serving()

    assert (serving.household_ml(), serving.household_count(), serving.grams()) == (None, None, None)
    assert serving.milliliters() is None


def test_printed_nutrients_come_in_the_order_of_a_panel() -> None:
    made = panel("1 cup/240 ml", {"sodium": 5, "energy": 90, "fat": None})

    assert list(made.printed()) == ["energy", "sodium"]
    assert made.value("energy") == 90
    assert made.value("fat") is None
    assert made.value("protein") is None


def test_a_missing_amount_has_no_interval() -> None:
    with pytest.raises(ValueError, match="fat has no printed value"):
        Declared(None, "g").interval("fat")


def test_a_doubt_marks_the_field_that_it_names(granola: Panel) -> None:
    doubted = granola.with_doubts(
        (Doubt("nutrients.sodium", "grid"), Doubt("serving.metric_amount", "household"))
    )

    assert doubted.nutrients["sodium"].state == "check"
    assert doubted.serving.metric_amount.state == "check"
    assert doubted.nutrients["fat"].state == "sure"
    assert granola.nutrients["sodium"].state == "sure"
    assert [doubt.code for doubt in doubted.doubts] == ["grid", "household"]


def test_what_is_missing_stays_missing(granola: Panel) -> None:
    assert granola.marked("serving.pieces") == granola
    assert granola.marked("nutrients.vitamin_c") == granola
    assert granola.marked("columns.as_prepared") == granola
