"""The amount as JSON; every fault in it is reported at once, keyed by its path."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from typing import Any

from shelfcheck.amounts import Amount, amount_from
from shelfcheck.errors import InvalidInputError
from shelfcheck.words import DEFAULT, say

_MOST = sys.float_info.max  # NaN, infinities and whole numbers beyond any float are none
_PARTS = frozenset(("count", "measure", "cooked"))


def amount_from_json(raw: Mapping[str, Any], lang: str = DEFAULT) -> Amount:
    """Return the amount that ``{"count": 2, "measure": "fist", "cooked": false}`` describes.

    Raises:
        InvalidInputError: with one sentence for each fault in ``fields``.
    """
    faults = dict(_faults(raw))
    if faults:
        said = {f"amount.{part}": say(f"fault.{code}", lang) for part, code in faults.items()}
        raise InvalidInputError(say("error.request_faults", lang), said)
    return amount_from(raw["count"], raw["measure"], lang, cooked=raw.get("cooked", False))


def _faults(raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    count, measure = raw.get("count"), raw.get("measure")
    if count is None:
        yield "count", "missing"
    elif isinstance(count, bool) or not isinstance(count, (int, float)) or not abs(count) <= _MOST:
        yield "count", "not_a_number"
    if measure is None:
        yield "measure", "missing"
    elif not isinstance(measure, str):
        yield "measure", "not_a_text"
    if raw.get("cooked", False) not in (True, False):
        yield "cooked", "yes_or_no"
    for part in raw.keys() - _PARTS:
        yield part, "unknown_field"
