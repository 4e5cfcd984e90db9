"""Each figure held against its likes on the same panel, printed in one face: is this 7 not rather a 1?

This is evidence that no engine gives: it looks at shapes alone, and at all the panel's figures together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from shelfcheck.panel import Box
from shelfcheck.reading.page import Word, right
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.segments import Segment

_SIZE = (10, 14)
_AS_FIGURE = str.maketrans("OolI|", "00111")
_CLEARLY = 0.04
"""How much more alike another figure's print must be to cast doubt; likes correlate above 0.9. Judgement."""
_LONE = 0.85
"""What a figure that occurs once would be expected to share with another of its kind. Judgement."""
_WIDEST = 0.95
"""A figure wider than this share of its height is something else, such as a fraction. Judgement."""
_DOUBTED = 0.3


@dataclass(frozen=True, slots=True)
class _Figure:
    word: int
    at: int
    label: str
    box: Box


def with_likes(gray: Gray, segments: Sequence[Segment], words: Sequence[Word]) -> list[Word]:
    """Return the words; where a figure looks like another of the panel, the second reading says so."""
    figures = [figure for number, word in enumerate(words) for figure in _figures(number, word, segments)]
    out = list(words)
    for figure in figures:
        if figure.box[2] > _WIDEST * figure.box[3]:
            out[figure.word] = replace(out[figure.word], confidence=_DOUBTED)
    if len(figures) < 3:
        return out
    shapes = np.stack([_shape(gray, figure.box) for figure in figures])
    likeness = shapes @ shapes.T
    np.fill_diagonal(likeness, -1.0)
    labels = np.array([figure.label for figure in figures])
    for number, figure in enumerate(figures):
        same = likeness[number][labels == figure.label]
        other = likeness[number][labels != figure.label]
        if other.size and other.max() > (same.max(initial=-1.0) if same.size > 1 else _LONE) + _CLEARLY:
            rival = figures[int(np.nonzero(labels != figure.label)[0][int(other.argmax())])]
            word = out[figure.word]
            if word.also is None:
                said = word.text[: figure.at] + rival.label + word.text[figure.at + 1 :]
                out[figure.word] = replace(word, also=said)
    return out


def _figures(number: int, word: Word, segments: Sequence[Segment]) -> Iterator[_Figure]:
    """Yield the figures of a word whose letters stand apart, so that each letter is known by its place."""
    if word.segment < 0 or not any(letter.isdigit() for letter in word.text):
        return
    segment = segments[word.segment]
    if segment.fractions:
        return
    letters = [
        letter
        for letter in segment.letters
        if word.box[0] - 2 <= letter[0] and right(letter) <= right(word.box) + 3
    ]
    places = [at for at, letter in enumerate(word.text) if letter.isalnum() or letter in "()<"]
    if "%" in word.text or len(letters) != len(places):
        places = [
            at for at, letter in enumerate(word.text.split("%")[0]) if letter.isalnum() or letter in "()<"
        ]
        letters = letters[: len(places)] if "%" in word.text and len(letters) == len(places) + 3 else []
    for at, box in zip(places, letters, strict=False):
        label = word.text[at].translate(_AS_FIGURE)
        if label.isdigit():
            yield _Figure(number, at, label, box)


def _shape(gray: Gray, box: Box) -> NDArray[np.float64]:
    """Return a mark's shape as a vector of length 1 and mean 0; its width tells too, as the share of ink."""
    left, top, wide, high = box
    paper = np.full((high, max(wide, round(high * 0.8))), 255, np.uint8)
    start = (paper.shape[1] - wide) // 2
    paper[:, start : start + wide] = gray[top : top + high, left : left + wide]
    shape = np.asarray(
        Image.fromarray(paper).resize(_SIZE, Image.Resampling.BILINEAR), dtype=np.float64
    ).ravel()
    shape -= shape.mean()
    return shape / max(float(np.linalg.norm(shape)), 1e-9)
