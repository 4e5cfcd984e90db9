"""Panel numbers as words: names, amounts, percents, fractions and serving lines, in English and Spanish.

Everything returned here is ready to stand in HTML: free text is escaped, and the few tags are the italic of
"Trans" and raised fractions.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

WORDING: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "wording.json").read_text(encoding="utf-8")
)

GLYPHS = {"1/2": "½", "1/3": "⅓", "2/3": "⅔", "1/4": "¼", "3/4": "¾", "1/8": "⅛"}


@dataclass(frozen=True, slots=True)
class Cell:
    """One column's entry for a nutrient: "8g" and "10%", each empty where nothing is printed."""

    amount: str
    percent: str


@dataclass(frozen=True, slots=True)
class Line:
    """One nutrient's line: its name in each language, its indent (0, 1 or 2) and one cell per column."""

    nutrient: str
    names: tuple[str, ...]
    indent: int
    cells: tuple[Cell, ...]


def plain_number(value: float) -> str:
    """Return "230" for 230.0, "0.5" for 0.5 and "1,490" for 1490."""
    return f"{value:,.10g}"


def amount_text(
    entry: dict[str, Any], style: dict[str, Any], lang: str = "en", *, ends_name: bool = True
) -> str:
    """Return an amount as printed ("8g", "8 g", "<1g", "less than 1g", "Less than 5mg"), "" for no value.

    ``ends_name`` is false for an amount within a name ("Includes 10g Added Sugars").
    """
    if entry.get("value") is None:
        return ""
    gap = "&nbsp;" if style.get("unit_gap") else ""
    amount = f"{plain_number(entry['value'])}{gap}{entry['unit']}"
    if not entry.get("less_than"):
        return amount
    if style.get("less_than") != "words":
        return f"&lt;{amount}"
    words = str(WORDING[lang]["less_than"]).format(amount=amount)
    return words[0].upper() + words[1:] if ends_name and entry["unit"] == "mg" else words


def percent_text(entry: dict[str, Any]) -> str:
    """Return "10%", or nothing where the rules give no percent."""
    percent = entry.get("percent_dv")
    return "" if percent is None else f"{plain_number(percent)}%"


def fractions(text: str, style: dict[str, Any]) -> str:
    """Return escaped text with its fractions plain ("2/3"), as one glyph, or in raised figures."""
    kind = style.get("fraction", "ascii")
    if kind == "glyph":
        text = re.sub(r"(?:(?<=\d) )?\b(\d/\d)\b", lambda found: GLYPHS.get(found[1], found[0]), text)
    safe = escape(text, quote=False)
    if kind == "raised":
        safe = re.sub(r"(?:(?<=\d) )?\b(\d)/(\d)\b", r"<sup>\1</sup>&frasl;<sub>\2</sub>", safe)
    return safe


def serving_text(panel: dict[str, Any], style: dict[str, Any], langs: tuple[str, ...]) -> str:
    """Return the serving size as printed; a bilingual panel says "cup/taza", a Spanish one "taza"."""
    text = str(panel["serving"]["text"])
    if "es" in langs:
        for english, spanish in WORDING["es"]["units"].items():
            both = f"{english}/{spanish}" if "en" in langs else spanish
            text = re.sub(rf"(?<![\w/]){english}(?![\w/])", both, text)
    return fractions(text, style)


def count_text(panel: dict[str, Any], lang: str) -> str:
    """Return the servings per container: "8" or "about 2"."""
    entry = panel["serving"]["servings_per_container"]
    count = plain_number(entry["value"])
    return str(WORDING[lang]["about"]).format(n=count) if entry.get("about") else count


def servings_text(panel: dict[str, Any], lang: str) -> str:
    """Return "8 servings per container", "about 2 servings per container" or "1 serving per container"."""
    several = panel["serving"]["servings_per_container"]["value"] != 1
    return str(WORDING[lang]["servings"][several]).format(n=count_text(panel, lang))


def not_significant(panel: dict[str, Any], lang: str) -> str:
    """Return the "Not a significant source of ..." sentence, or nothing when no nutrient is left out."""
    words = WORDING[lang]
    left_out = [words["plain"][nutrient] for nutrient in panel.get("not_significant", [])]
    if not left_out:
        return ""
    last = f" {words['and']} "
    if len(left_out) > 2:
        left_out = [", ".join(left_out[:-1]) + ",", left_out[-1]]
    return str(words["not_significant"]).format(list=last.join(left_out))


def columns(panel: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the nutrient tables of the panel, the label's own column first."""
    return [panel["nutrients"], *panel.get("columns", {}).values()]


def lines(
    panel: dict[str, Any],
    style: dict[str, Any],
    order: list[str],
    langs: tuple[str, ...] = ("en",),
    width: str = "names",
) -> list[Line]:
    """Return the printed nutrients in the given order.

    ``width`` picks the form of the names: "names" in full, "narrow" for double columns, "short" for linear
    panels, "old" for the form of 1993; a name that a form lacks is taken from the full ones. The "{amount}"
    in a name takes the amount out of its cell.
    """
    tables = columns(panel)
    return [
        _line(key, [table.get(key, {}) for table in tables], style, langs, width)
        for key in order
        if key in tables[0]
    ]


def _line(
    nutrient: str, entries: list[dict[str, Any]], style: dict[str, Any], langs: tuple[str, ...], width: str
) -> Line:
    """Return one nutrient's line, the amounts in the words of the first language."""
    patterns = {
        lang: WORDING[lang][width].get(nutrient) or WORDING[lang]["names"][nutrient] for lang in langs
    }
    names = [
        pattern.format(amount=amount_text(entries[0], style, lang, ends_name=False))
        for lang, pattern in patterns.items()
    ]
    within_name = "{amount}" in patterns[langs[0]]
    cells = [
        Cell("" if within_name else amount_text(entry, style, langs[0]), percent_text(entry))
        for entry in entries
    ]
    return Line(nutrient, tuple(names), WORDING["indent"].get(nutrient, 0), tuple(cells))
