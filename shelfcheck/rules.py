"""US label rules: what a printed amount may stand for, and its share of the Daily Value.

Source of every number: ``data/label_rules.json`` (21 CFR 101.9).
"""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any, NamedTuple

from shelfcheck import data
from shelfcheck.numbers import on_step, round_half_up, round_to_step

RULES = "label_rules.json"
_FAR = float("inf")


class Interval(NamedTuple):
    """Amounts from ``low`` (included) to ``high`` (excluded), in the nutrient's unit."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """The expected amount when nothing but the interval is known."""
        return (self.low + self.high) / 2

    @property
    def standard_uncertainty(self) -> float:
        """The width over the root of twelve: a rectangular distribution (JCGM 100:2008, 4.3.7)."""
        return (self.high - self.low) / 12**0.5


class Nutrient(NamedTuple):
    """A line of the panel: its unit, grid, Daily Values and the total it lies within."""

    id: str
    unit: str
    grid: dict[str, Any]
    decimals: int
    most: float
    daily_value: float | None
    daily_value_1993: float | None
    within: str | None
    guide: str | None
    names: dict[str, list[str]]

    def daily_value_of(self, form: str) -> float | None:
        """Return the Daily Value on a ``"2016"`` or ``"1993"`` form, or None where there is none."""
        return self.daily_value_1993 if form == "1993" else self.daily_value


def _load() -> dict[str, Nutrient]:
    rules = data.load(RULES)
    return {
        row["id"]: Nutrient(
            row["id"],
            row["unit"],
            rules["grids"][row["grid"]],
            row["decimals"],
            row["most"],
            row.get("daily_value"),
            row.get("daily_value_1993"),
            row.get("within"),
            row.get("guide"),
            row["print"],
        )
        for row in rules["nutrients"]
    }


@cache
def nutrients() -> dict[str, Nutrient]:
    """Return every nutrient by its id, in the order of the panel."""
    return _load()


@cache
def label_units() -> dict[str, dict[str, float]]:
    """Return what the label's units hold: ``{"ml": {"cup": 240, ...}, "g": {"oz": 28}}``."""
    units: dict[str, dict[str, float]] = data.load(RULES)["label_units"]
    return {"ml": units["ml"], "g": units["g"]}


def declare(nutrient: Nutrient, amount: float) -> float:
    """Return how ``amount`` in one serving is printed, by the grid and its zero."""
    grid = nutrient.grid
    if grid["zero"] == "shall" and amount < grid["zero_below"]:
        return 0.0
    return round_half_up(round_to_step(amount, _step_at(grid["bands"], amount)), 3)


@lru_cache(maxsize=4096)
def printed_interval(nutrient_id: str, printed: float, *, less_than: bool = False) -> Interval:
    """Return the amounts in one serving that may be printed as ``printed``.

    A number that stands off its grid is taken as good to half a step.
    """
    grid = nutrients()[nutrient_id].grid
    if less_than:
        words = grid.get("less_than", {"from": 0})
        return Interval(words["from"] if printed == words.get("value") else 0, printed)
    low, high, start = _FAR, -_FAR, 0.0
    for band in grid["bands"]:
        end = band.get("to", band.get("below", _FAR))
        step = band["step"]
        if abs(round_to_step(printed, step) - printed) < step / 1000:
            bottom, top = max(printed - step / 2, start), min(printed + step / 2, end)
            if bottom < top:
                low, high = min(low, bottom), max(high, top)
        start = end
    if printed == 0:
        low, high = 0.0, max(high, grid["zero_below"])
    elif grid["zero"] == "shall":
        low = max(low, grid["zero_below"])
    if low >= high:
        half = _step_at(grid["bands"], printed) / 2
        return Interval(max(0.0, printed - half), printed + half)
    return Interval(low, high)


def on_grid(nutrient: Nutrient, printed: float, *, usual: bool = False) -> bool:
    """Tell whether a label may lawfully print ``printed``; soft grids (minerals) allow any number.

    ``usual``: whether it stands on the grid that most labels keep to, soft or not.
    """
    if nutrient.grid.get("soft") and not usual:
        return True
    step = _step_at(nutrient.grid["bands"], printed)
    return on_step(printed, step)


def percent_dv(nutrient: Nutrient, amount: float, form: str = "2016") -> float | None:
    """Return ``amount`` as a percentage of the Daily Value, unrounded; None where there is none."""
    daily = nutrient.daily_value_of(form)
    return None if daily is None else amount / daily * 100


def printed_percent(nutrient: Nutrient, amount: float, form: str = "2016") -> float | None:
    """Return the percentage as a panel prints it, with ties going up."""
    percent = percent_dv(nutrient, amount, form)
    if percent is None:
        return None
    return round_to_step(percent, percent_step(nutrient, percent))


def percent_step(nutrient: Nutrient, percent: float) -> float:
    """Return the step in which a panel prints ``percent`` of this nutrient's Daily Value."""
    rule = data.load(RULES)["percent_dv"]
    plain: float = rule["plain_step"]
    return _step_at(rule["vitamin_bands"], percent) if nutrient.id in rule["vitamins"] else plain


def lawful_percents(
    nutrient: Nutrient, printed: float, form: str = "2016", *, less_than: bool = False
) -> tuple[float, float] | None:
    """Return the least and greatest percentage that may stand beside ``printed``.

    A maker may take the percentage from the amount before rounding, so 8 g of fat may print 10 or 11 %.
    """
    amounts = printed_interval(nutrient.id, printed, less_than=less_than)
    least = printed_percent(nutrient, amounts.low, form)
    greatest = printed_percent(nutrient, amounts.high - 1e-6, form)
    return None if least is None or greatest is None else (least, greatest)


def round_servings(servings: float) -> float:
    """Return the number of servings a container prints (whole, or halves from 2 to 5)."""
    return round_to_step(servings, _step_at(data.load(RULES)["servings_steps"]["bands"], servings))


def round_metric(amount: float) -> float:
    """Return how grams or millilitres of a serving are printed."""
    return round_half_up(round_to_step(amount, metric_step(amount)), 3)


def metric_step(amount: float) -> float:
    """Return the step to which a serving of ``amount`` g or mL is printed."""
    return _step_at(data.load(RULES)["metric_steps"]["bands"], amount)


def servings_step(servings: float) -> float:
    """Return the step to which ``servings`` per container are printed."""
    return _step_at(data.load(RULES)["servings_steps"]["bands"], servings)


def _step_at(bands: list[dict[str, float]], amount: float) -> float:
    for band in bands:
        if amount <= band.get("to", -_FAR) or amount < band.get("below", -_FAR):
            return band["step"]
    return bands[-1]["step"]
