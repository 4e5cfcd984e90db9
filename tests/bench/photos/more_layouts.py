"""Panels that packs also print, beside those of ``sample_labels``: a banner, vitamins run in, a table."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sample_labels.layouts import ENGLISH, calories, footnote, main_rows, servings, titles
from sample_labels.markup import BAR3, BAR7, HAIR, bold, cell, div, panel_section, span, table_row
from sample_labels.render import LAYOUTS as PRINTED
from sample_labels.render import PANEL_WIDTHS, USUAL_WIDTH
from sample_labels.wording import WORDING, Line, lines, plain_number, serving_text, servings_text

Panel = dict[str, Any]
Style = dict[str, Any]


def three_columns(panel: Panel, style: Style) -> str:
    """Return the panel as a banner: servings on top, the lines in three columns below."""
    made = lines(panel, style, WORDING["vitamins_2016"])
    vitamins = [
        div("row", span("name", f"{line.names[0]} {line.cells[0].amount}"), span("", line.cells[0].percent))
        for line in made
    ]
    top = div(
        "top", titles(ENGLISH), div("", servings(panel, style, ENGLISH)), div("", calories(panel, ENGLISH))
    )
    rows = main_rows(panel, style, ENGLISH) + "".join(vitamins)
    return panel_section("threes", top, BAR7, div("cols", rows), BAR3, footnote(panel, style, ENGLISH))


def run_in(panel: Panel, style: Style) -> str:
    """Return the vertical panel with its vitamins run together in one paragraph."""
    made = lines(panel, style, WORDING["vitamins_2016"], width="short")
    texts = [f"{line.names[0]} {line.cells[0].amount} {line.cells[0].percent}" for line in made]
    return panel_section(
        "runin",
        titles(ENGLISH) + HAIR + servings(panel, style, ENGLISH) + BAR7,
        calories(panel, ENGLISH) + BAR3 + main_rows(panel, style, ENGLISH) + BAR7,
        div("vits", " • ".join(texts)) + BAR3 if texts else "",
        footnote(panel, style, ENGLISH),
    )


def grid(panel: Panel, style: Style) -> str:
    """Return the panel of a small maker: a word processor's table, amounts in a column of their own."""
    made = lines(panel, style, WORDING["order"] + WORDING["vitamins_2016"], width="narrow")
    energy = span("number", plain_number(panel["nutrients"]["energy"]["value"]))
    lead = div(
        "lead",
        div("", servings_text(panel, "en")),
        div("", f"Serving size: {serving_text(panel, style, ENGLISH)}"),
        div("", bold("Calories per serving: "), energy),
    )
    head = table_row("head", cell("Nutrient"), cell("Amount"), cell("% DV*"))
    table = f"<table>{head}{''.join(map(_grid_row, made))}</table>"
    return panel_section(
        "grid", div("title", WORDING["en"]["title"]), lead, table, footnote(panel, style, ENGLISH)
    )


def _grid_row(line: Line) -> str:
    name = cell(bold(line.names[0], when=line.indent == 0), f"l{line.indent}")
    return table_row("", name, cell(line.cells[0].amount), cell(line.cells[0].percent))


LAYOUTS: dict[str, Callable[[Panel, Style], str]] = {
    **PRINTED,
    "three_columns": three_columns,
    "run_in": run_in,
    "grid": grid,
}
WIDTHS = {**dict.fromkeys(LAYOUTS, USUAL_WIDTH), **PANEL_WIDTHS, "three_columns": 380}
"""The width of each panel in points, as set in the usual fonts."""
LANGUAGES: dict[str, tuple[str, ...]] = {"bilingual": ("en", "es"), "spanish_only": ("es",)}
