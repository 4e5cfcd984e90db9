"""Words that ran together, parted: "Fat/Grasa", "0%0.7mcg", "(56g),Amount", "sizelTamaño"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache

from shelfcheck.reading.names import panel_words, plain
from shelfcheck.reading.page import Word
from shelfcheck.rules import nutrients

_JOINT = re.compile(
    r"(?<=[^\W\d_]/)(?=[^\W_]|%)|(?<=[*.]/)(?=[^\W_]|%)|(?<=[,;)])(?=[^\W\d_]{2})|(?<=%)(?=[\d<])"
)
"""After a stroke between words, after a comma or bracket before a word, after a percent before a number."""
_STROKES = frozenset("fltjI1|i!/")
"""What a stroke between two words is read as. Seen."""
_SHORTEST = 3
_FIGURES = re.compile(r"(?<=[^\W\d_]{3})<?\d")


def parted(words: Sequence[Word]) -> list[Word]:
    """Return the words with each that holds several as several, each with its share of the box.

    A stroke stays with its left side, so that the line can be said as it was printed.
    """
    out = []
    for word in words:
        parts = _parts(word.text)
        again = _parts(word.also) if word.also is not None else parts
        left, top, wide, high = word.box
        each = wide / max(1, sum(map(len, parts)))
        at = 0
        for number, text in enumerate(parts):
            box = (round(left + at * each), top, max(1, round(len(text) * each)), high)
            # Where the second look saw other parts, each part differs from what it saw.
            also = again[number] if len(again) == len(parts) else word.also
            out.append(
                replace(word, text=text, box=box, also=None if also in (text, text.rstrip("/")) else also)
            )
            at += len(text)
    return out


@lru_cache(maxsize=4096)
def _parts(text: str) -> tuple[str, ...]:
    return tuple(part for piece in _JOINT.split(text) for part in _by_vocabulary(piece))


def _by_vocabulary(text: str) -> tuple[str, ...]:
    """Return "Calories120" and "sizelTamaño" as two: a panel's words without the space or stroke between."""
    figures = _FIGURES.search(text)
    if figures and plain(text[: figures.start()]) in _vocabulary():
        return text[: figures.start()], text[figures.start() :]
    for at in range(_SHORTEST, len(text) - _SHORTEST):
        if (
            text[at] in _STROKES
            and plain(text[:at]) in _vocabulary()
            and plain(text[at + 1 :]) in _vocabulary()
        ):
            return f"{text[:at]}/", text[at + 1 :]
    return (text,)


@cache
def _vocabulary() -> frozenset[str]:
    """Return every word that a panel's names are made of, in plain letters."""
    names = [name for nutrient in nutrients().values() for group in nutrient.names.values() for name in group]
    for table in ("phrases", "units"):
        names += [name for group in panel_words()[table].values() for name in group]
    return frozenset(plain(word) for name in names for word in name.split() if len(word) >= _SHORTEST)
