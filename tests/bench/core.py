"""How long one portion takes in the core, from a panel and an amount that are already read."""

from __future__ import annotations

import statistics
import timeit

from shelfcheck.amounts import Amount
from shelfcheck.panel_json import panel_from_json
from shelfcheck.portion import build_portion
from tests.making import sample

BAR = 100.0
_ROUNDS, _EACH = 25, 200


def measure() -> tuple[str, bool]:
    """Return a line with the microseconds of one portion, and whether they are within the bar."""
    panel, amount = panel_from_json(sample("fda_sample")), Amount(2, "fist")
    seconds = timeit.repeat(lambda: build_portion(panel, amount), number=_EACH, repeat=_ROUNDS)
    each = [1e6 * total / _EACH for total in seconds]
    middle = statistics.median(each)
    return f"core portion: {middle:.0f} µs (least {min(each):.0f}), bar {BAR:.0f}", middle <= BAR
