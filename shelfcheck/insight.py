"""What is worth saying about a portion: zeros that add up, high and low, shares of the day and meal.

Yardsticks come from ``data/diet_rules.json`` and the 5/20 guide in ``data/label_rules.json``. Each
insight is candid and never scolds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from shelfcheck import data
from shelfcheck.bridges import measured_dry
from shelfcheck.measures import measures
from shelfcheck.numbers import decimals
from shelfcheck.portion import Portion
from shelfcheck.rules import RULES, nutrients, printed_interval
from shelfcheck.words import DEFAULT, nutrient_name, say

_LARGER, _SMALLER = 1.5, 0.67


class Insight(NamedTuple):
    """A sentence by its code, with the numbers in it and the nutrients that it is about."""

    code: str
    text: str
    nutrients: tuple[str, ...] = ()
    values: Mapping[str, float] = MappingProxyType({})


def insights(portion: Portion, lang: str = DEFAULT) -> list[Insight]:
    """Return the insights of a portion, the most useful first."""
    makers = (_unsure, _servings, _meal, _day_sodium, _guide, _zeros, _dry_or_cooked, _bundle)
    return [insight for make in makers for insight in make(portion, lang)]


@cache
def cautions(lang: str = DEFAULT) -> tuple[str, ...]:
    """Return the brief cautions that belong beside every result."""
    return tuple(say(f"caution.{code}", lang) for code in data.load("diet_rules.json")["cautions"])


def _unsure(portion: Portion, lang: str) -> Iterator[Insight]:
    keys = tuple([key for key, eaten in portion.nutrients.items() if eaten.state == "check"])
    names = [nutrient_name(key, lang) for key in keys]
    if portion.state == "check":
        names.insert(0, say("field.serving", lang))
    if names:
        yield Insight("look_again", say("insight.look_again", lang, names=", ".join(names)), keys)


def _servings(portion: Portion, lang: str) -> Iterator[Insight]:
    value = portion.servings.value
    if value >= _LARGER or value <= _SMALLER:
        text = say("insight.servings", lang, servings=decimals(value, 1 if value >= 1 else 2), count=value)
        yield Insight("servings", text, values={"servings": value})


def _meal(portion: Portion, lang: str) -> Iterator[Insight]:
    share, plan = portion.meal_carbohydrate_percent(), portion.plan.meal_carbohydrate_g
    if share is not None and plan is not None:
        parts = {"percent": decimals(share.value, 0), "plan": decimals(plan)}
        yield Insight(
            "meal_share",
            say("insight.meal_share", lang, **parts),
            ("carbohydrate",),
            {"percent": share.value},
        )


def _day_sodium(portion: Portion, lang: str) -> Iterator[Insight]:
    share = portion.day_sodium_percent()
    if share is not None:
        percent, day = share.value, portion.plan.sodium_mg
        text = say("insight.day_sodium", lang, percent=decimals(percent, 0), day=decimals(day))
        yield Insight("day_sodium", text, ("sodium",), {"percent": percent})


def _guide(portion: Portion, lang: str) -> Iterator[Insight]:
    """Yield what is high and low by the 5/20 guide, for the amount really eaten."""
    guide, eaten = data.load(RULES)["guide"], portion.nutrients
    low, high = guide["low_at_most"], guide["high_at_least"]
    found: dict[str, list[str]] = {"high_limit": [], "low_limit": [], "high_enough": [], "low_enough": []}
    for key, aim in _guided():
        percent = eaten[key].percent_dv if key in eaten else None
        if percent is not None and not low < percent < high:
            found[f"high_{aim}" if percent >= high else f"low_{aim}"].append(key)
    for code in ("high_limit", "low_limit", "high_enough"):
        keys = found[code]
        if keys:
            names = ", ".join([nutrient_name(key, lang) for key in keys])
            yield Insight(code, say(f"insight.{code}", lang, names=names), tuple(keys))


@cache
def _guided() -> tuple[tuple[str, str], ...]:
    """Return the nutrients that the guide speaks of, each with its aim: to limit, or to get enough of."""
    return tuple((key, nutrient.guide) for key, nutrient in nutrients().items() if nutrient.guide)


def _zeros(portion: Portion, lang: str) -> Iterator[Insight]:
    """Yield each printed 0 that may hide something worth knowing at this many servings."""
    rule = data.load("diet_rules.json")["zero_adds_up"]
    servings = portion.servings.value
    if servings < rule["from_servings"]:
        return
    for key in rule["nutrients"]:
        eaten = portion.nutrients.get(key)
        if eaten is not None and eaten.per_serving == 0:
            most = printed_interval(key, 0.0).high * eaten.times
            parts = {"nutrient": nutrient_name(key, lang), "most": decimals(most, 1), "unit": eaten.unit}
            text = say("insight.zero_adds_up", lang, servings=decimals(servings, 1), **parts)
            yield Insight("zero_adds_up", text, (key,), {"below": most})


def _dry_or_cooked(portion: Portion, lang: str) -> Iterator[Insight]:
    food, amount = portion.food, portion.amount
    if amount.cooked and "as_prepared" in portion.panel.columns:
        yield Insight("as_prepared", say("insight.as_prepared", lang))
    if food is None or not food.swells():
        return
    if amount.cooked:
        if food.rule and not measured_dry(amount.measure):
            yield Insight("cooks_rule", food.rule[lang])
    elif not measured_dry(amount.measure) and measures()[amount.measure].by_eye:
        yield Insight("counted_dry", say("insight.counted_dry", lang))


def _bundle(portion: Portion, lang: str) -> Iterator[Insight]:
    if portion.amount.measure == "bundle":
        yield Insight("bundle", say("insight.bundle", lang))
