"""What stands around a panel on a pack, as HTML: names, pictures, ingredients, directions, bars, stickers."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from html import escape
from random import Random
from typing import Any

from sample_labels.markup import cell, div, span, table_row
from tests.bench.photos.more_layouts import Panel, Style
from tests.bench.photos.panels import DATA, INKS

WORDS: dict[str, Any] = json.loads((DATA / "words.json").read_text(encoding="utf-8"))
_KINDS = ("cereal", "bread", "dairy", "sauce", "soup", "snack")


def band(rng: Random, kind: str) -> str:
    """Return the maker's and the product's name on a band of colour."""
    products = WORDS["products"]
    maker = f"{rng.choice(WORDS['makers'])} {rng.choice(WORDS['suffixes'])}"
    product = rng.choice(products.get(kind, products["other"]))
    return div("band", div("maker", escape(maker)), div("name", escape(product)))


def paragraph(rng: Random, *texts: str, classes: str = "") -> str:
    """Return a block of small print, at times in capitals or smaller still."""
    extra = rng.choice(("", "", "small", "upper"))
    return div(f"block {classes} {extra}", *(f"<p>{text}</p>" for text in texts))


def ingredients(rng: Random, kind: str) -> str:
    """Return the ingredients, what they contain, and at times a note."""
    listed = WORDS["ingredients"].get(kind) or WORDS["ingredients"][rng.choice((*_KINDS, "other"))]
    head = rng.choice(("INGREDIENTS:", "Ingredients:", "INGREDIENTS"))
    texts = [f"<b>{head}</b> {escape(listed)}", f"<b>{escape(rng.choice(WORDS['contains']))}</b>"]
    return paragraph(rng, *texts[: rng.choice((1, 2, 2))])


def address(rng: Random) -> str:
    """Return a note and who made the food."""
    maker = f"{rng.choice(WORDS['makers'])} Foods"
    note = escape(rng.choice(WORDS["notes"]))
    return paragraph(rng, note, f"Distributed by {maker}<br>{rng.choice(WORDS['places'])}<br>©2024")


def steps(rng: Random) -> str:
    """Return cooking directions, full of numbers that no panel holds."""
    head, *texts = rng.choice(WORDS["steps"])
    return div("block steps", f"<b>{escape(head)}</b>", *(f"<p>{escape(text)}</p>" for text in texts))


def numbers(rng: Random) -> str:
    """Return a table of numbers that is not a panel."""
    rows = rng.choice(WORDS["tables"])
    return f'<table class="numbers">{"".join(table_row("", *map(cell, row)) for row in rows)}</table>'


def callouts(rng: Random, panel: Panel) -> str:
    """Return the small shields that repeat a few of the panel's amounts on the front of a pack."""
    table = panel["nutrients"]
    words = {"energy": "CALORIES", "saturated_fat": "SAT FAT", "sodium": "SODIUM", "total_sugars": "SUGARS"}
    units = {"energy": "", "saturated_fat": "g", "sodium": "mg", "total_sugars": "g"}
    keys = [key for key in words if key in table][: rng.choice((1, 3, 4))]
    shields = [div("", f"<b>{table[key]['value']:g}{units[key]}</b>", words[key]) for key in keys]
    return div("block", span("small", "PER SERVING"), div("callouts", *shields))


def bars(rng: Random) -> str:
    """Return a barcode with its digits."""
    widths = [rng.choice((1, 1, 1, 2, 2, 3)) for _ in range(58)]
    edges = [sum(widths[:at]) for at in range(len(widths))]
    stripes = "".join(
        f'<rect x="{edge}" y="0" width="{width}" height="60"/>'
        for number, (edge, width) in enumerate(zip(edges, widths, strict=True))
        if number % 2 == 0
    )
    digits = " ".join("".join(rng.choice("0123456789") for _ in range(count)) for count in (1, 5, 5, 1))
    view = f'viewBox="0 0 {sum(widths)} 60" preserveAspectRatio="none"'
    drawn = f'<svg width="96pt" height="42pt" {view}>{stripes}</svg>'
    return div("bars", drawn, f"<br>{digits}")


def recycling(rng: Random) -> str:
    """Return arrows chasing one another around a number, and what to do with the empty pack."""
    stroke = 'fill="none" stroke="currentColor" stroke-width="2.6"'
    arrows = "".join(
        f'<path d="M-9 8 L9 8 M5 4 L9 8 L5 12" transform="rotate({turn})" {stroke}/>'
        for turn in (0, 120, 240)
    )
    drawn = (
        f'<svg width="24pt" height="24pt" viewBox="-16 -16 32 32">{arrows}'
        f'<text y="3" font-size="8" text-anchor="middle" fill="currentColor">{rng.randint(1, 7)}</text></svg>'
    )
    return div("block small", drawn, "<br>PLEASE RECYCLE<br>EMPTY &amp; REPLACE CAP")


def picture(rng: Random, width: float, height: float) -> str:
    """Return a heap of round food in warm light, as the picture on a front."""
    hue, spread = rng.choice(((32, 12), (20, 16), (48, 10), (8, 12), (90, 25), (28, 30))), rng.uniform(6, 20)
    bits = []
    for number in range(150):
        x, y, size = rng.uniform(0, width), rng.uniform(0.1, 1) * height, rng.uniform(0.6, 1.3) * spread
        shade = f"hsl({rng.gauss(hue[0], hue[1] / 2):.0f} {rng.randint(45, 80)}% {rng.randint(30, 68)}%)"
        rest = f'fill="{shade}" transform="translate({x:.1f} {y:.1f}) rotate({rng.randint(0, 180)})"'
        shape = f'<ellipse rx="{size:.1f}" ry="{size * rng.uniform(0.5, 1):.1f}" {rest}/>'
        shine = f'rx="{size * 0.4:.1f}" ry="{size * 0.2:.1f}" fill="#fff5"'
        light = f'<ellipse {shine} transform="translate({x - size * 0.3:.1f} {y - size * 0.35:.1f})"/>'
        bits.append(shape.replace("/>", ' stroke="#0003" stroke-width="1"/>') + (light if number % 2 else ""))
    ground = f"hsl({hue[0]} 30% {rng.randint(14, 80)}%)"
    return (
        f'<svg width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}" style="display:block">'
        f'<rect width="100%" height="100%" fill="{ground}"/>{"".join(bits)}</svg>'
    )


def net(rng: Random, panel: Panel) -> str:
    """Return the net contents."""
    weight, volume = panel.get("net_weight_g"), panel.get("net_volume_ml")
    if volume:
        return div("net", f"{volume / 29.574:.1f} FL OZ ({volume} mL)")
    return div("net", f"NET WT {(weight or rng.randint(100, 900)) / 28.35:.1f} OZ ({weight or 340}g)")


def date(rng: Random) -> str:
    """Return a date as a machine sprays it on."""
    day = (
        f"{rng.choice(('JAN', 'MAR', 'JUN', 'SEP', 'NOV'))} {rng.randint(1, 28):02} {rng.randint(2025, 2027)}"
    )
    return div(
        "dots", f"BEST BY {day}<br>L{rng.randint(1000, 9999)} {rng.randint(0, 23):02}:{rng.randint(0, 59):02}"
    )


def badge(rng: Random) -> str:
    """Return a round claim."""
    return div("badge", escape(rng.choice(WORDS["claims"])))


def sticker(rng: Random, left: float, top: float) -> str:
    """Return a price sticker that somebody put on by hand, in points from the pack's corner."""
    turn = rng.gauss(0, 6)
    style = f"left:{left:.0f}pt;top:{top:.0f}pt;transform:rotate({turn:.1f}deg)"
    price = f"${rng.randint(0, 12)}.{rng.choice((19, 29, 49, 79, 99))}"
    unit = f"<small>UNIT PRICE {rng.randint(8, 70)}¢/OZ</small>"
    return f'<div class="sticker" style="{style}">{unit}{price}</div>'


def choose(rng: Random, panel: Panel, count: int) -> list[str]:
    """Return ``count`` blocks, the ingredients first as a rule."""
    kind = panel["name"].removeprefix("random_")
    makers: list[Callable[[], str]] = [
        lambda: address(rng),
        lambda: steps(rng),
        lambda: numbers(rng),
        lambda: callouts(rng, panel),
        lambda: div("", bars(rng)),
        lambda: recycling(rng),
        lambda: net(rng, panel),
        lambda: date(rng),
        lambda: badge(rng),
        lambda: ingredients(rng, kind),
    ]
    first = [lambda: ingredients(rng, kind)] if rng.random() < 0.8 else []
    return [make() for make in [*first, *rng.sample(makers, count)][: max(count, 1)]]


def colours(rng: Random, panel_style: Style) -> Style:
    """Return the pack's colours; a panel printed light needs a dark pack, a brown one kraft."""
    packs = [
        entry
        for entry in INKS["packs"]
        if panel_style["paper"] != "pack_dark" or luminance(entry["pack"]) < 0.25
    ]
    if panel_style["paper"] == "inherit":
        packs = [entry for entry in packs if luminance(entry["pack"]) > 0.35]
    return dict(rng.choices(packs, [entry["weight"] for entry in packs])[0])


def luminance(colour: str) -> float:
    """Return the relative luminance of "#rrggbb", 0 to 1."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return math.fsum((0.2126 * red**2.2, 0.7152 * green**2.2, 0.0722 * blue**2.2))
