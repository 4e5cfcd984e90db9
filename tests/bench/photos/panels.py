"""Panels as packs print them: a lawful random panel, how it is set in type, and marks around each field.

A field's print stands between two comments, ``<!--from sodium-->140mg<!--to sodium-->``, which don't show and
let the browser tell where the field lies on the pack (``press.py``).
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from typing import Any

from sample_labels.invent import lawful_panel
from sample_labels.wording import serving_text
from tests.bench.photos.more_layouts import LANGUAGES, LAYOUTS, WIDTHS, Panel, Style

DATA = Path(__file__).parent / "data"
INKS: dict[str, Any] = json.loads((DATA / "inks.json").read_text(encoding="utf-8"))

_AMOUNT = re.compile(r"((?:&lt;|[Ll]ess than |menos de )?[\d,.]+(?:&nbsp;)?(?:mcg|mg|g))<!--(\w+)-->")
_ENERGY = re.compile(r'(class="number">|class="cal" colspan="2">|Calories |Calories</b> )([\d,]+)()')
_COUNTS = (
    re.compile(r"()((?:about |aprox\. )?[\d.,]+)( servings? per| raciones por| ración por)"),
    re.compile(r"(Servings Per Container )((?:About )?[\d.,]+)()"),
    re.compile(r"(Servings: )((?:about )?[\d.]+)()"),
)
_KEPT = re.compile(r"(\d(?:\s|&nbsp;)?(?:g|mg|mcg|mL)\b|&\w+;|&#\d+;)")
_SHORTER = {
    "Dietary Fiber": "Fiber",
    "Total Carbohydrate": "Total Carb.",
    "Saturated Fat": "Sat. Fat",
    "Includes ": "Incl. ",
    "Polyunsaturated Fat": "Polyunsat. Fat",
    "Monounsaturated Fat": "Monounsat. Fat",
    "Vitamin D": "Vit. D",
}
_HOUSEHOLD = {
    "tbsp": ("tbsp", "Tbsp", "Tbsp.", "TBSP"),
    "tsp": ("tsp", "tsp.", "Tsp"),
    "cup": ("cup", "Cup"),
    "fl oz": ("fl oz", "fl. oz.", "FL OZ"),
    "oz": ("oz", "oz."),
}


def pick(rng: Random, entries: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return one of the entries of a data file, each as often as its "weight" says."""
    return rng.choices(entries, [entry["weight"] for entry in entries])[0]


def invent(rng: Random, layout: str) -> Panel:
    """Return a lawful panel for the layout, its serving size spelled as one or another maker would."""
    known = layout if layout not in ("three_columns", "run_in", "grid") else "standard"
    panel = lawful_panel(rng, known) | {"layout": layout}
    text = str(panel["serving"]["text"])
    if layout not in LANGUAGES:
        for unit, forms in _HOUSEHOLD.items():
            form = rng.choice(forms)
            text = re.sub(rf"(?<![\w.]){unit}(?=s?\b)", form, text)
            if unit == "fl oz" and form in text:
                break
    if rng.random() < 0.25:
        text = re.sub(r"\((\S+?)(g|mL)\)", r"(\1 \2)", text)
    if rng.random() < 0.12:
        text = re.sub(r" \((.+)\)", r"/\1" if rng.random() < 0.4 else r" \1", text)
    panel["serving"]["text"] = text
    return panel


def typeset(rng: Random, layout: str) -> Style:
    """Return how a panel is set: type, colours, rules and the wording of small things."""
    type_, inks = pick(rng, INKS["fonts"]), pick(rng, INKS["panels"])
    plain = layout == "grid"
    wide = (
        type_["wide"]
        * rng.uniform(1, 1.12)
        * (1 if layout in ("tabular", "linear") else rng.uniform(0.98, 1.1))
    )
    return {
        "font": type_["font"],
        "title_font": type_["title"] if rng.random() < 0.75 else rng.choice(INKS["fonts"])["title"],
        "ink": inks["ink"],
        "paper": inks["paper"],
        "panel_width": round(WIDTHS[layout] * max(wide, 0.86), 1),
        "tracking": f"{rng.choice((0, 0, 0, -0.02, 0.015, 0.03))}em",
        "air": rng.choice((0.25, 0.5, 0.8, 1, 1, 1, 1.3)),
        "rule": f"{rng.choice((0, 0.25, 0.25, 0.4, 0.6, 1))}pt" if not plain else "0.5pt",
        "bar": rng.choice((1, 1, 1, 0.7, 0.4)),
        "border": f"{rng.choice((0, 0.5, 0.75, 0.75, 1, 2))}pt",
        "corner": f"{rng.choice((0, 0, 0, 3))}pt",
        "pad": f"{rng.choice((2, 3, 3, 5))}pt",
        "bold": rng.choice((700, 700, 700, 800, 500)),
        "calories": f"{rng.choice((16, 20, 22, 24, 26))}pt",
        "title": rng.choice(("fitted", "fitted", "fitted", "natural", "centred")),
        "size": rng.choice(("", "", "", "spread-size")),
        "fraction": rng.choice(("ascii", "ascii", "glyph", "raised")),
        "less_than": rng.choice(("sign", "words")),
        "unit_gap": rng.random() < 0.2,
        "vitamins": rng.choice(("column", "column", "two_by_two")),
        "case": rng.choices(("printed", "upper", "title"), (80, 9, 11))[0],
        "short": rng.random() < 0.15,
    }


def markup(panel: Panel, style: Style) -> str:
    """Return the panel as HTML with its fields marked."""
    layout, langs = panel["layout"], LANGUAGES.get(panel["layout"], ("en",))
    marked = copy.deepcopy(panel)
    for key, entry in marked["nutrients"].items():
        entry["unit"] += f"<!--{key}-->"
    html = LAYOUTS[layout](marked, style)
    html = _AMOUNT.sub(r"<!--from \2-->\1<!--to \2-->", html)
    html = _ENERGY.sub(_between("energy"), html, count=1)
    size = serving_text(panel, style, langs)
    html = html.replace(size, f"<!--from serving_size-->{size}<!--to serving_size-->", 1)
    for pattern in _COUNTS:
        html = pattern.sub(_between("servings_per_container"), html, count=1)
    return _reworded(html, style)


def _between(field: str) -> Callable[[re.Match[str]], str]:
    """Return a replacement that puts a field's marks around the second of three groups."""
    return lambda found: f"{found[1]}<!--from {field}-->{found[2]}<!--to {field}-->{found[3]}"


def _reworded(html: str, style: Style) -> str:
    """Return the markup with shorter names or other capitals, where the style asks for them."""

    def reword(text: str) -> str:
        if style["short"]:
            for long, short in _SHORTER.items():
                text = text.replace(long, short)
        if style["case"] == "title":
            for words in (
                "Serving size",
                "Amount per serving",
                "servings per container",
                "serving per container",
            ):
                text = text.replace(words, words.title())
        if style["case"] == "upper" and len(text) < 60:
            parts = _KEPT.split(text)
            text = "".join(part if number % 2 else part.upper() for number, part in enumerate(parts))
        return text

    pieces = re.split(r"(<[^>]+>)", html)
    return "".join(piece if number % 2 else reword(piece) for number, piece in enumerate(pieces))
