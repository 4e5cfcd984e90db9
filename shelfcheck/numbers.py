"""Rounding and printing of numbers, the same here and in ``web/modules/numbers.js``."""

from __future__ import annotations

import math

# A decimal such as 0.15 is stored a hair off; the slack lets 2.4999999999 count as the tie it is.
_SLACK = 1e-9
_POWERS = (1.0, 10.0, 100.0, 1000.0, 10000.0)
_DENOMINATORS = (2, 3, 4, 8, 6)
_THIRDS = (3, 6)
_NEAR_THIRD = 0.0035
_NEAR = 0.002

FRACTION_SIGNS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
"""Fractions printed or typed as one sign, with what they say."""


def round_half_up(value: float, decimals: int = 0) -> float:
    """Round ``value`` to ``decimals`` places; ties go up, as label rules and people do."""
    scale = _POWERS[decimals]
    return math.floor(value * scale + 0.5 + _SLACK) / scale


def round_three(values: tuple[float, float, float], decimals: int) -> tuple[float, float, float]:
    """Round three numbers as ``round_half_up`` does one, in a third of the time."""
    scale, floor = _POWERS[decimals], math.floor
    first, second, third = values
    return (
        floor(first * scale + 0.5 + _SLACK) / scale,
        floor(second * scale + 0.5 + _SLACK) / scale,
        floor(third * scale + 0.5 + _SLACK) / scale,
    )


def round_to_step(value: float, step: float) -> float:
    """Round ``value`` to the nearest multiple of ``step``; ties go up."""
    return math.floor(value / step + 0.5 + _SLACK) * step


def on_step(value: float, step: float) -> bool:
    """Tell whether ``value`` is a multiple of ``step``."""
    return abs(round_to_step(value, step) - value) < step / 1000


def quadrature(*parts: float) -> float:
    """Return the root of the sum of squares, added in the order given; ``math.hypot`` may add in another."""
    total = 0.0
    for part in parts:
        total += part * part
    return math.sqrt(total)


def exact_thirds(value: float) -> float:
    """Return thirds and sixths in full where they were cut short in print (0.667 or 0.67 is 2/3)."""
    for denominator in _THIRDS:
        numerator = math.floor(value * denominator + 0.5)
        exact = numerator / denominator
        if numerator % denominator and abs(value - exact) < _NEAR_THIRD:
            return exact
    return value


def as_fraction(value: float) -> str:
    """Print ``value`` as a cook would ("2/3", "1 1/2", "3"), or with two decimals at most.

    >>> as_fraction(1.5), as_fraction(2 / 3), as_fraction(3.0), as_fraction(0.37)
    ('1 1/2', '2/3', '3', '0.37')
    """
    whole = math.floor(value + _NEAR)
    rest = value - whole
    if abs(rest) <= _NEAR:
        return str(whole)
    for denominator in _DENOMINATORS:
        numerator = math.floor(rest * denominator + 0.5)
        if 0 < numerator < denominator and abs(rest - numerator / denominator) <= _NEAR:
            fraction = f"{numerator}/{denominator}"
            return f"{whole} {fraction}" if whole else fraction
    return plain(round_half_up(value, 2))


def decimals(value: float, places: int = 2) -> str:
    """Print ``value`` with at most ``places`` decimals, ties going up."""
    scale = _POWERS[places]
    rounded = math.floor(value * scale + 0.5 + _SLACK) / scale
    whole = int(rounded)
    return str(whole) if rounded == whole else repr(rounded)


def plain(value: float) -> str:
    """Print a number without a trailing ``.0``."""
    whole = int(value)
    return str(whole) if value == whole else repr(value)
