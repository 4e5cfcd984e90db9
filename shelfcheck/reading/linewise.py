"""Photo to words by networks: find the lines of print, read each, and lay the words on a level page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from shelfcheck.numbers import FRACTION_SIGNS
from shelfcheck.panel import Box
from shelfcheck.reading.detect import Scope, find_print
from shelfcheck.reading.leaf import Leaf
from shelfcheck.reading.level import Level, make_level
from shelfcheck.reading.looks import from_the_number, under_the_title, with_fractions
from shelfcheck.reading.page import Word
from shelfcheck.reading.photo import Picture
from shelfcheck.reading.strips import Letter, cut, read
from shelfcheck.reading.strokes import Floats, Strokes

_FEWEST = 3
_EDGE = 8
_GUESS = 0.1
_STRICT_FRACTIONS, _STRICT, _STRICT_LETTERS = 6.5, 2.5, 1.3
"""The network's probabilities are high: where it says 0.9 it is wrong more often than one time in ten.
Most so in fractions, whose figures are half as high as others."""
_SHORT = 3.0
"""A stroke this many times longer than high, or less, runs as the print around it does: its own few cells
tell less. Judgement."""
_CHORD, _MOST_CHORDS = 6.0, 5
"""A bent stroke tells the slope of the page in parts this many times longer than high."""


@dataclass(frozen=True, slots=True)
class Networks:
    """Finds the lines of print with one network, reads each with another, and makes the page level."""

    name: str = field(default="networks", init=False)

    def read(self, picture: Picture) -> Leaf:
        """Return the words on the picture; none where there are fewer than three lines of print."""
        return self._read(picture, find_print(picture.gray))

    def read_wider(self, picture: Picture) -> Iterator[Leaf]:
        """Yield the words around the panel, whether they seem to be of it or not, then all on the picture."""
        scopes: tuple[Scope, ...] = ("around", "picture")
        for scope in scopes:
            yield self._read(picture, find_print(picture.gray, scope))

    def _read(self, picture: Picture, strokes: Strokes) -> Leaf:
        if len(strokes) < _FEWEST:
            return Leaf()
        level = _level_of(strokes)
        strokes = strokes.led(level.along(strokes.origin), strokes.short(_SHORT))
        lines = read(cut(picture.gray, strokes))
        strokes, lines = under_the_title(picture.gray, strokes, lines)
        strokes, lines = from_the_number(picture.gray, strokes, lines)
        lines = with_fractions(picture.gray, strokes, lines)
        told = [
            (number, word) for number, line in enumerate(lines) for word in _words(line) if _legible(word)
        ]
        if not told:
            return Leaf()
        owner = np.array([number for number, _ in told])
        parts = np.array([(word[0].start, word[-1].stop) for _, word in told])
        quads = strokes.only(owner).quads(parts)
        places = _places(level, quads)
        corner = np.floor(places[:, :2].min(axis=0)) - _EDGE
        words = tuple(
            Word("".join(letter.text for letter in word), _box(place, corner), _sure(word), None, number)
            for (number, word), place in zip(told, places, strict=True)
        )
        corners = tuple(tuple((float(x), float(y)) for x, y in quad) for quad in quads)
        return Leaf(words, corners)


def _words(line: Sequence[Letter]) -> Iterator[list[Letter]]:
    """Yield the words of a line."""
    word: list[Letter] = []
    for letter in (*line, Letter(" ", 1.0, 1.0, 1.0)):
        if letter.text != " ":
            word.append(letter)
        elif word:
            yield word
            word = []


def _level_of(strokes: Strokes) -> Level:
    """Return the map to the level page by the chords of all strokes."""
    length = strokes.ends[:, 1] - strokes.ends[:, 0]
    count = np.clip(length / np.maximum(strokes.tall[:, 0], 1) / _CHORD, 1, _MOST_CHORDS).astype(int)
    owner = np.repeat(np.arange(len(strokes)), count)
    first = np.concatenate([np.arange(n) / n for n in count])
    parts = np.stack([first, first + 1 / count[owner]], axis=-1)
    own = strokes.only(owner)
    t = own.ends[:, :1] + (own.ends[:, 1:] - own.ends[:, :1]) * parts
    return make_level(own.points(t), own.tall[:, 0])


def _places(level: Level, quads: Floats) -> Floats:
    """Return left, top, width and height of each word on the page."""
    ends = level.page(np.stack([quads[:, [0, 3]].mean(axis=1), quads[:, [1, 2]].mean(axis=1)], axis=1))
    height = (
        np.linalg.norm(quads[:, 3] - quads[:, 0], axis=1) + np.linalg.norm(quads[:, 2] - quads[:, 1], axis=1)
    ) / 2
    return np.stack(
        [ends[:, 0, 0], (ends[:, 0, 1] + ends[:, 1, 1] - height) / 2, ends[:, 1, 0] - ends[:, 0, 0], height],
        axis=-1,
    )


def _box(place: NDArray[np.float64], corner: NDArray[np.float64]) -> Box:
    left, top = place[:2] - corner
    return int(left), int(top), max(1, round(float(place[2]))), max(1, round(float(place[3])))


def _legible(word: Sequence[Letter]) -> bool:
    """Tell whether a word is more than a guess; a number is kept for a person to look at."""
    return any(letter.text.isdigit() for letter in word) or _sure(word) > _GUESS


def _strictness(letter: str) -> float:
    if letter in FRACTION_SIGNS:
        return _STRICT_FRACTIONS
    return _STRICT if letter.isdigit() else _STRICT_LETTERS


def _sure(word: Sequence[Letter]) -> float:
    """Return how sure a word is, by its least sure letter, on the scale that reconciling expects."""
    strict = max(_strictness(letter.text) for letter in word)
    marks = set(".,;:*()'’•-")
    told = [letter.confidence for letter in word if letter.text not in marks]
    doubt = 1 - min(told or [letter.confidence for letter in word])
    return max(0.0, 1 - strict * doubt)
