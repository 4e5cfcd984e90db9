"""The few HTML elements that a panel is made of."""

from __future__ import annotations

BAR7 = '<div class="bar7"></div>'
"""The 7-point bar above the calories and above the vitamins; weight from memory of the agency's sample."""

BAR3 = '<div class="bar3"></div>'
"""The 3-point bar below the calories and above the footnote; weight from memory, as above."""

HAIR = '<div class="hair"></div>'
"""The hairline between lines of text (101.9(d)(1)(v))."""


def div(classes: str, *parts: str) -> str:
    """Return a block with these classes around the joined parts."""
    return f'<div class="{classes}">{"".join(parts)}</div>'


def span(classes: str, *parts: str) -> str:
    """Return an inline element with these classes around the joined parts."""
    return f'<span class="{classes}">{"".join(parts)}</span>'


def bold(text: str, *, when: bool = True) -> str:
    """Return text in bold type, or as it is."""
    return f"<b>{text}</b>" if when else text


def table_row(classes: str, *cells: str) -> str:
    """Return a table row of finished cells."""
    return f'<tr class="{classes}">{"".join(cells)}</tr>'


def cell(text: str, classes: str = "", span_columns: int = 1) -> str:
    """Return a table cell, wider than one column when asked for."""
    return f'<td class="{classes}" colspan="{span_columns}">{text}</td>'


def panel_section(classes: str, *parts: str) -> str:
    """Return the whole panel, the element that the frame and the sizes in points belong to."""
    return f'<section class="panel {classes}">{"".join(parts)}</section>'
