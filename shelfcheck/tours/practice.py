"""How near the measures came that people poured by eye, before they practised and after.

An error is what was poured against what the measure stands for, in per cent. The yardstick stands in
``data/tour_rules.json`` with its source.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Literal, NamedTuple

from shelfcheck import data
from shelfcheck.errors import InvalidInputError
from shelfcheck.measures import Measure, Way, measures
from shelfcheck.numbers import plain, round_half_up
from shelfcheck.words import DEFAULT, say

Round = Literal["before", "after"]
ROUNDS: tuple[Round, ...] = ("before", "after")


class Poured(NamedTuple):
    """What somebody poured for one of a measure, in the measure's own unit."""

    round: str
    measure: str
    measured: float


class Pour(NamedTuple):
    """What one phone's owner poured; ``phone`` is only to find the two rounds of one pair."""

    phone: int
    poured: Poured


class Errors(NamedTuple):
    """The errors of ``n`` pours in per cent; ``within`` is the share that came near enough, in per cent."""

    n: int
    median_absolute: float
    median_signed: float
    within: float


def poured_from(raw: Mapping[str, Any], lang: str = DEFAULT) -> Poured:
    """Return what ``{"round": "before", "measure": "fist", "measured": 260}`` describes.

    Raises:
        InvalidInputError: with one sentence for each fault in ``fields``.
    """
    faults: dict[str, str] = {}
    turn, name, measured = raw.get("round"), raw.get("measure"), raw.get("measured")
    if turn not in ROUNDS:
        faults["round"] = say("fault.one_of", lang, allowed=", ".join(ROUNDS))
    by_hand = {measure.id for measure in measures().values() if measure.kind == "hand"}
    if not isinstance(name, str) or name not in by_hand:
        allowed = ", ".join(key for key in measures() if key in by_hand)
        faults["measure"] = say("fault.one_of", lang, allowed=allowed)
    if isinstance(measured, bool) or not isinstance(measured, (int, float)):
        faults["measured"] = say("fault.not_a_number" if measured is not None else "fault.missing", lang)
    elif "measure" not in faults:
        target, times = target_of(str(name)).amount, float(_rules()["times"])
        if not target / times <= measured <= target * times:
            low, high = (plain(round_half_up(size, 1)) for size in (target / times, target * times))
            faults["measured"] = say("fault.between", lang, low=low, high=high)
    if faults:
        raise InvalidInputError(say("error.request_faults", lang), faults)
    return Poured(str(turn), str(name), float(measured or 0))


def target_of(name: str) -> Way:
    """Return what one of a measure stands for, in its own unit."""
    measure: Measure = measures()[name]
    return measure.ways[0]


def errors_of(measured: Sequence[float], target: float) -> Errors:
    """Return the errors of pours that should have been ``target``; there must be one at least."""
    signed = [(each / target - 1) * 100 for each in measured]
    near = sum(abs(each) <= float(_rules()["within_percent"]) + 1e-9 for each in signed)
    absolute = statistics.median(abs(each) for each in signed)
    return Errors(len(signed), absolute, statistics.median(signed), near / len(signed) * 100)


def practice_to_json(pours: Iterable[Pour]) -> list[dict[str, Any]]:
    """Return the errors of each measure that was practised, before and after, and how many came closer."""
    by_measure: dict[str, dict[str, dict[int, float]]] = {}
    for phone, poured in pours:
        rounds = by_measure.setdefault(poured.measure, {turn: {} for turn in ROUNDS})
        rounds[poured.round][phone] = poured.measured
    return [
        {
            "measure": name,
            "unit": target_of(name).dimension,
            "target": target_of(name).amount,
            **{turn: _told([*rounds[turn].values()], target_of(name).amount) for turn in ROUNDS},
            "paired": paired(rounds["before"], rounds["after"], target_of(name).amount),
        }
        for name in measures()
        for rounds in [by_measure.get(name)]
        if rounds
    ]


def paired(before: Mapping[int, float], after: Mapping[int, float], target: float) -> dict[str, int]:
    """Return how many phones poured in both rounds, and how many of them came closer to ``target``."""
    both = before.keys() & after.keys()
    closer = sum(abs(after[phone] - target) < abs(before[phone] - target) for phone in both)
    return {"n": len(both), "closer": closer}


def yardstick() -> dict[str, Any]:
    """Return how near people come on average, with its source."""
    found: dict[str, Any] = data.load("tour_rules.json")["yardstick"]
    return found


def _told(measured: Sequence[float], target: float) -> dict[str, Any] | None:
    if not measured:
        return None
    n, absolute, signed, within = errors_of(measured, target)
    return {
        "n": n,
        "median_absolute_percent": round_half_up(absolute, 1),
        "median_signed_percent": round_half_up(signed, 1),
        "within_percent": round_half_up(within, 1),
    }


def _rules() -> dict[str, Any]:
    rules: dict[str, Any] = data.load("tour_rules.json")["practice"]
    return rules
