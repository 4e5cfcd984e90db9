"""Clean strips of print: a line drawn in a real font, with what stands near it on a panel."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from charset import CHARS
from corpus import FRACTION, Corpus, Run
from fonts import Family, face, families, font, letters, pick_family
from numpy.typing import NDArray
from PIL import Image, ImageDraw

HIGH, WIDE = 64, 1024
"""Pixels of a strip, twice what the network sees, with room above and below for warps."""
LONGEST = 46
INDEX = {letter: number + 1 for number, letter in enumerate(CHARS)}
_FRACTIONS = {sign: figures for figures, sign in FRACTION.items()}

Sample = tuple[NDArray[np.uint8], int, list[int]]
"""A strip (``HIGH`` x ``WIDE``, ink 255 on 0), how much of its width is used, and its letters' numbers."""


@dataclass(frozen=True)
class Style:
    """How a line is set; ``squeeze`` and ``tracking`` are shares of the width and of the size."""

    size: int
    squeeze: float = 1
    tracking: float = 0
    raised: bool = False


@dataclass(frozen=True)
class Drawn:
    """A line of ink (255 on 0) cut at its ends, with its baseline, its top and its foot in pixels."""

    ink: Image.Image
    base: int
    top: int
    foot: int
    text: str


class _Pen:
    """Sets letters from left to right on one baseline."""

    def __init__(self, canvas: Image.Image, base: int, style: Style, r: random.Random) -> None:
        self.draw, self.base, self.style, self.r = ImageDraw.Draw(canvas), base, style, r
        self.x = float(style.size)

    def word(self, text: str, file: str) -> None:
        """Set letters of one face."""
        own, size = font(file, self.style.size), self.style.size
        if self.style.tracking == 0:
            self.draw.text((self.x, self.base), text, fill=255, font=own, anchor="ls")
            self.x += own.getlength(text)
            return
        for letter in text:
            self.draw.text((self.x, self.base), letter, fill=255, font=own, anchor="ls")
            self.x += own.getlength(letter) + self.style.tracking * size

    def fraction(self, figures: str, file: str) -> None:
        """Set a fraction out of small figures and a stroke."""
        r, size = self.r, self.style.size
        small, big = font(file, max(8, int(size * r.uniform(0.52, 0.64)))), font(file, size)
        top, bottom = figures.split("/")
        up = size * r.uniform(0.26, 0.34)
        self.draw.text((self.x, self.base - up), top, fill=255, font=small, anchor="ls")
        self.x += small.getlength(top)
        self.draw.text((self.x - size * 0.06, self.base), "/", fill=255, font=big, anchor="ls")
        self.x += big.getlength("/") - size * 0.1
        down = size * r.uniform(0, 0.05)
        self.draw.text((self.x, self.base + down), bottom, fill=255, font=small, anchor="ls")
        self.x += small.getlength(bottom)


class Strips:
    """Draws strips from a seeded generator, in the families given or in all."""

    def __init__(self, seed: int, among: dict[str, Family] | None = None) -> None:
        self.r = random.Random(seed)
        self.corpus = Corpus(seed + 1)
        self.among = families() if among is None else among

    def draw_line(self, runs: Sequence[Run], family: Family, style: Style) -> Drawn | None:
        """Draw runs of text; letters that the font lacks are left out. None where nothing is left."""
        bold = "k" if self.r.random() < 0.35 and "black" in family else "b"
        faces = {"r": face(family, "r"), "b": face(family, bold), "i": face(family, "i")}
        items: list[tuple[str, str, bool]] = []
        for chunk, kind in runs:
            have = letters(faces[kind], style.size)
            for letter in chunk:
                built = letter in _FRACTIONS and (style.raised or letter not in have)
                if built or letter in have:
                    items.append((letter, faces[kind], built))
        text = " ".join("".join(letter for letter, _, _ in items).split())
        if not text:
            return None
        canvas = Image.new("L", (style.size * (len(items) + 4), int(style.size * 2.2)), 0)
        base = int(style.size * 1.45)
        pen = _Pen(canvas, base, style, self.r)
        self._set(pen, items)
        box = canvas.crop((0, 0, int(pen.x) + style.size, canvas.height)).getbbox()
        if not box:
            return None
        ink = canvas.crop((box[0], 0, box[2], canvas.height))
        if style.squeeze != 1:
            ink = ink.resize((max(4, int(ink.width * style.squeeze)), ink.height), Image.Resampling.BILINEAR)
        return Drawn(ink, base, box[1], box[3], text)

    @staticmethod
    def _set(pen: _Pen, items: Sequence[tuple[str, str, bool]]) -> None:
        """Set letters, those of one face that follow each other in one go, so that they are kerned."""
        word, own = "", ""
        for letter, file, built in items:
            if built or file != own:
                pen.word(word, own) if word else None
                word = ""
            if built:
                pen.fraction(_FRACTIONS[letter], file)
            else:
                own = file
                word += letter
        if word:
            pen.word(word, own)

    def sample(self) -> Sample:
        """Return the next strip."""
        while True:
            drawn, size = self._line()
            placed = drawn and self._placed(drawn, size)
            if placed:
                return placed

    def _line(self) -> tuple[Drawn | None, int]:
        r = self.r
        family = pick_family(r, self.among)
        size = r.choice([30, 34, 38, 42])
        squeeze = r.choice([1, 1, 1, r.uniform(0.6, 1.0), r.uniform(0.45, 0.8), r.uniform(1, 1.2)])
        tracking = 0 if r.random() < 0.75 else r.uniform(-0.03, 0.08)
        raised = r.choice([False, True])
        try:
            return self.draw_line(self.corpus.line(), family, Style(size, squeeze, tracking, raised)), size
        except (OSError, ValueError):  # a font that cannot draw a letter at this size
            return None, size

    def _placed(self, drawn: Drawn, size: int) -> Sample | None:
        """Return the strip that a finder would cut: the ink with a margin, now tight, now loose."""
        r, target = self.r, [INDEX[letter] for letter in drawn.text]
        if len(target) > LONGEST:
            return None
        top = min(drawn.top, drawn.base - size * 0.74) if r.random() < 0.7 else drawn.top
        foot = max(drawn.foot, drawn.base + size * 0.22) if r.random() < 0.7 else drawn.foot
        margin = size * r.uniform(-0.02, 0.3)
        top, foot = top - margin * r.uniform(0.4, 1.2), foot + margin * r.uniform(0.4, 1.2)
        k = HIGH * 0.72 / max(8.0, foot - top)
        wide = int(drawn.ink.width * k)
        side = int(HIGH * r.uniform(0.02, 0.35))
        if wide + 2 * side > WIDE - 8 or wide < 4:
            return None
        canvas = Image.new("L", (wide + 2 * side, HIGH), 0)
        scaled = drawn.ink.resize((wide, max(8, int(drawn.ink.height * k))), Image.Resampling.BILINEAR)
        shift = int(HIGH * 0.14 - top * k)
        canvas.paste(scaled, (side, shift), scaled)
        self._surround(canvas, drawn.base * k + shift, size * k)
        strip = np.zeros((HIGH, WIDE), np.uint8)
        strip[:, : canvas.width] = np.asarray(canvas)
        return strip, canvas.width, target

    def _surround(self, canvas: Image.Image, base: float, size: float) -> None:
        """Draw what stands near: hairlines, bars, the feet and heads of other lines."""
        r, draw, wide = self.r, ImageDraw.Draw(canvas), canvas.width
        for below in (True, False):
            if r.random() < 0.38:
                y = base + size * r.uniform(0.27, 0.6) if below else base - size * r.uniform(0.84, 1.2)
                thick = r.choice([1, 1, 1.5, 2, 3, 6, 10])
                a, b = (
                    (0, wide) if r.random() < 0.7 else sorted((r.uniform(-20, wide), r.uniform(0, wide + 20)))
                )
                slope = r.uniform(-2, 2) if r.random() < 0.4 else 0
                draw.line((a, y + slope, b, y - slope), fill=r.randint(150, 255), width=max(1, int(thick)))
            if r.random() < 0.22:
                self._neighbour(canvas, base, size, below=below)
        if r.random() < 0.06:
            x = r.choice([r.uniform(0, 4), wide - r.uniform(1, 5)])
            draw.line((x, 0, x, HIGH), fill=255, width=r.choice([1, 2, 3]))

    def _neighbour(self, canvas: Image.Image, base: float, size: float, *, below: bool) -> None:
        """Draw the next line above or below, as far as the strip shows it."""
        other = self.draw_line(self.corpus.line(), pick_family(self.r, self.among), Style(28))
        if not other:
            return
        k = size / 28
        ink = other.ink.resize((max(4, int(other.ink.width * k)), max(4, int(other.ink.height * k))))
        ink = ink.crop((0, 0, min(ink.width, canvas.width), ink.height))
        gap = size * self.r.uniform(1.02, 1.3)
        y = base + gap - other.base * k if below else base - gap - other.base * k
        canvas.paste(ink, (int(self.r.uniform(-0.2, 0.6) * canvas.width), int(y)), ink)


if __name__ == "__main__":
    strips = Strips(5)
    rows = [strips.sample() for _ in range(24)]
    Image.fromarray(np.concatenate([255 - strip for strip, _, _ in rows])).save("strips.png")
    print("\n".join("".join(CHARS[number - 1] for number in target) for _, _, target in rows))
