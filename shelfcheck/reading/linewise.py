"""Photo to words by networks: find the lines of print, read each, and lay the words on a level page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from shelfcheck.panel import Box
from shelfcheck.reading import leaf
from shelfcheck.reading.detect import find_print, upright
from shelfcheck.reading.leaf import Leaf
from shelfcheck.reading.level import Level, along, make_level
from shelfcheck.reading.page import Word
from shelfcheck.reading.photo import Picture
from shelfcheck.reading.strips import Letter, Quad, cut, read

_FEWEST = 3
_INK = 0.82
"""A quad is a little higher than the letters in it; this share of its height is print."""
_EDGE = 8


@dataclass(frozen=True, slots=True)
class Networks:
    """Finds the lines of print with one network, reads each with another, and makes the page level."""

    name: str = field(default="networks", init=False)

    def read(self, picture: Picture) -> Leaf:
        """Return the words on the picture; none where there are fewer than three lines of print."""
        gray = picture.gray
        quads = find_print(gray)
        if len(quads) < _FEWEST:
            return Leaf()
        quads = upright(gray, quads)
        letters = read([cut(gray, quad) for quad in quads])
        level = make_level(quads)
        found = [
            (text, quad, number)
            for number, (quad, line) in enumerate(zip(quads, letters, strict=True))
            for text, quad in _words(line, quad)
        ]
        places = [_place(level, quad) for _, quad, _ in found]
        corner = np.floor(np.min([place[:2] for place in places], axis=0)) - _EDGE if places else np.zeros(2)
        words = [
            Word("".join(letter.text for letter in text), _box(place, corner), _sure(text), None, number)
            for (text, _, number), place in zip(found, places, strict=True)
        ]
        return Leaf(tuple(words), tuple(_corners(quad) for _, quad, _ in found))


def _words(line: Sequence[Letter], quad: Quad) -> Iterator[tuple[list[Letter], Quad]]:
    """Yield the words of a line, each with the part of the quad that it fills."""
    word: list[Letter] = []
    for letter in (*line, Letter(" ", 1.0, 1.0, 1.0)):
        if letter.text != " ":
            word.append(letter)
        elif word:
            yield word, _part(quad, word[0].start, word[-1].stop)
            word = []


def _part(quad: Quad, start: float, stop: float) -> Quad:
    top, bottom = quad[1] - quad[0], quad[2] - quad[3]
    return np.stack(
        [quad[0] + top * start, quad[0] + top * stop, quad[3] + bottom * stop, quad[3] + bottom * start]
    ).astype(np.float32)


def _place(level: Level, quad: Quad) -> NDArray[np.float64]:
    """Return left, top, width and height of a word on the page."""
    first, last = level.page(along(quad, 0.0, 1.0))
    height = float(np.linalg.norm(quad[3] - quad[0])) * _INK
    return np.array([first[0], (first[1] + last[1] - height) / 2, last[0] - first[0], height])


def _box(place: NDArray[np.float64], corner: NDArray[np.float64]) -> Box:
    left, top = place[:2] - corner
    return int(left), int(top), max(1, round(float(place[2]))), max(1, round(float(place[3])))


def _sure(word: Sequence[Letter]) -> float:
    return min(letter.confidence for letter in word)


def _corners(quad: Quad) -> leaf.Quad:
    return tuple((float(across), float(down)) for across, down in quad)
