"""Pages of print as packs carry them, drawn flat, with a box for each piece of text: the finder's lessons."""

from __future__ import annotations

import numpy as np
from corpus import WORDS
from fonts import families, pick_family
from numpy.typing import NDArray
from panels import PanelBlock
from PIL import Image, ImageDraw
from sheet import Box, Sheet, Style

_SHAPES = ("ellipse", "rect", "stripes", "noise", "dots", "poly")
_KINDS = ("panel", "prose", "big", "bars", "table", "shape")
_MOST_PANELS = 3


class Page(Sheet):
    """A page full of blocks; each block's method takes its corner and its width and returns where it ends."""

    def prose(self, x: float, y: float, wide: float) -> float:
        """Set ingredients or an address; return where they end, as all blocks do."""
        r, ink, size = self.r, self.ink(), self.r.randint(11, 26)
        words = [r.choice(WORDS) for _ in range(r.randint(10, 60))]
        lead = r.choice(["INGREDIENTS:", "Ingredients:", "CONTAINS:", "DIRECTIONS:", "Distributed by", ""])
        text = ", ".join(words)
        if r.random() < 0.4:
            text = text.upper()
        runs = [(lead, "b"), (text, r.choice("rrb"))]
        return self.wrapped(x, y, wide, runs, Style(size, ink, r.uniform(1.05, 1.4))) + r.randint(5, 40)

    def big(self, x: float, y: float, wide: float) -> float:
        """Set a few large words."""
        r = self.r
        size = int(r.uniform(30, 120))
        word = " ".join(r.choice(WORDS) for _ in range(r.randint(1, 3)))
        word = r.choice([word.title(), word.upper(), word])
        while size > 14 and self.width([(word, "k")], size) > wide:
            size = int(size * 0.85)
        left = x + r.uniform(0, max(0, wide - self.width([(word, "k")], size)))
        self.text(left, y + size, [(word, r.choice("kbri"))], Style(size, self.ink()))
        return y + size * r.uniform(1.2, 1.6)

    def bars(self, x: float, y: float, wide: float) -> float:
        """Draw a bar code with its number."""
        r = self.r
        wide, high = min(wide, r.randint(120, 330)), r.randint(50, 150)
        self.draw.rectangle((x, y, x + wide, y + high + 30), fill=255)
        at = x + 10
        while at < x + wide - 12:
            thick = r.choice([2, 2, 3, 4, 6])
            self.draw.rectangle((at, y + 6, at + thick - 1, y + high), fill=10)
            at += thick + r.choice([2, 2, 3, 4, 6])
        size = r.randint(14, 22)
        figures = " ".join(str(r.randint(0, 9)) for _ in range(r.choice([1, 5, 6])))
        number = f"{figures} {r.randint(10000, 99999)}"
        self.text(x + 14, y + high + size + 3, [(number, "r")], Style(size, 10))
        return y + high + 40

    def table(self, x: float, y: float, wide: float) -> float:
        """Set a table that is no panel: words with columns of figures."""
        r = self.r
        ink, size, rows, columns = self.ink(), r.randint(14, 24), r.randint(3, 9), r.randint(1, 4)
        style = Style(size, ink)
        for _ in range(rows):
            y += size * r.uniform(1.1, 1.5)
            name = r.choice(WORDS).capitalize() + " " + r.choice(WORDS)
            end = self.text(x, y, [(name, "r")], style)
            for column in range(columns):
                edge = x + wide * (1 - column * 0.17)
                price = f"{r.randint(0, 99)}.{r.randint(0, 99):02d}"
                pick, own = r.choice, self.corpus
                cell = [(pick([price, own.pct(), own.value("fat"), own.value("sodium")]), pick("rb"))]
                if edge - self.width(cell, size) > end + size * 0.7:
                    self.text(edge, y, cell, style, right=True)
            if r.random() < 0.4:
                self.rule(x, x + wide, y + size * 0.3, 1, ink)
        return y + size + r.randint(5, 30)

    def shape(self, x: float, y: float, most: float) -> float:
        """Draw what is no print, at times with a few words on it."""
        r, draw = self.r, self.draw
        high = r.randint(30, 220)
        wide = r.uniform(0.2, 1) * most
        kind, tone = r.choice(_SHAPES), r.randint(0, 255)
        if kind == "ellipse":
            draw.ellipse((x, y, x + wide, y + high), fill=tone)
        elif kind == "rect":
            draw.rounded_rectangle((x, y, x + wide, y + high), r.randint(0, 20), fill=tone)
        elif kind == "stripes":
            for at in range(0, int(wide), r.randint(6, 26)):
                ends = (x + at, y, x + at + r.randint(-30, 30), y + high)
                draw.line(ends, fill=tone, width=r.randint(1, 6))
        elif kind == "dots":
            for _ in range(r.randint(20, 200)):
                a, b, c = x + r.uniform(0, wide), y + r.uniform(0, high), r.uniform(1, 7)
                draw.ellipse((a, b, a + c, b + c), fill=tone)
        elif kind == "poly":
            corners = range(r.randint(3, 8))
            draw.polygon([(x + r.uniform(0, wide), y + r.uniform(0, high)) for _ in corners], fill=tone)
        else:
            self._noise(x, y, wide, high)
        if r.random() < 0.4:
            words = [(r.choice(WORDS).title() + " " + str(r.randint(1, 99)), r.choice("kb"))]
            self.text(x + 8, y + high * 0.6, words, Style(r.randint(14, 34), 255 if tone < 120 else 0))
        return y + high + r.randint(4, 30)

    def _noise(self, x: float, y: float, wide: float, high: int) -> None:
        r = self.r
        grain = np.random.default_rng(r.randint(0, 1 << 30))
        size = (max(2, high // r.randint(2, 20)), max(2, int(wide) // r.randint(2, 20)))
        patch = Image.fromarray(grain.integers(0, 255, size, np.uint8))
        self.image.paste(patch.resize((max(2, int(wide)), high), Image.Resampling.BICUBIC), (int(x), int(y)))

    def make(self) -> tuple[NDArray[np.uint8], NDArray[np.float32], list[Box]]:
        """Fill the page; return it, the boxes of its pieces (n x 4), and the boxes of its panels."""
        r = self.r
        columns = r.choices([1, 2, 3], [3, 5, 2])[0]
        panels = 0
        for column in range(columns):
            wide = self.wide / columns - 30
            if columns > 1 and r.random() < 0.4:
                wide *= r.uniform(0.75, 1)
            x, y = 14 + column * self.wide / columns, float(r.randint(4, 40))
            while y < self.high - 80:
                kind = r.choices(_KINDS, [5 if wide > 240 else 0, 3, 2, 1, 1, 1.5])[0]
                if kind == "panel" and (panels >= _MOST_PANELS or self.high - y < 260):
                    kind = "prose"
                panels += kind == "panel"
                self.family = pick_family(r, families()) if r.random() < 0.5 else self.family
                y = self._block(kind, x, y, wide)
        whole = [
            (left, top, right, bottom)
            for left, top, right, bottom in self.pieces
            if top >= 0 and bottom < self.high and left < self.wide and right > 0 and right - left > 3
        ]
        return np.asarray(self.image), np.array(whole, np.float32).reshape(-1, 4), self.panels

    def _block(self, kind: str, x: float, y: float, wide: float) -> float:
        if kind == "panel":
            narrow = self.r.random() < 0.5
            return PanelBlock(self, x, y, max(240, wide * self.r.uniform(0.5, 1)) if narrow else wide).draw()
        return float(getattr(self, kind)(x, y, wide))


if __name__ == "__main__":
    for seed in range(6):
        gray, pieces, panels = Page(seed).make()
        picture = Image.fromarray(gray).convert("RGB")
        pen = ImageDraw.Draw(picture)
        for piece in pieces.tolist():
            pen.rectangle(piece, outline=(255, 0, 0))
        for panel in panels:
            pen.rectangle(panel, outline=(0, 160, 255), width=4)
        picture.save(f"page{seed}.png")
