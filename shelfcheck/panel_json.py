"""The panel as JSON, both ways; every fault in what comes in is reported at once, keyed by its path.

The command line, the service and the tests all read panels here, so that there is one truth about
what a panel may hold. The shape is described for other programs in ``service/schemas.py``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from shelfcheck import data
from shelfcheck.errors import InvalidInputError
from shelfcheck.panel import MANDATORY, STATES, Declared, Doubt, Form, Number, Panel, Serving, State, Word
from shelfcheck.rules import RULES, Nutrient, nutrients
from shelfcheck.words import DEFAULT, nutrient_name, say

COLUMNS = ("as_prepared", "per_container", "per_unit")
_METRIC = {"g": "g", "gram": "g", "grams": "g", "ml": "ml", "milliliter": "ml", "milliliters": "ml"}
_UNITS = {"fl oz": "fl_oz", "tablespoon": "tbsp", "teaspoon": "tsp", "ounce": "oz", "fluid ounce": "fl_oz"}
_LONGEST = 80
_MOST_PERCENT = 100_000
Path = tuple[str, ...]
"""Where a field stands, such as ``("nutrients", "fat")``; joined by dots only when there is a fault."""


def panel_from_json(raw: object, lang: str = DEFAULT) -> Panel:
    """Return the panel that ``raw`` (parsed JSON) describes.

    Amounts may be bare numbers or objects with ``value`` and ``state``; a state left out is ``sure``.

    Raises:
        InvalidInputError: with one sentence for each fault in ``fields``.
    """
    return _Reader(lang).panel(raw)


class _Reader:
    """Reads one panel and gathers its faults by path."""

    def __init__(self, lang: str) -> None:
        self.lang = lang
        self.faults: dict[str, str] = {}

    def fault(self, path: Path, code: str, **params: object) -> None:
        self.faults.setdefault(".".join(map(str, path)), say(f"fault.{code}", self.lang, **params))

    def panel(self, raw: object) -> Panel:
        top = self.mapping(raw, ("panel",))
        serving = self.serving(self.mapping(top.get("serving"), ("serving",)))
        declared = self.column(top.get("nutrients"), ("nutrients",))
        columns = {
            name: self.column(column, ("columns", name))
            for name, column in self.mapping(top.get("columns") or {}, ("columns",)).items()
            if self.known(name, COLUMNS, ("columns", name))
        }
        form = str(top.get("form") or "2016")
        self.known(form, ("2016", "1993"), ("form",))
        name, food = (self.text(top.get(key), (key,)) or None for key in ("name", "food"))
        if self.faults:
            raise InvalidInputError(say("error.panel_faults", self.lang), self.faults)
        return Panel(serving, declared, columns, (), cast("Form", form), name, food)

    def serving(self, raw: Mapping[str, Any]) -> Serving:
        limits = data.load(RULES)["limits"]
        return Serving(
            self.amount(raw.get("household_amount"), "household_amount", limits["household_amount"]),
            self.unit(raw.get("household_unit"), "household_unit"),
            self.amount(raw.get("metric_amount"), "metric_amount", limits["metric_amount"]),
            self.metric(raw.get("metric_unit")),
            self.amount(
                raw.get("servings_per_container"), "servings_per_container", limits["servings_per_container"]
            ),
            self.amount(raw.get("pieces"), "pieces", limits["household_amount"]),
            self.text(raw.get("text"), ("serving", "text")),
        )

    def amount(self, raw: object, key: str, most: float) -> Number:
        path = ("serving", key)
        value, state, extra = self.stated(raw, path)
        number = self.number(value, path, most)
        if number is not None and number < data.load(RULES)["limits"]["least"]:
            self.fault(path, "zero")
        about = key != "metric_amount" and bool(extra.get("about"))
        return Number(number, state, about) if number else Number()

    def unit(self, raw: object, key: str) -> Word:
        value, state, _ = self.stated(raw, ("serving", key))
        text = self.text(value, ("serving", key)).strip().lower()
        return Word(_UNITS.get(text, text), state) if text else Word()

    def metric(self, raw: object) -> Word:
        word = self.unit(raw, "metric_unit")
        if word.value is None:
            return word
        if word.value not in _METRIC:
            self.fault(("serving", "metric_unit"), "metric_unit")
        return Word(_METRIC.get(word.value), word.state)

    def column(self, raw: object, path: Path) -> dict[str, Declared]:
        known = nutrients()
        out = {}
        for key, value in self.mapping(raw, path).items():
            nutrient = known.get(key)
            if nutrient is None:
                self.fault((*path, key), "unknown_nutrient", name=str(key)[:_LONGEST])
            else:
                out[key] = self.declared(value, nutrient, (*path, key))
        return out

    def declared(self, raw: object, nutrient: Nutrient, path: Path) -> Declared:
        value, state, extra = self.stated(raw, path)
        number = self.number(value, path, nutrient.most)
        unit, percent = extra.get("unit"), extra.get("percent_dv")
        if unit is not None and unit != nutrient.unit:
            self.fault((*path, "unit"), "unit", unit=nutrient.unit)
        if percent is not None:
            percent = self.number(percent, (*path, "percent_dv"), _MOST_PERCENT)
        if number is None and percent is None:
            state = "missing"
        return Declared(number, nutrient.unit, percent, extra.get("less_than") is True, state)

    def stated(self, raw: object, path: Path) -> tuple[object, State, Mapping[str, Any]]:
        if not isinstance(raw, dict):
            return raw, "sure", {}
        state = raw.get("state", "sure")
        if state not in STATES:
            self.fault((*path, "state"), "state")
            state = "check"
        return raw.get("value"), state, raw

    def number(self, raw: object, path: Path, most: float) -> float | None:
        if raw is None:
            return None
        if isinstance(raw, bool) or not isinstance(raw, (int, float)):
            self.fault(path, "not_a_number")
        elif raw < 0:
            self.fault(path, "negative")
        elif not raw <= most:
            self.fault(path, "too_big", most=most)
        else:
            return float(raw)
        return None

    def text(self, raw: object, path: Path) -> str:
        if raw is None:
            return ""
        if not isinstance(raw, str) or len(raw) > _LONGEST:
            self.fault(path, "not_a_word", most=_LONGEST)
            return ""
        return raw

    def mapping(self, raw: object, path: Path) -> Mapping[str, Any]:
        if isinstance(raw, dict):
            return raw
        self.fault(path, "not_an_object", name=".".join(path))
        return {}

    def known(self, value: str, allowed: tuple[str, ...], path: Path) -> bool:
        if value not in allowed:
            self.fault(path, "one_of", allowed=", ".join(allowed))
        return value in allowed


def panel_to_json(panel: Panel, lang: str = DEFAULT) -> dict[str, Any]:
    """Return ``panel`` as the JSON object of the contract, doubts in the words of ``lang``."""
    serving = panel.serving
    out: dict[str, Any] = {
        "serving": {
            "household_amount": _count(serving.household_amount),
            "household_unit": _word(serving.household_unit),
            "metric_amount": _number(serving.metric_amount),
            "metric_unit": _word(serving.metric_unit),
            "servings_per_container": _count(serving.servings_per_container),
            "pieces": _count(serving.pieces),
            "text": serving.text,
        },
        "nutrients": {
            key: _declared(panel.nutrients.get(key, Declared(None, known.unit, state="missing")))
            for key, known in nutrients().items()
            if key in panel.nutrients or key in MANDATORY
        },
        "columns": {
            name: {key: _declared(value) for key, value in column.items()}
            for name, column in panel.columns.items()
        },
        "doubts": [doubt_to_json(doubt, lang) for doubt in panel.doubts],
        "form": panel.form,
    }
    return out | {key: value for key, value in (("name", panel.name), ("food", panel.food)) if value}


def doubt_to_json(doubt: Doubt, lang: str = DEFAULT) -> dict[str, Any]:
    """Return a doubt with its reason as a sentence in ``lang``."""
    said = {
        part: nutrient_name(value, lang) if part in ("part", "whole") else value
        for part, value in doubt.params.items()
    }
    return {
        "field": doubt.field,
        "code": doubt.code,
        "reason": say(f"doubt.{doubt.code}", lang, **said),
        "box": list(doubt.box) if doubt.box else None,
    }


def _number(number: Number) -> dict[str, Any]:
    return {"value": number.value, "state": number.state}


def _count(number: Number) -> dict[str, Any]:
    return {**_number(number), "about": number.about}


def _word(word: Word) -> dict[str, Any]:
    return {"value": word.value, "state": word.state}


def _declared(declared: Declared) -> dict[str, Any]:
    return {
        "value": declared.value,
        "unit": declared.unit,
        "percent_dv": declared.percent_dv,
        "less_than": declared.less_than,
        "state": declared.state,
    }
