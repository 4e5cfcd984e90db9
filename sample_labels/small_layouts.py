"""Panels for packs with little room (101.9(j)(13)(ii)(A)), and the form used from 1993 to 2016."""

from __future__ import annotations

from typing import Any

from sample_labels.layouts import ENGLISH, footnote, name_and_amount, row, title, titles
from sample_labels.markup import BAR3, BAR7, HAIR, bold, cell, div, panel_section, span, table_row
from sample_labels.wording import (
    WORDING,
    amount_text,
    count_text,
    lines,
    not_significant,
    percent_text,
    plain_number,
    serving_text,
    servings_text,
)

WORDS = WORDING["en"]
TABULAR_LEFT = WORDING["order"][: WORDING["order"].index("carbohydrate")]
TABULAR_RIGHT = WORDING["order"][len(TABULAR_LEFT) :]


def tabular(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """The wide panel: servings, then two lists of nutrients above the vitamins, then the footnote."""
    heading = div("row head first", span("", "Amount/serving"), span("", "% DV*"))
    lists = [
        div("", heading, *(row(line) for line in lines(panel, style, order)))
        for order in (TABULAR_LEFT, TABULAR_RIGHT)
    ]
    vitamins = [
        f"{name_and_amount(line)} {line.cells[0].percent}"
        for line in lines(panel, style, WORDING["vitamins_2016"])
    ]
    bulleted = [span("", f"• {text}" if number else text) for number, text in enumerate(vitamins)]
    return panel_section(
        "tabular",
        div("lead", _tabular_lead(panel, style)),
        div("mid", div("lists", *lists), BAR7, div("vits", *bulleted)),
        div("side", footnote(panel, style, ENGLISH)),
    )


def _tabular_lead(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """Return the left part of a tabular panel: title, servings and calories."""
    size = bold(f"{WORDS['serving_size']}<br>{serving_text(panel, style, ENGLISH)}")
    energy = plain_number(panel["nutrients"]["energy"]["value"])
    words = div("", div("word", WORDS["calories"]), div("amount", "per serving"))
    return "".join(
        (
            *(title(word) for word in WORDS["title"].split()),
            div("stack", div("", servings_text(panel, "en")), size),
            div("calories", words, div("number", energy)),
        )
    )


def linear(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """The panel as one run of text, for packs with less than 40 square inches of room."""
    table = panel["nutrients"]
    order = [key for key in WORDING["order"] + WORDING["vitamins_2016"] if key != "added_sugars"]
    parts = [bold(f"Calories {plain_number(table['energy']['value'])}")]
    for line in lines(panel, style, order, width="short"):
        percent = line.cells[0].percent
        extra = f" ({percent} DV)" if percent else ""
        if line.nutrient == "total_sugars" and (added := table.get("added_sugars")):
            amount = amount_text(added, style, ends_name=False)
            extra = f" (Incl. {amount} Added Sugars, {percent_text(added)} DV)"
        parts.append(name_and_amount(line) + extra)
    size = bold(f"Serv. size: {serving_text(panel, style, ENGLISH)}")
    return panel_section(
        "linear",
        f"{span('title', WORDS['title'])} Servings: {count_text(panel, 'en')}, {size}, Amount per serving: ",
        f"{span('big', parts[0])}, {', '.join(parts[1:])}. {not_significant(panel, 'en')}",
    )


def form_1993(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """The form used before 2016: calories from fat, four vitamins as percents, the table of limits."""
    count = count_text(panel, "en")
    energy = plain_number(panel["nutrients"]["energy"]["value"])
    from_fat = plain_number(panel["energy_from_fat"])
    made = lines(panel, style, WORDING["order"], width="old")
    return panel_section(
        "old",
        titles(ENGLISH),
        div("serving-size", f"Serving Size {serving_text(panel, style, ENGLISH)}"),
        div("servings", f"Servings Per Container {count[0].upper()}{count[1:]}"),
        BAR7 + div("amount", "Amount Per Serving"),
        div("cal", span("", f"{bold('Calories')} {energy}"), span("", f"Calories from Fat {from_fat}")),
        BAR3 + div("row head first", span("", WORDS["daily_value"])),
        *(row(line) for line in made),
        BAR7 + _old_vitamins(panel, style) + HAIR + _old_footnote(panel),
    )


def _old_vitamins(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """Return the four percents, two by two with a bullet between or one under the other."""
    table = panel["nutrients"]
    made = [
        (WORDS["names"][key], percent_text(table[key])) for key in WORDING["vitamins_1993"] if key in table
    ]
    if style.get("vitamins") == "column":
        return "".join(div("vit2", span("", name, span("", percent))) for name, percent in made)
    each = [span("", f"{name} {percent}") for name, percent in made]
    return "".join(div("vit2", span("dot", "•").join(each[at : at + 2])) for at in range(0, len(each), 2))


def _old_footnote(panel: dict[str, Any]) -> str:
    """Return the old footnote with its table of daily limits (101.9(d)(9) before 2016)."""
    old = WORDING["footnote_1993"]
    head, *limits = (
        table_row("" if number else "top", *(cell(text) for text in row))
        for number, row in enumerate(old["limits"])
    )
    left_out = not_significant(panel, "en")
    note = div("note", left_out) if left_out else ""
    return f'{note}{div("note", old["text"])}<table class="limits">{head}{"".join(limits)}</table>'
