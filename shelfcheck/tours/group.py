"""What the amounts of a group really hold at one stop: the core's portions, side by side."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from shelfcheck.amounts import Amount
from shelfcheck.errors import InvalidInputError
from shelfcheck.foods import Food
from shelfcheck.measures import hands_from
from shelfcheck.numbers import round_half_up
from shelfcheck.panel import CORE, Panel
from shelfcheck.portion import Portion, build_portion
from shelfcheck.rules import nutrients

_SERVINGS_DECIMALS = 2


class Said(NamedTuple):
    """An amount that somebody said, with the numbers of a measured hand where there are any."""

    amount: Amount
    hands: Mapping[str, float]
    late: bool


class Group(NamedTuple):
    """A group at one stop.

    ``left_out`` counts amounts that the panel, corrected since, can no longer be told in.
    ``serving_count`` is the label's serving in the stop's own measure, where that can be told.
    """

    portions: tuple[Portion, ...]
    late: int
    left_out: int
    panel: Panel
    measure: str
    serving_count: float | None


def build_group(panel: Panel, food: Food | None, measure: str, said: Iterable[Said]) -> Group:
    """Return the group of all who said an amount of the panel's food."""
    portions, late, left_out = [], 0, 0
    for each in said:
        try:
            portions.append(build_portion(panel, each.amount, food, hands=hands_from(each.hands)))
        except InvalidInputError:
            left_out += 1
        else:
            late += each.late
    return Group(tuple(portions), late, left_out, panel, measure, _serving_count(panel, food, measure))


def _serving_count(panel: Panel, food: Food | None, measure: str) -> float | None:
    try:
        return 1 / build_portion(panel, Amount(1, measure), food).bridge.servings_per_one
    except (InvalidInputError, ZeroDivisionError):
        return None


def group_to_json(group: Group) -> dict[str, Any]:
    """Return the group as the dots and middles that people see, the label's serving beside them."""
    count = group.serving_count
    return {
        "answers": len(group.portions),
        "late": group.late,
        "left_out": group.left_out,
        "amounts": list(_amounts(group.portions)),
        "servings": spread((p.servings.value for p in group.portions), _SERVINGS_DECIMALS),
        "nutrients": {key: _nutrient(key, group) for key in CORE if group.panel.value(key) is not None},
        "serving": {
            "text": group.panel.serving.text,
            "measure": group.measure,
            "count": None if count is None else round_half_up(count, _SERVINGS_DECIMALS),
        },
    }


def _amounts(portions: Sequence[Portion]) -> Iterable[dict[str, Any]]:
    """Yield the counts said in each measure, the most used measure first."""
    counts: dict[tuple[str, bool], list[float]] = {}
    for portion in portions:
        counts.setdefault((portion.amount.measure, portion.amount.cooked), []).append(portion.amount.count)
    for (measure, cooked), said in sorted(counts.items(), key=lambda item: (-len(item[1]), item[0])):
        yield {"measure": measure, "cooked": cooked, **spread(said, _SERVINGS_DECIMALS)}


def _nutrient(key: str, group: Group) -> dict[str, Any]:
    eaten = [portion.nutrients[key] for portion in group.portions if key in portion.nutrients]
    known = nutrients()[key]
    return {
        "unit": known.unit,
        "serving": group.panel.value(key),
        **spread((each.range.value for each in eaten), known.decimals),
    }


def spread(values: Iterable[float], decimals: int) -> dict[str, Any]:
    """Return the values in rising order, so that it tells nothing of who said what, with their middle."""
    rising = sorted(values)
    marks = (statistics.median(rising), rising[0], rising[-1]) if rising else ()
    median, smallest, largest = (round_half_up(mark, decimals) for mark in marks) if marks else (None,) * 3
    return {
        "values": [round_half_up(value, decimals) for value in rising],
        "median": median,
        "smallest": smallest,
        "largest": largest,
    }
