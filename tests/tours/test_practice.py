"""Errors of practised measures, against numpy and by hand."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shelfcheck.errors import InvalidInputError
from shelfcheck.tours.practice import (
    Pour,
    Poured,
    errors_of,
    paired,
    poured_from,
    practice_to_json,
    yardstick,
)


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
            Pour(1, Poured("after", "thumb", 15)),
            Pour(1, Poured("before", "fist", 360)),
            Pour(2, Poured("before", "fist", 300)),
            Pour(1, Poured("after", "fist", 240)),
            Pour(2, Poured("before", "palmful", 56)),
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
    assert [row["paired"] for row in told] == [{"n": 1, "closer": 1}, *[{"n": 0, "closer": 0}] * 2]
    assert told[1]["after"] is None
    assert told[2]["before"] is None


def test_only_phones_of_both_rounds_are_paired_and_as_far_off_as_before_is_not_closer() -> None:
    before = {1: 360.0, 2: 200.0, 3: 240.0, 4: 300.0, 5: 100.0}
    after = {1: 260.0, 2: 280.0, 3: 240.0, 4: 120.0, 6: 240.0}

    assert paired(before, after, 240) == {"n": 4, "closer": 1}
    assert paired({}, after, 240) == paired(before, {}, 240) == {"n": 0, "closer": 0}


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
