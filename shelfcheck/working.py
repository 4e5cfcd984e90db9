"""The working, step by step, as an educator would write it on a board."""

from __future__ import annotations

from shelfcheck.amounts import measure_words
from shelfcheck.bridges import Stage
from shelfcheck.numbers import as_fraction, decimals
from shelfcheck.panel import CORE
from shelfcheck.portion import Portion
from shelfcheck.rules import label_units, nutrients
from shelfcheck.words import DEFAULT, nutrient_name, say

_CUPS_FROM = 60.0
_DIGITS = 3
"""Decimals of servings: with fewer, a sum done again by hand comes out another number."""
_WHOLE = {"pieces": "piece", "containers": "container"}


def working(portion: Portion, lang: str = DEFAULT) -> list[str]:
    """Return the steps from the amount to the main numbers, one sentence each."""
    steps = _to_servings(portion, lang)
    known = nutrients()
    for key in CORE:
        eaten = portion.nutrients.get(key)
        if eaten is not None:
            step = say(
                "work.multiply",
                lang,
                nutrient=nutrient_name(key, lang),
                servings=decimals(eaten.times, _DIGITS),
                each=decimals(eaten.per_serving),
                total=decimals(eaten.range.value, known[key].decimals),
                unit=eaten.unit,
            )
            steps.append(step)
    parts_said = ", ".join(
        [
            say(f"part.{part}", lang, percent=decimals(100 * value, 0))
            for part, value in portion.bridge.parts.items()
            if value
        ]
    )
    if parts_said:
        total = decimals(100 * portion.bridge.relative_uncertainty * portion.coverage, 0)
        steps.append(
            say("work.range", lang, total=total, parts=parts_said, odds=say(f"odds.{portion.coverage}", lang))
        )
    return steps


def volume(milliliters: float, lang: str = DEFAULT) -> str:
    """Say a volume in the largest kitchen measure that suits it: cups from a quarter up, else spoons."""
    units = label_units()["ml"]
    unit = "cup" if milliliters >= _CUPS_FROM else "tbsp" if milliliters >= units["tbsp"] else "tsp"
    return _count(milliliters / units[unit], unit, lang)


def _to_servings(portion: Portion, lang: str) -> list[str]:
    count, bridge = portion.amount.count, portion.bridge
    food = portion.food.names[lang] if portion.food else say("work.this_food", lang)
    steps = []
    for before, stage in zip((None, *bridge.stages), bridge.stages, strict=False):
        if stage.unit in ("own", "containers", "pieces"):
            continue
        if before is None:
            said = {"amount": portion.amount.text(lang), "size": _quantity(stage, count, lang)}
            if not _same_words(portion.amount.measure, stage):
                steps.append(say("work.measure", lang, **said))
        else:
            start, end = _quantity(before, count, lang), _quantity(stage, count, lang)
            steps.append(say(f"work.{stage.via}", lang, start=start, end=end, food=food))
    return [*steps, *_last_step(portion, lang)]


def _last_step(portion: Portion, lang: str) -> list[str]:
    """Return the division by the label's serving, or the servings in so many packages."""
    last, serving, servings = portion.bridge.stages[-1], portion.bridge.serving, portion.servings.value
    said = {"servings": decimals(servings, _DIGITS), "count": servings}
    if last.unit == "containers":
        eaten = _quantity(last, portion.amount.count, lang)
        return [say("work.package", lang, eaten=eaten, each=as_fraction(1 / serving), **said)]
    eaten, each = _divisible(last, portion, lang)
    return [
        say("work.serving", lang, serving=portion.panel.serving.text or each),
        say("work.divide", lang, eaten=eaten, each=each, **said),
    ]


def _same_words(measure: str, stage: Stage) -> bool:
    return measure == stage.unit or (
        measure in label_units()["ml"] and stage.amount == label_units()["ml"][measure]
    )


def _quantity(stage: Stage, count: float, lang: str) -> str:
    total = stage.amount * count
    if stage.unit == "ml":
        return volume(total, lang)
    if stage.unit == "g":
        return f"{decimals(total, 0 if total >= 10 else 1)} g"
    return _count(total, _WHOLE[stage.unit], lang)


def _count(count: float, measure: str, lang: str) -> str:
    """Say so many of a measure as a cook would; the last digits do not matter here."""
    return f"{as_fraction(count)} {measure_words(measure, count, lang)}"


def _divisible(last: Stage, portion: Portion, lang: str) -> tuple[str, str]:
    """Return the amount eaten and the label's serving, said in one unit."""
    count, serving = portion.amount.count, portion.bridge.serving
    total = last.amount * count
    unit = portion.panel.serving.household_unit.value
    units = label_units()["ml"]
    if last.unit == "ml" and unit in units:
        return _count(total / units[unit], unit, lang), _count(serving / units[unit], unit, lang)
    if last.unit == "own":
        return _count(count, portion.amount.measure, lang), _count(serving, portion.amount.measure, lang)
    if last.unit == "pieces":
        return _count(total, "piece", lang), _count(serving, "piece", lang)
    return f"{decimals(total, 1)} {last.unit}", f"{decimals(serving, 1)} {last.unit}"
