"""The amount really eaten: servings, then nutrients, each with a low-high range.

Ranges follow the GUM (JCGM 100:2008): independent standard uncertainties in quadrature - the
measure, the label's rounding (rectangular), and the density and yield when they are used. The range
is value +- k u with k = 1 (about two times in three) or k = 2, never below 0. Everything is linear
in the count. ``web/modules/portion.js`` does the same sums and is held equal by tests.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from shelfcheck import data
from shelfcheck.amounts import Amount, check_count
from shelfcheck.bridges import Bridge, build_bridge
from shelfcheck.errors import InvalidInputError
from shelfcheck.foods import Food
from shelfcheck.measures import Hands
from shelfcheck.numbers import quadrature
from shelfcheck.panel import Declared, Form, Panel, Serving, State
from shelfcheck.rules import metric_step, nutrients
from shelfcheck.words import DEFAULT, say

COVERAGES = (1, 2)
_ROOT3 = math.sqrt(3)


class Range(NamedTuple):
    """A value and the range that it lies in; never below 0."""

    value: float
    low: float
    high: float

    def scaled(self, factor: float) -> Range:
        """Return the range in another unit, ``factor`` to one."""
        value, low, high = self
        return Range(value * factor, low * factor, high * factor)


class Eaten(NamedTuple):
    """A nutrient in the amount eaten, in ``unit``; ``percent_dv`` of the Daily Value, where there is one.

    It is ``times`` what the label tells of one serving (``per_serving``), or of one package, where packages
    are eaten and the label has a column for them.
    """

    range: Range
    unit: str
    percent_dv: float | None
    state: State
    per_serving: float
    times: float


class Plan(NamedTuple):
    """What the shopper's care team set. A meal's carbohydrate has no default: it depends on the person."""

    meal_carbohydrate_g: float | None = None
    day_sodium_mg: float | None = None

    @property
    def sodium_mg(self) -> float:
        """The day's sodium in mg: the plan's, else the Daily Value."""
        return self.day_sodium_mg or float(data.load("diet_rules.json")["day_sodium"]["mg"])


class Portion(NamedTuple):
    """An amount of a food with its servings and nutrients; ``grams`` where the label or food tells them."""

    panel: Panel
    amount: Amount
    food: Food | None
    hands: Hands
    plan: Plan
    bridge: Bridge
    servings: Range
    grams: Range | None
    nutrients: dict[str, Eaten]
    state: State
    coverage: int

    def carb_choices(self) -> Range | None:
        """Return the carbohydrate in choices of 15 g, or None when the label gives no carbohydrate."""
        return self._share("carbohydrate", float(data.load("diet_rules.json")["carb_choice"]["g"]))

    def day_sodium_percent(self) -> Range | None:
        """Return the sodium as a percentage of the day's."""
        return self._share("sodium", self.plan.sodium_mg / 100)

    def meal_carbohydrate_percent(self) -> Range | None:
        """Return the carbohydrate as a percentage of the meal plan, where the shopper has set one."""
        plan = self.plan.meal_carbohydrate_g
        return self._share("carbohydrate", plan / 100) if plan else None

    def _share(self, nutrient: str, unit: float) -> Range | None:
        eaten = self.nutrients.get(nutrient)
        return eaten.range.scaled(1 / unit) if eaten else None


def build_portion(  # noqa: PLR0913 - each is one thing that a shopper may say
    panel: Panel,
    amount: Amount,
    food: Food | None = None,
    *,
    hands: Hands | None = None,
    plan: Plan | None = None,
    coverage: int = 1,
    lang: str = DEFAULT,
) -> Portion:
    """Return the portion that ``amount`` of the panel's food is.

    Raises:
        AmountError, UnknownMeasureError, NoBridgeError: see ``bridges.build_bridge``.
    """
    check_count(amount.count, lang)
    hands, plan = hands or Hands(), plan or Plan()
    bridge = build_bridge(amount, panel.serving, food, hands, lang)
    servings = amount.count * bridge.servings_per_one
    spread = bridge.relative_uncertainty
    return Portion(
        panel,
        amount,
        food,
        hands,
        plan,
        bridge,
        _range(servings, servings * spread, coverage),
        _grams(panel.serving, bridge, amount.count, servings, coverage),
        _nutrients_eaten(_columns(panel, amount, bridge, servings, spread), panel.form, coverage),
        _state(panel.serving),
        coverage,
    )


def build_plan(meal_carbohydrate_g: float | None, day_sodium_mg: float | None, lang: str = DEFAULT) -> Plan:
    """Return a plan with sensible numbers.

    Raises:
        InvalidInputError: when a number is beyond what any care team sets.
    """
    if meal_carbohydrate_g is None and day_sodium_mg is None:
        return Plan()
    limits = data.load("diet_rules.json")["plan_limits"]
    given = {"meal_carbohydrate_g": meal_carbohydrate_g, "day_sodium_mg": day_sodium_mg}
    faults = {
        f"plan.{key}": say("fault.between", lang, low=limits[key][0], high=limits[key][1])
        for key, value in given.items()
        if value is not None and not limits[key][0] <= value <= limits[key][1]
    }
    if faults:
        raise InvalidInputError(say("error.plan_faults", lang), faults)
    return Plan(meal_carbohydrate_g, day_sodium_mg)


def _range(value: float, uncertainty: float, coverage: int) -> Range:
    reach = coverage * uncertainty
    return Range(value, value - reach if value > reach else 0.0, value + reach)


_Column = tuple[Mapping[str, Declared], float, float]
"""What a column of the label tells, how many times that is eaten, and the relative uncertainty of so many."""


def _columns(panel: Panel, amount: Amount, bridge: Bridge, servings: float, spread: float) -> list[_Column]:
    """Return the columns that tell of the amount, the fittest first."""
    found: list[_Column] = [(panel.nutrients, servings, spread)]
    if amount.cooked and "as_prepared" in panel.columns:
        found.insert(0, (panel.columns["as_prepared"], servings, spread))
    elif bridge.stages[-1].unit == "containers" and "per_container" in panel.columns:
        packages = amount.count * bridge.stages[-1].amount
        found.insert(0, (panel.columns["per_container"], packages, bridge.parts["measure"]))
    return found


def _nutrients_eaten(columns: Sequence[_Column], form: Form, coverage: int) -> dict[str, Eaten]:
    """Return each printed nutrient by the first of the columns that tells it, in the order of a panel."""
    found = {}
    for key in nutrients():
        told = _fittest(columns, key)
        if told is None:
            continue
        declared, times, spread = told
        each, label, daily = _per_serving(key, declared, form)
        value = times * each
        measured, printed = value * spread, times * label
        reach = coverage * math.sqrt(measured * measured + printed * printed)
        eaten = Range(value, value - reach if value > reach else 0.0, value + reach)
        percent = None if daily is None else value / daily * 100
        found[key] = Eaten(eaten, declared.unit, percent, declared.state, each, times)
    return found


def _fittest(columns: Sequence[_Column], key: str) -> tuple[Declared, float, float] | None:
    """Return what the first column that tells a nutrient says, how many times that is eaten, its spread."""
    for column, times, spread in columns:
        declared = column.get(key)
        if declared is not None and declared.value is not None:
            return declared, times, spread
    return None


@lru_cache(maxsize=4096)
def _per_serving(key: str, declared: Declared, form: Form) -> tuple[float, float, float | None]:
    """Return the amount in one serving, its standard uncertainty by the label's rounding, and its DV."""
    interval = declared.interval(key)
    each = interval.middle if declared.less_than or declared.value is None else declared.value
    return each, interval.standard_uncertainty, nutrients()[key].daily_value_of(form)


def _grams(serving: Serving, bridge: Bridge, count: float, servings: float, coverage: int) -> Range | None:
    """Return the weight as eaten: told by the bridge, else by the label's grams per serving."""
    each = bridge.grams_per_one()
    if each is not None:
        parts = [part for key, part in bridge.parts.items() if key != "yield"]
        return _range(count * each, count * each * quadrature(*parts), coverage)
    grams = serving.grams()
    if grams is None:
        return None
    rounding = metric_step(grams) / 2 / grams / _ROOT3
    return _range(
        servings * grams, servings * grams * quadrature(bridge.relative_uncertainty, rounding), coverage
    )


def _state(serving: Serving) -> State:
    fields = (serving.household_amount, serving.household_unit, serving.metric_amount, serving.metric_unit)
    return "check" if "check" in [field.state for field in fields] else "sure"
