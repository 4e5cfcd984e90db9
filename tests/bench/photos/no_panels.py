"""Printed matter that is no panel, drawn plainly: menus, receipts, stories, tables of another country."""

from __future__ import annotations

import io
import json
import unicodedata
from pathlib import Path
from random import Random
from typing import Any

from PIL import Image, ImageDraw, ImageFont

WORDS: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "words.json").read_text(encoding="utf-8")
)
Made = tuple[bytes, tuple[()]]
"""A picture, and no panels."""


def menu(rng: Random) -> Made:
    """Return a menu."""
    return _written(rng, rng.sample(list(map(tuple, WORDS["menu"])), 11), "Today's Menu")


def receipt(rng: Random) -> Made:
    """Return a receipt."""
    rows = rng.sample(list(map(tuple, WORDS["receipt"])), 10)
    return _written(rng, [*rows, ("TOTAL", f"{sum(float(price) for _, price in rows):.2f}")], "MARLOW MARKET")


def prose(rng: Random) -> Made:
    """Return a page of a story."""
    return _written(rng, _broken((WORDS["prose"] * 2)[rng.randint(0, 400) :], 8)[:25])


def directions(rng: Random) -> Made:
    """Return cooking directions with a table."""
    head, *steps = rng.choice(WORDS["steps"])
    table = rng.choice(WORDS["tables"])
    return _written(rng, [(step[:52],) for step in steps] + [tuple(row[:3]) for row in table], head)


def ingredients(rng: Random) -> Made:
    """Return a list of ingredients."""
    listed = "INGREDIENTS: " + rng.choice(list(WORDS["ingredients"].values()))
    return _written(rng, [*_broken(listed, 6), (rng.choice(WORDS["contains"])[:44],)])


def european(rng: Random) -> Made:
    """Return a table of another country: its numbers are of 100 g, and no servings."""
    words = WORDS["european"][rng.choice(("fr", "de"))]
    amounts = [f"{rng.uniform(0.1, 80):.1f} g".replace(".", ",") for _ in words["rows"][1:]]
    energy = rng.randint(200, 2400)
    rows = zip(words["rows"], [f"{energy} kJ / {energy / 4.184:.0f} kcal", *amounts], strict=True)
    return _written(rng, [("", words["heads"][1]), *rows], words["title"])


def _written(rng: Random, rows: list[tuple[str, ...]], title: str = "") -> Made:
    """Return a table or text as a photo of print, a little turned."""
    size = rng.choice((18, 24, 32))
    image = Image.new("L", (60 + size * 26, 120 + (len(rows) + 3) * round(size * 1.5)), 236)
    pen = ImageDraw.Draw(image)
    pen.text((40, 30), _plain(title), 20, ImageFont.load_default(round(size * 1.3)))
    for number, row in enumerate(rows):
        for place, cell in enumerate(row):
            across = 40 + place * size * (13 if len(row) == 2 else 9)
            pen.text(
                (across, 60 + (number + 1.5) * size * 1.5), _plain(cell), 20, ImageFont.load_default(size)
            )
    turned = image.rotate(rng.uniform(-4, 4), Image.Resampling.BICUBIC, fillcolor=236)
    out = io.BytesIO()
    turned.save(out, "JPEG", quality=85)
    return out.getvalue(), ()


def _plain(text: str) -> str:
    """Return a text without accents, which the font inside Pillow has not."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()


def _broken(text: str, words: int) -> list[tuple[str, ...]]:
    """Return a text in rows of so many words."""
    every = text.split()
    return [(" ".join(every[at : at + words]),) for at in range(0, len(every), words)]
