"""A sheet of paper that print is drawn on, each piece of text with its box."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import NamedTuple

from corpus import Corpus, Run
from fonts import face, families, font, pick_family, reach
from PIL import Image, ImageDraw

Box = tuple[float, float, float, float]
"""Left, top, right and bottom in pixels of the page."""
_SIZES = ((1000, 1300), (1300, 1000), (900, 1500), (1200, 1200))


class Style(NamedTuple):
    """Size of the print in pixels, its gray, and the distance of lines as a multiple of the size."""

    size: int
    ink: int
    leading: float = 1.2


class Sheet:
    """A gray sheet drawn from a seed; ``pieces`` and ``panels`` are the boxes of its print and its panels."""

    def __init__(self, seed: int) -> None:
        self.r = r = random.Random(seed)
        self.corpus = Corpus(seed + 7)
        self.wide, self.high = r.choice(_SIZES)
        self.paper = r.randint(150, 255) if r.random() < 0.7 else r.randint(20, 200)
        self.image = Image.new("L", (self.wide, self.high), self.paper)
        self.draw = ImageDraw.Draw(self.image)
        self.pieces: list[Box] = []
        self.panels: list[Box] = []
        self.family = pick_family(r, families())

    def width(self, runs: Sequence[Run], size: int) -> float:
        """Return how wide runs of text are, in pixels."""
        return sum(font(face(self.family, kind), size).getlength(text) for text, kind in runs)

    def text(self, x: float, base: float, runs: Sequence[Run], style: Style, *, right: bool = False) -> float:
        """Draw runs from ``x``, or up to it, on a baseline; return where they end. Wide gaps part pieces."""
        if right:
            x -= self.width(runs, style.size)
        start, up, down, end = x, 0.0, 0.0, x
        for text, kind in runs:
            file = face(self.family, kind)
            own = font(file, style.size)
            if not text:
                continue
            if not text.strip() and own.getlength(text) > style.size:
                if end > start:
                    self.pieces.append((start, base - up, end, base + down))
                x += own.getlength(text)
                start = end = x
                continue
            self.draw.text((x, base), text, fill=style.ink, font=own, anchor="ls")
            x += own.getlength(text)
            top, bottom = reach(file, style.size)
            up, down = max(up, top), max(down, bottom)
            end = x - own.getlength(text[len(text.rstrip()) :]) if text.rstrip() != text else x
        if end - start > 2:
            self.pieces.append((start, base - up, end, base + down))
        return x

    def wrapped(self, x: float, y: float, wide: float, runs: Sequence[Run], style: Style) -> float:
        """Set running text from ``y`` down; return where it ends."""
        row: list[Run] = []
        y += style.size
        for word, kind in [(word, kind) for text, kind in runs for word in text.split()]:
            trial = [*row, ((" " if row else "") + word, kind)]
            if row and self.width(trial, style.size) > wide:
                self.text(x, y, row, style)
                row, y = [(word, kind)], y + style.size * style.leading
            else:
                row = trial
        if row:
            self.text(x, y, row, style)
        return y + style.size * 0.4

    def rule(self, left: float, right: float, y: float, thick: int, ink: int) -> None:
        """Draw a level rule."""
        if thick > 0:
            self.draw.rectangle((left, y, right, y + max(0, thick - 1)), fill=ink)

    def ink(self) -> int:
        """Return a gray that can be read on the paper."""
        if self.paper > 128:
            return self.r.randint(0, max(10, self.paper - 90))
        return self.r.randint(min(245, self.paper + 90), 255)
