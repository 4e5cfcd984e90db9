"""How well a reader's panel agrees with the truth, field by field.

A field comes out as one of

    exact         the right value, and sure of it
    doubted       the right value, marked for a person to check
    silent        a wrong value, or one that is not printed, said to be sure: the worst that a reader can do
    flagged       such a value, marked for a person to check
    missing       printed, and not read
    absent        not printed, and nothing said

The serving size is one field: amount and unit must both be right, and both be sure. So are the metric amount
and its unit. Percents of the Daily Value are not scored; an amount must also say
"less than" as the print does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from sample_labels.wording import WORDING
from shelfcheck.numbers import exact_thirds
from shelfcheck.panel import MANDATORY, Panel
from shelfcheck.panel_json import panel_to_json

Outcome = Literal["exact", "doubted", "silent", "flagged", "missing", "absent"]
OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)
SERVING = ("serving_size", "metric_amount", "servings_per_container")
FIELDS = (*SERVING, *MANDATORY)
CORE = (*SERVING, "energy", "fat", "sodium", "carbohydrate")
"""What a portion is worked out from; "core right" is a panel on which each printed one of these is exact."""

_SAME_UNITS: dict[str, str] = {
    **dict.fromkeys(("tablespoon", "tablespoons"), "tbsp"),
    **dict.fromkeys(("teaspoon", "teaspoons"), "tsp"),
    **dict.fromkeys(("ounce", "ounces"), "oz"),
    **dict.fromkeys(("fl oz", "fluid ounce", "fluid ounces"), "fl_oz"),
    **dict.fromkeys(("milliliter", "milliliters"), "ml"),
    **dict.fromkeys(("gram", "grams"), "g"),
    **{spanish.rstrip("."): english for english, spanish in WORDING["es"]["units"].items()},
    "pc": "piece",
    "cookie": "cracker",  # one word in Spanish, galleta
}
_MEASURES = ("cup", "tbsp", "tsp", "fl_oz", "oz", "g", "ml", "package", "container", "bottle", "can")
"""Units that "piece" can't stand for."""


@dataclass(frozen=True, slots=True)
class Said:
    """What stands in a field: an amount (None for nothing), its unit, "less than", and whether it is sure."""

    amount: float | None
    unit: str = ""
    less_than: bool = False
    sure: bool = True


def score(panel: Panel | Mapping[str, Any] | None, truth: Mapping[str, Any]) -> dict[str, Outcome]:
    """Return the outcome of every field; ``panel`` may be JSON, None for a reader that gave nothing.

    ``truth`` is that of a photograph. A field that the frame cuts off may be read or left out alike.
    """
    read = panel_to_json(panel) if isinstance(panel, Panel) else panel or {}
    true, cut = truth["panel"], {name for name, field in truth["fields"].items() if not field["within"]}
    if "serving_size" in cut:
        cut.add("metric_amount")
    return {name: _outcome(_said(read, name), _said(true, name), cut=name in cut) for name in FIELDS}


def core_right(outcomes: Mapping[str, Outcome]) -> bool:
    """Tell whether every printed field of ``CORE`` is exact and sure."""
    return all(outcomes[name] in ("exact", "absent") for name in CORE)


def tally(scores: Iterable[Mapping[str, Outcome]]) -> Counter[Outcome]:
    """Return how often each outcome came out over many photographs."""
    return Counter(outcome for outcomes in scores for outcome in outcomes.values())


def _outcome(read: Said, true: Said, *, cut: bool) -> Outcome:
    if read.amount is None:
        return "absent" if true.amount is None or cut else "missing"
    if _agree(read, true):
        return "exact" if read.sure else "doubted"
    return "silent" if read.sure else "flagged"


def _agree(read: Said, true: Said) -> bool:
    if read.amount is None or true.amount is None:
        return False
    close = abs(exact_thirds(read.amount) - exact_thirds(true.amount)) < 1e-6
    same = read.unit == true.unit or (read.unit == "piece" and true.unit not in _MEASURES)
    return close and same and read.less_than == true.less_than


def _said(panel: Mapping[str, Any], name: str) -> Said:
    """Return what a panel's JSON says in a field."""
    if name not in SERVING:
        entry = (panel.get("nutrients") or {}).get(name) or {}
        return Said(_amount(entry), "", entry.get("less_than") is True, _sure(entry))
    serving = panel.get("serving") or {}
    if name == "servings_per_container":
        entry = serving.get(name) or {}
        return Said(_amount(entry), "", sure=_sure(entry))
    kind = "household" if name == "serving_size" else "metric"
    amount, unit = (serving.get(f"{kind}_{part}") or {} for part in ("amount", "unit"))
    return Said(_amount(amount), _unit(unit.get("value")), sure=_sure(amount) and _sure(unit))


def _amount(entry: Mapping[str, Any]) -> float | None:
    value = entry.get("value")
    return None if value is None or entry.get("state") == "missing" else float(value)


def _sure(entry: Mapping[str, Any]) -> bool:
    return bool(entry.get("state", "sure") == "sure")


def _unit(word: object) -> str:
    """Return a unit in its one spelling: English, singular, without dots."""
    text = str(word or "").strip().lower().replace(".", "").replace("_", " ")
    text = _SAME_UNITS.get(text, text)
    singular = text[:-1] if text.endswith("s") and not text.endswith("ss") else text
    return _SAME_UNITS.get(singular, singular).replace(" ", "_")
