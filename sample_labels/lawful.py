"""Whether a panel is one that a label may lawfully print, and how an amount is declared.

The numbers of the rules are those of ``shelfcheck.rules``; what is here is how a panel hangs together:
percents beside amounts, calories beside fat, carbohydrate and protein, parts within totals, servings beside
the net contents.
"""

from __future__ import annotations

from typing import Any

from shelfcheck import rules
from shelfcheck.rules import Interval, nutrients, printed_interval

Entry = dict[str, Any]
Table = dict[str, Entry]

KCAL_PER_G = {"fat": 9, "carbohydrate": 4, "protein": 4}
"""21 CFR 101.9(c)(1)(i)(B)."""

NOT_DIGESTED = ("fiber", "sugar_alcohol")
"""Carbohydrate that method C leaves out of the calories or counts lower: 101.9(c)(1)(i)(C)."""

LESS_THAN = dict.fromkeys(
    ("carbohydrate", "fiber", "total_sugars", "added_sugars", "sugar_alcohol", "protein"), (0.5, 1)
) | {"cholesterol": (2, 5)}
"""From and below which amounts "less than 1g", "Less than 5mg" is printed here: 101.9(c)(3), (6), (7)."""

ABOUT_FROM = 0.02
"""The relative difference between net contents and servings from which "about" is asked for: a judgement,
since an odd gram of net weight is no fraction of a serving."""


def entry(
    nutrient_id: str,
    amount: float,
    form: str = "2016",
    *,
    percent_from: float | None = None,
    words: bool = True,
) -> Entry:
    """Return ``amount`` in one serving as a panel of ``form`` declares it.

    ``percent_from`` is the amount that the percent is taken from, the declared one by default. With ``words``
    a small amount that would print as more than 0 is declared as "less than".
    """
    nutrient = nutrients()[nutrient_id]
    value = rules.declare(nutrient, amount)
    low, high = LESS_THAN.get(nutrient_id, (0, 0))
    less_than = words and low <= amount < high and value == high
    base = amount if less_than else value if percent_from is None else percent_from
    percent = None if nutrient_id == "protein" else rules.printed_percent(nutrient, base, form)
    return {
        "value": int(value) if value == int(value) else value,
        "unit": nutrient.unit,
        "percent_dv": None if percent is None else int(percent),
        "less_than": less_than,
        "state": "sure",
    }


def percent_only(nutrient_id: str, percent: int) -> Entry:
    """Return a vitamin or mineral as the form of 1993 prints it: by its percent alone."""
    unit = nutrients()[nutrient_id].unit
    return {"value": None, "unit": unit, "percent_dv": percent, "less_than": False, "state": "sure"}


def faults(panel: dict[str, Any]) -> list[str]:
    """Return a sentence for each thing that the label rules do not allow; empty for a lawful panel."""
    found = _serving_faults(panel)
    for name, table in {"": panel["nutrients"], **panel.get("columns", {})}.items():
        single = [fault for key in table for fault in _entry_faults(key, table[key], panel["form"])]
        where = f"{name}: " if name else ""
        found += [where + fault for fault in (*single, *_energy_faults(table), *_part_faults(table))]
    both = [key for key in panel.get("not_significant", []) if key in panel["nutrients"]]
    return found + [f"{key} is printed and left out at once" for key in both]


def _entry_faults(key: str, declared: Entry, form: str) -> list[str]:
    """Hold one printed line against the steps of its amount and of its percent, and these two together."""
    value, percent, nutrient = declared["value"], declared["percent_dv"], nutrients()[key]
    if value is None and percent is None:
        return [f"{key} has neither amount nor percent"]
    if percent is not None and percent % rules.percent_step(nutrient, percent):
        return [f"{key} {percent}% is not a percent that is printed"]
    if value is not None and not rules.on_grid(nutrient, value):
        return [f"{key} {value} {nutrient.unit} is off its rounding steps"]
    if value is None or percent is None:
        return []
    bounds = rules.lawful_percents(nutrient, value, form, less_than=declared["less_than"])
    if bounds is None:
        return [f"{key} has no Daily Value, yet {percent}% is printed"]
    low, high = bounds
    beside = f"{key} {value} {nutrient.unit} may print {low:g} to {high:g}%, not {percent}%"
    return [] if low <= percent <= high else [beside]


def _interval(table: Table, key: str) -> Interval:
    """Return what a printed amount may stand for; one left out is insignificant, under 1 g."""
    declared = table.get(key)
    if declared is None:
        return Interval(0, 1)
    return printed_interval(key, declared["value"], less_than=declared["less_than"])


def _energy_faults(table: Table) -> list[str]:
    """Hold the calories against 4-4-9 on the least and the most that the amounts may stand for."""
    spans = {key: _interval(table, key) for key in KCAL_PER_G}
    not_digested = sum(_interval(table, key).high for key in NOT_DIGESTED if key in table)
    least = sum(KCAL_PER_G[key] * span.low for key, span in spans.items())
    least -= KCAL_PER_G["carbohydrate"] * not_digested
    most = sum(KCAL_PER_G[key] * span.high for key, span in spans.items())
    energy = _interval(table, "energy")
    if energy.low <= most and least <= energy.high:
        return []
    return [f"{table['energy']['value']} kcal, but 4-4-9 gives {least:.0f} to {most:.0f}"]


def _part_faults(table: Table) -> list[str]:
    """Hold the least that the parts of a total may be against the most that the total may be.

    Sugars and fibre are apart from each other, added sugars lie within total sugars.
    """
    least: dict[str, float] = {}
    for key, declared in table.items():
        whole = nutrients()[key].within
        if whole in table and declared["value"] is not None:
            least[whole] = least.get(whole, 0) + _interval(table, key).low
    return [
        f"the parts of {whole} come to {parts:g} at least, more than {whole} itself"
        for whole, parts in least.items()
        if parts > _interval(table, whole).high
    ]


def _serving_faults(panel: dict[str, Any]) -> list[str]:
    """Hold servings per container times the metric serving against the net contents in the same unit."""
    serving = panel["serving"]
    net = panel.get({"g": "net_weight_g", "ml": "net_volume_ml"}[serving["metric_unit"]["value"]])
    if net is None:
        return []
    exact = net / serving["metric_amount"]["value"]
    count = serving["servings_per_container"]
    if rules.round_servings(exact) != count["value"]:
        return [f"{net} holds {exact:.2f} servings, yet {count['value']} are printed"]
    if abs(exact - count["value"]) > ABOUT_FROM * exact and not count["about"]:
        return [f'{exact:.2f} servings print as "about {count["value"]}"']
    return []
