"""Panels, portions and measures as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from shelfcheck.insight import cautions, insights
from shelfcheck.measures import Hands, measures
from shelfcheck.numbers import as_fraction, decimals
from shelfcheck.panel import CORE, Number, Panel, Word
from shelfcheck.panel_json import doubt_to_json
from shelfcheck.portion import Eaten, Portion, Range
from shelfcheck.rules import nutrients
from shelfcheck.words import DEFAULT, nutrient_name, say
from shelfcheck.working import working

_MARKS = {"sure": " ", "check": "?", "missing": "-"}
_SERVING = (
    "servings_per_container",
    "household_amount",
    "household_unit",
    "metric_amount",
    "metric_unit",
    "pieces",
)


def panel_text(panel: Panel, lang: str = DEFAULT) -> str:
    """Return a panel as lines, with "?" before what a person should look at, and why."""
    rows = []
    for key in _SERVING:
        field = getattr(panel.serving, key)
        if field.value is not None:
            rows.append((_MARKS[field.state], say(f"field.{key}", lang), _said(field)))
    for key, declared in panel.printed().items():
        percent = "" if declared.percent_dv is None else f"{decimals(declared.percent_dv)} %"
        sign = "<" if declared.less_than else ""
        value = f"{sign}{decimals(declared.value or 0)} {declared.unit}"
        rows.append((_MARKS[declared.state], nutrient_name(key, lang), f"{value:<12}{percent:>6}"))
    width = max((len(name) for _, name, _ in rows), default=0)
    lines = [panel.name] if panel.name else []
    lines += [f"{mark} {name:<{width}}  {value}".rstrip() for mark, name, value in rows]
    if panel.doubts:
        lines += ["", say("text.look", lang)]
        lines += [
            f"? {_field_name(doubt.field, lang)}: {doubt_to_json(doubt, lang)['reason']}"
            for doubt in panel.doubts
        ]
    return "\n".join(lines)


def portion_text(portion: Portion, lang: str = DEFAULT) -> str:
    """Return a portion: the main numbers beside the label's serving, then insights, working, cautions."""
    amount = portion.amount.text(lang)
    lines = [f"{portion.panel.name}, {amount}" if portion.panel.name else amount]
    said = say(
        "text.servings", lang, servings=_spread(portion.servings, 1, "", lang), count=portion.servings.value
    )
    grams = f", {_spread(portion.grams, 0, ' g', lang)}" if portion.grams else ""
    lines += [said + grams, ""]
    rows = [("", say("text.label", lang), say("text.yours", lang), say("text.range", lang))]
    rows += [_row(key, portion.nutrients[key], lang) for key in CORE if key in portion.nutrients]
    lines += _table(rows)
    choices = portion.carb_choices()
    if choices:
        lines += ["", say("text.choices", lang, choices=_spread(choices, 1, "", lang))]
    lines += [f"- {insight.text}" for insight in insights(portion, lang)]
    lines += ["", say("text.working", lang), *(f"  {step}" for step in working(portion, lang)), ""]
    return "\n".join([*lines, " ".join(cautions(lang))])


def comparison_text(portions: Sequence[tuple[str, Portion]], lang: str = DEFAULT) -> str:
    """Return foods at the same amount as a table, one food a row."""
    head = ("", say("text.servings_head", lang), *(nutrient_name(key, lang) for key in CORE))
    rows = [head]
    for name, portion in portions:
        cells = [decimals(portion.servings.value, 1)]
        for key in CORE:
            eaten = portion.nutrients.get(key)
            cells.append("-" if eaten is None else _spread(eaten.range, 0, "", lang))
        rows.append((name, *cells))
    amount = portions[0][1].amount.text(lang)
    return "\n".join([say("text.each", lang, amount=amount), "", *_table(rows), "", " ".join(cautions(lang))])


def measures_text(hands: Hands, lang: str = DEFAULT) -> str:
    """Return every measure with what one of it holds in these hands."""
    rows = [(say("text.measure", lang), say("text.holds", lang), say("text.give_or_take", lang))]
    units = {"ml": "mL", "g": "g"}
    units |= {
        plural: measures()[one].name(1, lang)
        for plural, one in (("pieces", "piece"), ("containers", "container"))
    }
    for measure in measures().values():
        way = measure.ways[0]
        size, spread = hands.size(measure, way)
        holds = f"{decimals(size, 0 if size > 1 else 1)} {units[way.dimension]}"
        rows.append((measure.name(1, lang), holds, f"{decimals(100 * spread, 0)} %"))
    return "\n".join(_table(rows))


def _row(key: str, eaten: Eaten, lang: str) -> tuple[str, str, str, str]:
    places = min(nutrients()[key].decimals, 1)
    unit = "" if key == "energy" else f" {eaten.unit}"
    name = nutrient_name(key, lang) + (" ?" if eaten.state == "check" else "")
    low, high = (decimals(end, places) for end in (eaten.range.low, eaten.range.high))
    return (
        name,
        f"{decimals(eaten.per_serving)}{unit}",
        f"{decimals(eaten.range.value, places)}{unit}",
        say("text.low_high", lang, low=low, high=f"{high}{unit}"),
    )


def _spread(values: Range, places: int, unit: str, lang: str) -> str:
    low, high = decimals(values.low, places), decimals(values.high, places)
    return f"{decimals(values.value, places)}{unit} ({say('text.low_high', lang, low=low, high=high)})"


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    lines = []
    for row in rows:
        first, *rest = row
        lines.append(
            "  ".join([first.ljust(widths[0]), *(c.rjust(w) for c, w in zip(rest, widths[1:], strict=True))])
        )
    return lines


def _said(field: Number | Word) -> str:
    if isinstance(field.value, float):
        about = "~" if getattr(field, "about", False) else ""
        return about + as_fraction(field.value)
    return str(field.value)


def _field_name(path: str, lang: str) -> str:
    key = path.rpartition(".")[2]
    return say(f"{'nutrient' if key in nutrients() else 'field'}.{key}", lang)
