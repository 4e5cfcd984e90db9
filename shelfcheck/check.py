"""Is a panel possible, and is it plausible? The redundancy that labels print is the proof.

``faults`` are contradictions that no label can hold; ``doubts`` are likelihoods that fail, since each
relation has lawful exceptions (fibre and sugar alcohols may be left out of the calories, a %DV may be
taken from the amount before rounding). Both serve typed and photographed panels alike.
"""

from __future__ import annotations

from collections.abc import Iterator

from shelfcheck import data
from shelfcheck.errors import InvalidInputError
from shelfcheck.numbers import round_half_up
from shelfcheck.panel import Declared, Doubt, Panel
from shelfcheck.rules import (
    RULES,
    Interval,
    label_units,
    lawful_percents,
    metric_step,
    nutrients,
    on_grid,
    percent_step,
    servings_step,
)
from shelfcheck.words import DEFAULT, say

_HEAVY = ("fat", "carbohydrate", "protein")


def checked(panel: Panel, lang: str = DEFAULT) -> Panel:
    """Return a typed panel with its implausible fields marked ``check`` and the doubts listed.

    Raises:
        InvalidInputError: with every contradiction in ``fields``.
    """
    refuse(panel, lang)
    return panel.with_doubts(tuple(doubts(panel)))


def refuse(panel: Panel, lang: str = DEFAULT) -> None:
    """Raise when the panel contradicts itself.

    Raises:
        InvalidInputError: with every contradiction in ``fields``.
    """
    found = faults(panel, lang)
    if found:
        raise InvalidInputError(say("error.panel_faults", lang), found)


def faults(panel: Panel, lang: str = DEFAULT) -> dict[str, str]:
    """Return what cannot be, by the field's path: more fat, carbohydrate and protein than there is food."""
    weight = _heaviest(panel)
    heavy = {key: _interval(panel, key) for key in _HEAVY}
    total = 0.0
    for interval in heavy.values():  # added one by one, as the page does; sum() may carry more digits
        total += interval.low if interval else 0.0
    if weight is None or total <= weight:
        return {}
    sentence = say("fault.heavier", lang, sum=round_half_up(total, 1), serving=round_half_up(weight, 1))
    return {f"nutrients.{key}": sentence for key, interval in heavy.items() if interval and interval.low > 0}


def doubts(panel: Panel) -> Iterator[Doubt]:
    """Yield each relation of the panel that does not hold, on every field that may be to blame."""
    for key, declared in panel.printed().items():
        yield from _against_grid(key, declared)
        yield from _against_percent(key, declared, panel.form)
    yield from _parts(panel)
    yield from _energy(panel)
    yield from _salt(panel)
    yield from _containers(panel)
    if faults(panel):
        yield from (Doubt(f"nutrients.{key}", "heavier") for key in _HEAVY if panel.value(key))
    if not household_fits(panel):
        yield from (Doubt(f"serving.{key}", "household") for key in ("household_amount", "metric_amount"))


def percent_fits(key: str, declared: Declared, form: str, *, closely: bool = False) -> bool | None:
    """Tell whether a printed %DV fits its amount; None when there is nothing to compare.

    ``closely``: by the rules alone, without the step more or less that many labels of vitamins and minerals
    are off by.
    """
    if declared.value is None or declared.percent_dv is None:
        return None
    nutrient = nutrients()[key]
    lawful = lawful_percents(nutrient, declared.value, form, less_than=declared.less_than)
    if lawful is None:
        return None
    soft = nutrient.grid.get("soft") and not closely
    slack = percent_step(nutrient, declared.percent_dv) if soft else 0.0
    return lawful[0] - slack <= declared.percent_dv <= lawful[1] + slack


def energy_bounds(panel: Panel) -> Interval | None:
    """Return the calories that fat, carbohydrate and protein allow, by 4-4-9 with and without fibre.

    None when one of the three is not printed.
    """
    fat, carbohydrate, protein = (_interval(panel, key) for key in _HEAVY)
    if fat is None or carbohydrate is None or protein is None:
        return None
    factor = data.load(RULES)["energy_factors"]
    free = sum(interval.high for key in ("fiber", "sugar_alcohol") if (interval := _interval(panel, key)))
    low = (
        factor["fat"] * fat.low + factor["carbohydrate"] * max(0.0, carbohydrate.low - free) + 4 * protein.low
    )
    high = factor["fat"] * fat.high + factor["carbohydrate"] * carbohydrate.high + 4 * protein.high
    return Interval(low, high)


def energy_fits(panel: Panel) -> bool | None:
    """Tell whether the calories fit the rest; None when there is nothing to compare."""
    energy, bounds = _interval(panel, "energy"), energy_bounds(panel)
    if energy is None or bounds is None:
        return None
    may = _plausible()
    slack = may["energy_slack_kcal"]
    if panel.value("energy") == 0 and bounds.middle >= slack:
        return False
    lowest = bounds.low * may["energy_at_least"] - slack
    return lowest <= energy.high and energy.low <= bounds.high * may["energy_at_most"] + slack


def household_fits(panel: Panel) -> bool:
    """Tell whether the household measure and the weight make a density that food can have."""
    may, milliliters, serving = _plausible(), panel.serving.household_ml(), panel.serving
    metric = serving.metric_amount.value
    in_ounces = (serving.household_unit.value or "") in label_units()["g"]
    count = serving.household_count()
    if in_ounces and count and metric and serving.metric_unit.value == "g":
        return may["lightest_ounce_g"] <= metric / count <= may["heaviest_ounce_g"]
    if milliliters is None or metric is None:
        return True
    if serving.metric_unit.value == "ml":
        return abs(metric / milliliters - 1) < may["metric_within"]
    return may["lightest_g_per_ml"] <= metric / milliliters <= may["heaviest_g_per_ml"]


def _against_grid(key: str, declared: Declared) -> Iterator[Doubt]:
    if declared.value is not None and not on_grid(nutrients()[key], declared.value):
        yield Doubt(f"nutrients.{key}", "grid", {"amount": declared.value, "unit": declared.unit})


def _against_percent(key: str, declared: Declared, form: str) -> Iterator[Doubt]:
    if percent_fits(key, declared, form) is False:
        said = {"amount": declared.value, "unit": declared.unit, "percent": declared.percent_dv}
        yield Doubt(f"nutrients.{key}", "percent", said)


def _parts(panel: Panel) -> Iterator[Doubt]:
    """Yield a doubt on each part that is more than its whole, and on the whole."""
    for key in panel.printed():
        whole = nutrients()[key].within
        part_amount, whole_amount = _interval(panel, key), _interval(panel, whole) if whole else None
        if whole and part_amount and whole_amount and part_amount.low >= whole_amount.high:
            said: dict[str, object] = {"part": key, "whole": whole}
            yield Doubt(f"nutrients.{key}", "part_of", said)
            yield Doubt(f"nutrients.{whole}", "part_of", said)


def _energy(panel: Panel) -> Iterator[Doubt]:
    bounds, energy = energy_bounds(panel), panel.value("energy")
    if bounds is not None and energy is not None and not energy_fits(panel):
        said: dict[str, object] = {"energy": energy, "expected": round_half_up(bounds.middle)}
        yield from (Doubt(f"nutrients.{key}", "energy", said) for key in ("energy", *_HEAVY))


def _salt(panel: Panel) -> Iterator[Doubt]:
    """Yield a doubt on sodium that only a seasoning can have; no line but its percentage tells of a slip."""
    may, sodium, energy = _plausible(), panel.nutrients.get("sodium"), panel.value("energy")
    weight = _heaviest(panel)
    if (
        sodium is None
        or sodium.value is None
        or sodium.percent_dv is not None
        or energy is None
        or not weight
    ):
        return
    if energy >= may["salty_from_kcal"] and sodium.value / 1000 > weight * may["salty_share"]:
        yield Doubt("nutrients.sodium", "salty", {"amount": sodium.value})


def _containers(panel: Panel) -> Iterator[Doubt]:
    """Yield a doubt on each amount per container that is not the servings times that of one, and on that."""
    count = panel.serving.servings_per_container.value
    column = panel.columns.get("per_container")
    if count is None or column is None:
        return
    least, most = count - servings_step(count - 0.1) / 2, count + servings_step(count) / 2
    for key, whole in column.items():
        each = _interval(panel, key)
        if each is None or whole.value is None:
            continue
        total = whole.interval(key)
        if each.low * least > total.high or each.high * most < total.low:
            said: dict[str, object] = {"each": panel.value(key), "total": whole.value, "servings": count}
            yield Doubt(f"nutrients.{key}", "container", said)
            yield Doubt(f"columns.per_container.{key}", "container", said)


def _interval(panel: Panel, key: str) -> Interval | None:
    declared = panel.nutrients.get(key)
    return declared.interval(key) if declared is not None and declared.value is not None else None


def _heaviest(panel: Panel) -> float | None:
    """Return the most that one serving can weigh, in grams, by what the label says of it."""
    grams = panel.serving.grams()
    if grams is not None:
        return grams + metric_step(grams) / 2
    milliliters = panel.serving.milliliters()
    return milliliters * _plausible()["heaviest_g_per_ml"] if milliliters is not None else None


def _plausible() -> dict[str, float]:
    """Return the bounds of what food can be, which ``web/modules/check.js`` reads as well."""
    bounds: dict[str, float] = data.load(RULES)["plausible"]
    return bounds
