"""Rounding and printing of numbers."""

import doctest
import math

import pytest

from shelfcheck import numbers
from shelfcheck.numbers import as_fraction, exact_thirds, plain, quadrature, round_half_up, round_to_step


@pytest.mark.parametrize(
    ("value", "decimals", "rounded"),
    [(0.5, 0, 1), (1.5, 0, 2), (2.5, 0, 3), (-0.5, 0, 0), (2.675, 2, 2.68), (0.15, 1, 0.2), (7.4, 1, 7.4)],
)
def test_ties_go_up_and_never_to_even(value: float, decimals: int, rounded: float) -> None:
    assert round_half_up(value, decimals) == rounded


@pytest.mark.parametrize(
    ("value", "step", "rounded"), [(7.5, 5, 10), (7.4, 5, 5), (4.75, 0.5, 5), (4.74, 0.5, 4.5), (0, 5, 0)]
)
def test_a_step_rounds_to_its_nearest_multiple(value: float, step: float, rounded: float) -> None:
    assert round_to_step(value, step) == rounded


def test_quadrature_is_the_root_of_the_sum_of_squares() -> None:
    assert quadrature(3, 4) == 5
    assert quadrature() == 0
    assert quadrature(0.3, 0.05, 0.21) == pytest.approx(math.hypot(0.3, 0.05, 0.21))


@pytest.mark.parametrize(
    ("printed", "meant"),
    [(0.667, 2 / 3), (0.67, 2 / 3), (0.33, 1 / 3), (1.333, 4 / 3), (0.167, 1 / 6), (2.833, 17 / 6)],
)
def test_thirds_and_sixths_cut_short_in_print_are_taken_in_full(printed: float, meant: float) -> None:
    assert exact_thirds(printed) == meant


@pytest.mark.parametrize("value", [0.5, 0.25, 0.75, 1.0, 3.0, 0.66, 0.34, 0.6])
def test_other_numbers_are_no_thirds(value: float) -> None:
    assert exact_thirds(value) == value


@pytest.mark.parametrize(
    ("value", "printed"),
    [
        (1.5, "1 1/2"),
        (2 / 3, "2/3"),
        (0.667, "2/3"),
        (3.0, "3"),
        (0.37, "0.37"),
        (0.125, "1/8"),
        (2.999, "3"),
        (0, "0"),
        (11 / 6, "1 5/6"),
        (100.25, "100 1/4"),
    ],
)
def test_numbers_print_as_a_cook_says_them(value: float, printed: str) -> None:
    assert as_fraction(value) == printed


def test_a_whole_number_prints_without_a_decimal_point() -> None:
    assert (plain(3.0), plain(3.5), plain(0.0)) == ("3", "3.5", "0")


def test_the_examples_in_the_docstrings_hold() -> None:
    result = doctest.testmod(numbers)

    assert result.attempted > 0
    assert result.failed == 0
