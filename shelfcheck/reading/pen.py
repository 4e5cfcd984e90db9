"""Smooth lines, marks and words on a picture: drawn twice as large and averaged down at the end.

Pillow draws lines jagged; averaged down they are smooth. All lengths here are pixels of the finished picture.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from math import ceil, hypot

from PIL import Image, ImageDraw, ImageFont

from shelfcheck.panel import State
from shelfcheck.reading.leaf import Quad
from shelfcheck.reading.notes import between

Point = tuple[float, float]

COLOURS: dict[State, str] = {"sure": "#1A7FCC", "check": "#E69F00", "missing": "#AA3377"}
"""Three colours that people with any kind of colour blindness tell apart, and from grey."""
INK, SOFT = "#16191D", "#4A525C"
_EDGE = "#C9CED6"
_FINER = 2
_DASH = 6
_FONTS = {
    False: ("LiberationSans-Regular.ttf", "DejaVuSans.ttf"),
    True: ("LiberationSans-Bold.ttf", "DejaVuSans-Bold.ttf"),
}


class Pen:
    """A sheet of ``size`` pixels and what draws on it; colours may end in their opacity, as "#1A7FCC80"."""

    def __init__(self, size: tuple[int, int], paper: str) -> None:
        self._sheet = Image.new("RGB", (size[0] * _FINER, size[1] * _FINER), paper)
        self._ink = ImageDraw.Draw(self._sheet, "RGBA")

    def finish(self) -> Image.Image:
        """Return the picture."""
        return self._sheet.reduce(_FINER)

    def photo(self, photo: Image.Image, size: tuple[int, int]) -> None:
        """Put a photo at the top left, brought to ``size`` and made a little paler."""
        large = photo.resize((size[0] * _FINER, size[1] * _FINER), Image.Resampling.BICUBIC)
        self._sheet.paste(large.point(lambda level: level * 0.85 + 38).convert("RGB"))

    def line(self, start: Point, stop: Point, colour: str, width: float, *, broken: bool = False) -> None:
        """Draw a line, in dashes if ``broken``."""
        parts = ceil(hypot(stop[0] - start[0], stop[1] - start[1]) / _DASH) if broken else 1
        for part in range(0, parts, 2):
            ends = (between(start, stop, at / parts) for at in (part, part + 1))
            self._ink.line(_finer(*ends), colour, round(width * _FINER))

    def outline(self, quad: Quad, colour: str, width: float, *, broken: bool = False) -> None:
        """Draw around a quad."""
        for start, stop in zip(quad, (*quad[1:], quad[0]), strict=True):
            self.line(start, stop, colour, width, broken=broken)

    def fill(self, quad: Quad, colour: str) -> None:
        """Fill a quad."""
        self._ink.polygon(_finer(*quad), colour)

    def dot(self, at: Point, radius: float, colour: str) -> None:
        """Draw a filled circle."""
        (x, y) = at
        self._ink.ellipse(_finer((x - radius, y - radius), (x + radius, y + radius)), colour)

    def card(self, at: Point, size: Point, bar: float, colour: str) -> None:
        """Draw a white card with a bar of colour on its left."""
        (left, top), low, radius = at, at[1] + size[1], 6 * _FINER
        self._ink.rounded_rectangle(_finer(at, (left + size[0], low)), radius, "white", _EDGE, _FINER)
        corners = (True, False, False, True)
        self._ink.rounded_rectangle(_finer((left, top), (left + bar, low)), radius, colour, corners=corners)

    def sign(self, at: Point, radius: float, state: State) -> None:
        """Draw the mark of a state: a tick, an exclamation mark or a bar, white in a circle."""
        (x, y), width = at, radius * 0.28
        self.dot(at, radius, COLOURS[state])
        if state == "sure":
            low = (x - radius * 0.12, y + radius * 0.42)
            self.line((x - radius * 0.5, y + radius * 0.02), low, "white", width)
            self.line(low, (x + radius * 0.52, y - radius * 0.42), "white", width)
        elif state == "check":
            self.line((x, y - radius * 0.6), (x, y + radius * 0.15), "white", width * 1.2)
            self.dot((x, y + radius * 0.52), width * 0.7, "white")
        else:
            self.line((x - radius * 0.5, y), (x + radius * 0.5, y), "white", width)

    def text(self, at: Point, words: str, size: float, colour: str, *, bold: bool = False) -> None:
        """Write words with their top left corner at ``at``."""
        self._ink.text(_finer(at)[0], _known(words), fill=colour, font=_font(size, bold=bold))


def width_of(words: str, size: float, *, bold: bool = False) -> float:
    """Return how wide words come out."""
    return float(_font(size, bold=bold).getlength(_known(words))) / _FINER


def wrapped(sentence: str, size: float, room: float) -> Iterator[str]:
    """Yield the sentence in lines no wider than ``room``, but for a single word that is wider."""
    line = ""
    for word in sentence.split():
        longer = f"{line} {word}".lstrip()
        if line and width_of(longer, size) > room:
            yield line
            longer = word
        line = longer
    if line:
        yield line


def _finer(*points: Point) -> list[Point]:
    return [(x * _FINER, y * _FINER) for x, y in points]


def _known(words: str) -> str:
    """Return the words in letters that the font has: the one inside Pillow has no accents."""
    if _installed(bold=False):
        return words
    return unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()


@lru_cache(maxsize=64)
def _font(size: float, *, bold: bool) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    name, large = _installed(bold=bold), round(size * _FINER)
    return ImageFont.truetype(name, large) if name else ImageFont.load_default(large)


@lru_cache(maxsize=2)
def _installed(*, bold: bool) -> str:
    """Return the first of our fonts that this machine has; "" for none."""
    for name in _FONTS[bold]:
        try:
            ImageFont.truetype(name, 20)
        except OSError:
            continue
        return name
    return ""
