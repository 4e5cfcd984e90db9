"""Errors of practised measures, against numpy and by hand."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shelfcheck.errors import InvalidInputError
from shelfcheck.tours.practice import Poured, errors_of, poured_from, practice_to_json, yardstick


@given(st.lists(st.floats(12, 4800), min_size=1, max_size=40))
def test_errors_are_those_of_numpy(measured: list[float]) -> None:
    signed = (np.array(measured) / 240 - 1) * 100
    errors = errors_of(measured, 240)

    assert errors.n == len(measured)
    assert errors.median_absolute == pytest.approx(np.median(np.abs(signed)))
    assert errors.median_signed == pytest.approx(np.median(signed))
    assert errors.within == pytest.approx(np.mean(np.abs(signed) <= 25 + 1e-9) * 100)


def test_a_quarter_off_is_still_near() -> None:
    assert errors_of([180, 300, 301, 179], 240).within == 50


def test_each_measure_is_told_before_and_after_in_the_order_of_the_table() -> None:
    told = practice_to_json(
        [
            Poured("after", "thumb", 15),
            Poured("before", "fist", 360),
            Poured("before", "fist", 300),
            Poured("after", "fist", 240),
            Poured("before", "palmful", 56),
        ]
    )

    assert [(row["measure"], row["unit"], row["target"]) for row in told] == [
        ("fist", "ml", 240),
        ("palmful", "g", 28),
        ("thumb", "ml", 15),
    ]
    assert told[0]["before"] == {
        "n": 2,
        "median_absolute_percent": 37.5,
        "median_signed_percent": 37.5,
        "within_percent": 50,
    }
    assert told[0]["after"]["median_absolute_percent"] == 0
    assert told[1]["after"] is None
    assert told[2]["before"] is None


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"round": "during"}, {"round"}),
        ({"round": None}, {"round"}),
        ({"round": []}, {"round"}),
        ({"measure": "cup"}, {"measure"}),
        ({"measure": 5}, {"measure"}),
        ({"measure": None, "round": 5, "measured": "x"}, {"measure", "round", "measured"}),
        ({"measured": None}, {"measured"}),
        ({"measured": True}, {"measured"}),
        ({"measured": 0}, {"measured"}),
        ({"measured": 4801}, {"measured"}),
        ({"measured": float("nan")}, {"measured"}),
        ({"measured": 10**400}, {"measured"}),
    ],
)
def test_what_nobody_pours_is_named(change: dict[str, Any], expected: set[str]) -> None:
    with pytest.raises(InvalidInputError) as caught:
        poured_from({"round": "before", "measure": "fist", "measured": 260} | change)
    assert set(caught.value.fields) == expected


def test_the_yardstick_names_its_source() -> None:
    assert yardstick()["share_within_percent"] == 80
    assert "Gibson" in yardstick()["source"]
