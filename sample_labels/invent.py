"""Random lawful panels, for tests and benchmarks: true amounts first, then declared as the label rules say.

The ranges of the kinds of food are in ``data/kinds.json``. The same state of the random generator gives the
same panel.
"""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from typing import Any

from sample_labels.lawful import Table, entry, faults, percent_only
from shelfcheck.numbers import as_fraction, exact_thirds, plain
from shelfcheck.rules import declare, nutrients, printed_percent, round_metric, round_servings

_KINDS: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "kinds.json").read_text(encoding="utf-8")
)
KINDS: dict[str, dict[str, Any]] = _KINDS["kinds"]

FONTS = (
    "Liberation Sans",
    "Liberation Sans",
    "Liberation Sans Narrow",
    "DejaVu Sans Condensed",
    "Nimbus Sans",
    "Nimbus Sans Narrow",
)

ALWAYS_PRINTED = ("energy", "fat", "carbohydrate", "protein", "sodium")
"""What a simplified panel shows in any case: 21 CFR 101.9(f)(2)."""

FEWEST_INSIGNIFICANT = 8
"""From here on a panel may take the simplified form: 21 CFR 101.9(f)."""

_METRIC_WORDS = {"g": "g", "ml": "mL"}
_UNPLURAL = ("oz", "tbsp", "tsp", "fl oz")
_OLD_VITAMINS = ("vitamin_a", "vitamin_c", "calcium", "iron")
_PLAIN_AMOUNTS = ("protein", "cholesterol", "sodium", "vitamin_d", "calcium", "iron", "potassium")


def lawful_panel(rng: Random, layout: str = "standard", kind: str | None = None) -> dict[str, Any]:
    """Return a random panel fit for ``layout``, without a pack, that has no faults.

    ``kind`` is one of ``KINDS``, any by default. Raises ValueError for a kind that can't take the layout,
    such as nuts on a simplified panel.
    """
    for _ in range(1000):
        panel = _draw(rng, layout, kind or rng.choice(sorted(KINDS)))
        if (layout != "simplified" or _simplify(panel)) and not faults(panel):
            return panel
    raise ValueError(f"No {kind} panel fits the layout {layout}; choose another kind.")


def random_style(rng: Random, layout: str) -> dict[str, Any]:
    """Return a random style for a bare panel: font, fractions, spacing, vitamins, words for small amounts."""
    style: dict[str, Any] = {
        "font": rng.choice(FONTS),
        "fraction": rng.choice(("ascii", "ascii", "glyph", "raised")),
        "less_than": rng.choice(("sign", "words")),
        "unit_gap": rng.random() < 0.2,
    }
    if layout in ("standard", "form_1993"):
        style["vitamins"] = rng.choice(("column", "two_by_two"))
    return style


def true_amounts(rng: Random, kind: dict[str, Any], serving: float) -> dict[str, float]:
    """Return unrounded amounts in ``serving`` g or mL of a kind of food.

    Energy is by method B or C of 101.9(c)(1)(i): with the fiber, or without it.
    """

    def draw(key: str) -> float:
        low, high = kind.get(key, (0, 0))
        return rng.uniform(low, high)

    amounts = {key: draw(key) * serving / 100 for key in ("fat", "carbohydrate", *_PLAIN_AMOUNTS)}
    fat, carbohydrate = amounts["fat"], amounts["carbohydrate"]
    amounts |= {"saturated_fat": fat * draw("saturated_share"), "trans_fat": fat * draw("trans_share")}
    if "poly_share" in kind and rng.random() < 0.5:
        amounts |= {
            "polyunsaturated_fat": fat * draw("poly_share"),
            "monounsaturated_fat": fat * draw("mono_share"),
        }
    amounts["fiber"] = carbohydrate * draw("fiber_share")
    amounts["total_sugars"] = (carbohydrate - amounts["fiber"]) * draw("sugars_share")
    amounts["added_sugars"] = amounts["total_sugars"] * draw("added_share")
    counted = carbohydrate - amounts["fiber"] * rng.choice((0, 1))
    amounts["energy"] = 9 * fat + 4 * counted + 4 * amounts["protein"]
    return amounts


def _draw(rng: Random, layout: str, kind_name: str) -> dict[str, Any]:
    """Return a panel of the kind; it may still have faults, where rounded parts outgrow a rounded total."""
    kind = KINDS[kind_name]
    form = "1993" if layout == "form_1993" else "2016"
    serving = _serving(rng, kind, layout)
    metric = serving["metric_amount"]["value"]
    amounts = true_amounts(rng, kind, metric)
    percent_from_true = rng.random() < 0.4
    servings = serving.pop("exact_servings")
    panel = {
        "name": f"random_{kind_name}",
        "food": None,
        "layout": layout,
        "form": form,
        "serving": serving,
        "nutrients": _table(amounts, form, percent_from_true=percent_from_true),
        "net_weight_g": round(metric * servings) if kind["metric"] == "g" else None,
        "net_volume_ml": round(metric * servings) if kind["metric"] == "ml" else None,
    }
    if form == "1993":
        _age(rng, panel, amounts)
    column = {"dual_column": "per_container", "as_prepared": "as_prepared"}.get(layout)
    if column:
        second = (
            _prepared(rng, amounts)
            if column == "as_prepared"
            else {key: servings * each for key, each in amounts.items()}
        )
        panel["columns"] = {column: _table(second, form, percent_from_true=percent_from_true)}
    return panel


def _table(amounts: dict[str, float], form: str, *, percent_from_true: bool) -> Table:
    """Return the declared entries in the panel's order."""
    return {
        key: entry(key, amounts[key], form, percent_from=amounts[key] if percent_from_true else None)
        for key in nutrients()
        if key in amounts
    }


def _serving(rng: Random, kind: dict[str, Any], layout: str) -> dict[str, Any]:
    """Return the serving in a random household measure, the unrounded count under "exact_servings"."""
    amount, unit, low, high = rng.choice(kind["servings"])
    metric = round_metric(exact_thirds(amount) * rng.uniform(low, high))
    exact = rng.uniform(1.6, 3.4) if layout == "dual_column" else rng.choice((1, 2, 4, 8, rng.uniform(2, 30)))
    if unit in ("container", "bottle") or (unit == "package" and amount == 1):
        exact = 1 if layout != "dual_column" else 2
    exact = round(metric * exact) / metric
    printed = round_servings(exact)
    household = as_fraction(amount)
    plural = "" if unit in _UNPLURAL or amount <= 1 else "s"
    text = f"{household} {unit}{plural} ({plain(metric)}{_METRIC_WORDS[kind['metric']]})"
    return {
        "household_amount": {"value": amount, "state": "sure"},
        "household_unit": {"value": unit.replace(" ", "_"), "state": "sure"},
        "metric_amount": {"value": metric, "state": "sure"},
        "metric_unit": {"value": kind["metric"], "state": "sure"},
        "servings_per_container": {"value": printed, "state": "sure", "about": abs(exact - printed) > 0.01},
        "text": text,
        "exact_servings": exact,
    }


def _prepared(rng: Random, amounts: dict[str, float]) -> dict[str, float]:
    """Return the amounts with milk and a fat stirred in, as the second column of a mix has them."""
    fat, milk_sugar, protein = rng.uniform(2, 12), rng.uniform(1, 4), rng.uniform(0.8, 2.5)
    added = {
        "fat": fat,
        "saturated_fat": fat * rng.uniform(0.2, 0.6),
        "cholesterol": rng.uniform(0, 25),
        "sodium": rng.uniform(20, 180),
        "carbohydrate": milk_sugar,
        "total_sugars": milk_sugar,
        "protein": protein,
        "calcium": rng.uniform(20, 90),
        "vitamin_d": rng.uniform(0, 0.8),
        "potassium": rng.uniform(30, 110),
        "energy": 9 * fat + 4 * milk_sugar + 4 * protein,
    }
    return {key: amount + added.get(key, 0) for key, amount in amounts.items()}


def _age(rng: Random, panel: dict[str, Any], amounts: dict[str, float]) -> None:
    """Turn a panel into the form of 1993: calories from fat, no added sugars, vitamins by percent alone."""
    table = panel["nutrients"]
    for key in ("added_sugars", "vitamin_d", "potassium"):
        del table[key]
    for key in _OLD_VITAMINS:
        amount = amounts.get(key)
        percent = (
            printed_percent(nutrients()[key], amount, "1993")
            if amount
            else rng.choice((0, 2, 4, 6, 8, 10, 15, 25))
        )
        table.pop(key, None)
        table[key] = percent_only(key, int(percent or 0))
    panel["energy_from_fat"] = int(declare(nutrients()["energy"], 9 * amounts["fat"]))


def _simplify(panel: dict[str, Any]) -> bool:
    """Leave out what is insignificant, and tell whether that was enough for the simplified form."""
    table = panel["nutrients"]
    insignificant = [
        key
        for key, declared in table.items()
        if declared["value"] == 0 or (declared["less_than"] and key in ("carbohydrate", "fiber", "protein"))
    ]
    left_out = [key for key in insignificant if key not in ALWAYS_PRINTED]
    for key in left_out:
        del table[key]
    panel["not_significant"] = left_out
    return len(insignificant) >= FEWEST_INSIGNIFICANT
