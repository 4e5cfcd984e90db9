"""Photo to words by networks: find the lines of print, read each, and lay the words on a level page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shelfcheck.panel import Box
from shelfcheck.reading.detect import find_print, upright
from shelfcheck.reading.level import Level, along, make_level
from shelfcheck.reading.page import Word
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.strips import Letter, Quad, cut, read

_FEWEST = 3
_INK = 0.82
"""A quad is a little higher than the letters in it; this share of its height is print."""
_EDGE = 8


@dataclass(frozen=True, slots=True)
class Leaf:
    """The words of a photo on a level page, and for each of them its quad on the photo."""

    words: tuple[Word, ...]
    quads: tuple[Quad, ...]

    def on_photo(self, box: Box) -> Box:
        """Return the box on the photo around the words that stand in ``box`` on the page."""
        inside = [quad for word, quad in zip(self.words, self.quads, strict=True) if _meets(word.box, box)]
        if not inside:
            return box
        corners = np.concatenate(inside)
        left, top = corners.min(axis=0)
        right, bottom = corners.max(axis=0)
        return int(left), int(top), int(np.ceil(right - left)), int(np.ceil(bottom - top))


def read_lines(gray: Gray) -> Leaf:
    """Return the words on a photo; none where there are fewer than three lines of print."""
    quads = find_print(gray)
    if len(quads) < _FEWEST:
        return Leaf((), ())
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
    return Leaf(tuple(words), tuple(quad for _, quad, _ in found))


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


def _meets(one: Box, other: Box) -> bool:
    return (
        one[0] < other[0] + other[2]
        and other[0] < one[0] + one[2]
        and one[1] < other[1] + other[3]
        and other[1] < one[1] + one[3]
    )
