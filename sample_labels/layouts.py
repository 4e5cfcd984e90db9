"""The Nutrition Facts panel as HTML, one function per layout of 21 CFR 101.9(d), (e) and (f).

A layout takes the panel and its style and returns the markup of one ``<section class="panel">``; sizes and
bars are in ``data/label.css``. The small-pack forms and the pre-2016 form are in ``small_layouts.py``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sample_labels.markup import BAR3, BAR7, HAIR, bold, cell, div, panel_section, span, table_row
from sample_labels.wording import (
    WORDING,
    Line,
    columns,
    lines,
    not_significant,
    plain_number,
    serving_text,
    servings_text,
)

Langs = tuple[str, ...]
ENGLISH: Langs = ("en",)


def words(key: str, langs: Langs) -> str:
    """Return one of the panel's fixed phrases; a bilingual panel joins both languages with a slash."""
    return "/".join(str(WORDING[lang][key]) for lang in langs)


def title(text: str) -> str:
    """Return a title line, which the page fits to the width of the panel."""
    return div("title-box", span("title", text))


def titles(langs: Langs) -> str:
    """Return the panel's title in each language, one under the other."""
    return "".join(title(WORDING[lang]["title"]) for lang in langs)


def servings(panel: dict[str, Any], style: dict[str, Any], langs: Langs) -> str:
    """Return the servings per container and the serving size."""
    counts = "".join(div("servings", servings_text(panel, lang)) for lang in langs)
    size = span("", serving_text(panel, style, langs))
    return counts + div("serving-size", span("", words("serving_size", langs)), size)


def calories(panel: dict[str, Any], langs: Langs) -> str:
    """Return "Amount per serving" and the calories in their large figures."""
    number = span("number", plain_number(panel["nutrients"]["energy"]["value"]))
    return div("amount", words("amount", langs)) + div(
        "calories", span("word", words("calories", langs)), number
    )


def name(line: Line) -> str:
    """Return a line's name; those of the main nutrients are bold (101.9(d)(1)(iv))."""
    return bold("/".join(line.names), when=line.indent == 0 and line.nutrient in WORDING["order"])


def name_and_amount(line: Line) -> str:
    """Return a line's name with its amount, as in "Total Fat 8g"."""
    return f"{name(line)} {line.cells[0].amount}".rstrip()


def row(line: Line, classes: str = "", *, bold_percent: bool = True) -> str:
    """Return one nutrient's line: name and amount on the left, percent on the right."""
    percent = span("dv" if bold_percent else "dv plain", line.cells[0].percent)
    return div(f"row l{line.indent} {classes}", span("name", name_and_amount(line)), percent)


def percent_heading(text: str) -> str:
    """Return the heading of the percent column."""
    return div("row head first", span("", text))


def main_rows(panel: dict[str, Any], style: dict[str, Any], langs: Langs) -> str:
    """Return the percent heading and every line from fat to protein."""
    made = lines(panel, style, WORDING["order"], langs)
    return percent_heading(words("daily_value", langs)) + "".join(row(line) for line in made)


def vitamin_rows(panel: dict[str, Any], style: dict[str, Any], langs: Langs) -> str:
    """Return the vitamins and minerals, one under the other or two by two (101.9(d)(8))."""
    made = lines(panel, style, WORDING["vitamins_2016"], langs)
    first = [row(line, "first", bold_percent=False) for line in made]
    if style.get("vitamins") == "two_by_two" and len(langs) == 1 and len(made) % 2 == 0:
        bullet = span("row first", "•")
        pairs = [div("two", first[at], bullet, first[at + 1]) for at in range(0, len(made), 2)]
        return HAIR.join(pairs)
    return "".join(first[:1]) + "".join(row(line, bold_percent=False) for line in made[1:])


def footnote(panel: dict[str, Any], style: dict[str, Any], langs: Langs) -> str:
    """Return what stands below the last bar: nutrients left out, and the meaning of the percent."""
    key = "footnote_short" if style.get("footnote") == "short" else "footnote"
    left_out = [div("note", text) for lang in langs if (text := not_significant(panel, lang))]
    return "".join([*left_out, *(div("note hanging", WORDING[lang][key]) for lang in langs)])


def standard(panel: dict[str, Any], style: dict[str, Any], langs: Langs = ENGLISH) -> str:
    """The vertical panel of 101.9(d)(12); with two languages it is the bilingual panel of (d)(14)."""
    vitamins = vitamin_rows(panel, style, langs)
    return panel_section(
        "standard",
        titles(langs) + HAIR + servings(panel, style, langs) + BAR7,
        calories(panel, langs) + BAR3,
        main_rows(panel, style, langs) + BAR7,
        vitamins + BAR3 if vitamins else "",
        footnote(panel, style, langs),
    )


def bilingual(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """English and Spanish on one panel, each name beside the other."""
    return standard(panel, style, ("en", "es"))


def spanish_only(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """The vertical panel in Spanish, as it stands beside an English one."""
    return standard(panel, style, ("es",))


def simplified(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """The short panel of 101.9(f): only what is significant, and the short footnote."""
    return standard(panel, {"footnote": "short", **style})


def side_by_side(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """The vertical panel with vitamins and footnote carried to its right (101.9(d)(11))."""
    left = div(
        "",
        titles(ENGLISH) + HAIR + servings(panel, style, ENGLISH) + BAR7,
        calories(panel, ENGLISH) + BAR3,
        main_rows(panel, style, ENGLISH),
    )
    right = div("", vitamin_rows(panel, style, ENGLISH), BAR7, footnote(panel, style, ENGLISH))
    return panel_section("beside", left, right)


def double(panel: dict[str, Any], style: dict[str, Any]) -> str:
    """Two columns: per serving and per container or unit, or as packaged and as prepared (101.9(e))."""
    column = next(iter(panel["columns"]))
    style = {**style, "less_than": "sign"}  # "less than 1g" is wider than a column
    english = WORDING["en"]
    usual = [english["first_column"][column], english["columns"][column]]
    heads = [cell(label, "col", 2) for label in style.get("column_labels", usual)]
    numbers = [cell(plain_number(table["energy"]["value"]), "cal", 2) for table in columns(panel)]
    percents = [cell("", "qty") + cell("% DV*", "pct bold")] * len(heads)
    table = (
        table_row("", cell(""), *heads),
        table_row("", cell(english["calories"], "calword"), *numbers),
        _double_rule(BAR3, len(heads)),
        table_row("", cell(""), *percents),
        _double_lines(lines(panel, style, WORDING["order"], width="narrow"), "line main"),
        _double_rule(BAR7, len(heads)),
        _double_lines(lines(panel, style, WORDING["vitamins_2016"], width="narrow"), "line"),
    )
    return panel_section(
        "double",
        titles(ENGLISH) + HAIR + servings(panel, style, ENGLISH) + BAR7,
        f"<table>{''.join(table)}</table>{BAR3}{footnote(panel, style, ENGLISH)}",
    )


def _double_rule(bar: str, count: int) -> str:
    return table_row("rule", cell(bar, "", 1 + 2 * count))


def _double_lines(made: Sequence[Line], classes: str) -> str:
    rows = []
    for line in made:
        cells = [cell(entry.amount, "qty") + cell(entry.percent, "pct") for entry in line.cells]
        rows.append(table_row(classes, cell(name(line), f"l{line.indent}"), *cells))
    return "".join(rows)
