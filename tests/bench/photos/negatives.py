"""Photographs without a whole panel, where a reader should say nothing: menus, tables, half a panel."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from random import Random
from typing import Any

import numpy as np

from sample_labels.markup import cell, div, table_row
from tests.bench.photos import camera, clutter
from tests.bench.photos.packs import Design, design, page
from tests.bench.photos.press import Press

NAME = "negative"


def _ingredients(rng: Random) -> str:
    blocks = (
        clutter.ingredients(rng, "soup"),
        clutter.address(rng),
        clutter.bars(rng),
        clutter.recycling(rng),
    )
    return clutter.band(rng, "soup") + _column(rng.randint(150, 240), *blocks)


def _directions(rng: Random) -> str:
    return _column(
        rng.randint(140, 220), clutter.steps(rng), clutter.numbers(rng), clutter.date(rng), clutter.badge(rng)
    )


def _front(rng: Random) -> str:
    kind = rng.choice(("cereal", "snack", "nuts"))
    net = clutter.net(rng, {"net_weight_g": rng.randint(100, 900)})
    return clutter.band(rng, kind) + clutter.picture(rng, 260, 240) + _column(240, clutter.badge(rng), net)


def _menu(rng: Random) -> str:
    rows = rng.sample(clutter.WORDS["menu"], 11)
    table = "".join(table_row("", cell(escape(name)), cell(price)) for name, price in rows)
    return _column(
        230, div("net", "Today’s Menu"), f'<table style="font-size:10pt;line-height:17pt">{table}</table>'
    )


def _receipt(rng: Random) -> str:
    rows = rng.sample(clutter.WORDS["receipt"], 10)
    total = sum(float(price) for _, price in rows)
    ends = [("SUBTOTAL", f"{total:.2f}"), ("TAX 6%", f"{total * 0.06:.2f}"), ("TOTAL", f"{total * 1.06:.2f}")]
    table = "".join(table_row("", cell(name), cell(price)) for name, price in [*rows, *ends])
    head = f"MARLOW MARKET #0{rng.randint(100, 999)}<br>06/{rng.randint(10, 28)}/25 17:{rng.randint(10, 59)}"
    return _column(
        150,
        f'<div style="font-family:Cousine;font-size:8pt;line-height:11pt">{head}<table>{table}</table></div>',
    )


def _prose(rng: Random) -> str:
    text = clutter.WORDS["prose"] * 2
    return _column(
        220,
        f'<div style="font-family:P052;font-size:9pt;line-height:12pt">{text[rng.randint(0, 60) :]}</div>',
    )


def _european(rng: Random) -> str:
    """Return a table of another country, per 100 g: its numbers are no servings."""
    words = clutter.WORDS["european"][rng.choice(("fr", "de"))]
    fat, carbohydrate, protein = rng.uniform(1, 25), rng.uniform(20, 80), rng.uniform(2, 15)
    kcal = 9 * fat + 4 * (carbohydrate + protein)
    amounts = (
        fat,
        fat * 0.3,
        carbohydrate,
        carbohydrate * 0.3,
        rng.uniform(1, 9),
        protein,
        rng.uniform(0.1, 2),
    )

    def column(share: float) -> list[str]:
        energy = f"{kcal * 4.184 * share:.0f} kJ / {kcal * share:.0f} kcal"
        return [energy, *(f"{amount * share:.1f} g".replace(".", ",") for amount in amounts)]

    rows = zip(words["rows"], column(1), column(0.3), strict=True)
    table = "".join(table_row("", *map(cell, row)) for row in (words["heads"], *rows))
    body = (
        f'<div class="net">{words["title"]}</div><table class="numbers" style="font-size:8pt">{table}</table>'
    )
    return _column(260, body, f'<div class="block">{words["ingredients"]}</div>')


def _picture(rng: Random) -> str:
    return clutter.picture(rng, 300, 360)


def _column(width: float, *blocks: str) -> str:
    return f'<div class="face"><div class="col" style="width:{width}pt">{"".join(blocks)}</div></div>'


KINDS: dict[str, Callable[[Random], str]] = {
    "ingredients": _ingredients,
    "european": _european,
    "menu": _menu,
    "receipt": _receipt,
    "directions": _directions,
    "prose": _prose,
    "front": _front,
    "picture": _picture,
}
CUTS = {"cut_left": (-1.5, 0.0), "cut_right": (1.5, 0.0), "cut_top": (0.0, -1.5), "cut_bottom": (0.0, 1.5)}
"""Where the frame cuts a panel in half."""
ALL = (*KINDS, *CUTS)


def photo(press: Press, seed: int, kind: str) -> tuple[bytes, dict[str, Any]]:
    """Return a photograph of one of ``ALL`` as JPEG and its truth; raises KeyError for another kind."""
    rng, draw = np.random.default_rng([seed, 99, ALL.index(kind)]), Random(f"{NAME} {seed} {kind}")
    tier = draw.choice(("flat", "hand", "hand", "hard"))
    if kind in CUTS:
        made = design(seed, draw.choice(("standard", "form_1993", "dual_column", "bilingual")))
        across, down = CUTS[kind]
        share = draw.uniform(0.8, 1.2)
        jpeg, truth = camera.take(
            press, rng, tier, made, (across * share, down * share), draw.uniform(0.7, 1)
        )
    else:
        style = {"title": "natural", **clutter.colours(draw, {"paper": "#fff"})}
        if kind in ("menu", "receipt", "prose"):
            style |= {"pack": "#f8f6f0", "pack_ink": "#1a1a1a"}
        jpeg, truth = camera.take(
            press,
            rng,
            tier,
            Design(page(KINDS[kind](draw), style, draw), {}, "face"),
            None,
            draw.uniform(0.6, 0.95),
        )
    return jpeg, {"seed": seed, "layout": kind, **truth, "tier": NAME, "taken": tier}
