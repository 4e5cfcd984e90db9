"""The panel picture's text in pieces: marks of ink chained along their line and parted at wide gaps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from PIL import Image

from shelfcheck.panel import Box
from shelfcheck.reading.ink import find_marks
from shelfcheck.reading.page import bottom, middle, overlap_down, right, union
from shelfcheck.reading.photo import Gray

_GAP = 0.8
"""A gap wider than this share of the letters' height parts cells; a space is about 0.4 of it. Judgement."""
_OTHER_SIZE = 0.6
"""Small letters are about 0.72 of the capitals; what is lower than this is of another size. Judgement."""
_SMALL = 0.45
_SPECK = 4
_RING = 120
_THIN = 0.5


@dataclass(frozen=True, slots=True)
class Fraction:
    """A fraction in small figures on both sides of a stroke, as one sign or raised and lowered."""

    above: Box
    stroke: Box
    below: Box

    @property
    def box(self) -> Box:
        """The columns of all three and the rows of the stroke, which stands on the line as a letter does."""
        left, _, wide, _ = union((self.above, self.stroke, self.below))
        return left, self.stroke[1], wide, self.stroke[3]


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of text: its box, the height of its capitals, its letters from the left, all its marks."""

    box: Box
    letter: float
    letters: tuple[Box, ...] = ()
    marks: tuple[Box, ...] = ()
    fractions: tuple[Fraction, ...] = ()


@dataclass(slots=True)
class _Chain:
    """A line of letters being built from left to right."""

    boxes: list[Box] = field(default_factory=list)

    @property
    def end(self) -> Box:
        return union(self.boxes[-4:])


def find_segments(gray: Gray) -> list[Segment]:
    """Return the stretches of text on a panel picture without rules, from the top."""
    marks = find_marks(gray < 140)
    boxes = [
        (int(left), int(top), int(wide), int(high))
        for left, top, wide, high, area in zip(
            marks.left, marks.top, marks.width, marks.height, marks.area, strict=True
        )
        if area >= _SPECK and high < gray.shape[0] * 0.5
    ]
    if not boxes:
        return []
    usual = float(np.median([box[3] for box in boxes if box[3] >= 5] or [5]))
    fractions = {fraction.box: fraction for fraction in _fractions(gray, boxes, usual)}
    parts = {
        part for fraction in fractions.values() for part in (fraction.above, fraction.stroke, fraction.below)
    }
    letters = [box for box in boxes if box not in parts] + list(fractions)
    chains = _chained([box for box in letters if box[3] >= usual * _SMALL])
    _attach(chains, [box for box in letters if box[3] < usual * _SMALL])
    made = (_segment(chain.boxes, fractions) for chain in chains)
    return sorted(made, key=lambda segment: (segment.box[1], segment.box[0]))


def _segment(boxes: list[Box], fractions: dict[Box, Fraction]) -> Segment:
    letter = _letter_height(boxes)
    tall = sorted(box for box in boxes if box[3] >= _SMALL * letter * 0.8)
    own = tuple(fractions[box] for box in tall if box in fractions)
    return Segment(union(boxes), letter, tuple(tall), tuple(boxes), own)


def _fractions(gray: Gray, boxes: Sequence[Box], usual: float) -> Iterator[Fraction]:
    """Yield each thin stroke that has a small figure high on its left and another low on its right.

    A percent sign looks so too, but for its two rings.
    """
    left, top, wide, high = (np.array([box[side] for box in boxes]) for side in range(4))
    center, foot, half = left + wide / 2, top + high, top + high / 2
    strokes = np.nonzero((high >= usual) & (wide >= 0.25 * high) & (wide <= high))[0]
    for index in strokes.tolist():
        height, own = high[index], half[index]
        small = (high >= 0.3 * height) & (high <= 0.75 * height)
        before = small & (center < center[index]) & (center > left[index] - 0.8 * height)
        after = small & (center > center[index]) & (center < left[index] + wide[index] + 0.8 * height)
        above = before & (foot <= own + 0.2 * height) & (top >= top[index] - 0.35 * height)
        below = after & (top >= own - 0.2 * height) & (foot <= foot[index] + 0.5 * height)
        if above.any() and below.any() and _thin(gray, boxes[index]):
            one = boxes[int(np.nonzero(above)[0][np.argmax(center[above])])]
            other = boxes[int(np.nonzero(below)[0][np.argmin(center[below])])]
            if max(_hollow(gray, one), _hollow(gray, other)) < _RING:
                yield Fraction(one, boxes[index], other)


def _thin(gray: Gray, box: Box) -> bool:
    left, top, wide, high = box
    return bool((gray[top : top + high, left : left + wide] < 140).mean() < _THIN)


def _hollow(gray: Gray, box: Box) -> float:
    """Return how much lighter a mark's middle is than its sides: 200 for a ring, below 100 for 1 to 9."""
    left, top, wide, high = box
    cut = Image.fromarray(gray[top : top + high, left : left + wide]).resize(
        (12, 16), Image.Resampling.BILINEAR
    )
    shape = np.asarray(cut, dtype=np.float64)
    sides = (shape[4:12, :3].mean() + shape[4:12, -3:].mean()) / 2
    return float(shape[5:11, 4:8].mean() - sides)


def descends(segment: Segment, box: Box, text: str) -> bool | None:
    """Tell whether the last letter of ``text`` (at ``box``) reaches below the first: a g does, a 9 does not.

    Brackets around the text are left out. None when letters hang together or the heights say neither.
    """
    inside = [
        letter for letter in segment.letters if box[0] - 2 <= letter[0] and right(letter) <= right(box) + 3
    ]
    bare = text.strip(".,;:*'‘’")
    core = bare.strip("()[]")
    if len(inside) != len([letter for letter in bare if letter not in ".,%"]) or len(core) < 2:
        return None
    start = bare.index(core)
    letters = inside[start : len(inside) - (len(bare) - len(core) - start)]
    if len(letters) < 2:
        return None
    first, last = letters[0], letters[-1]
    lower, upper = bottom(last) - bottom(first), last[1] - first[1]
    if lower > 0.1 * segment.letter and upper > 0.08 * segment.letter:
        return True
    return False if abs(lower) < 0.08 * segment.letter and abs(upper) < 0.08 * segment.letter else None


def _chained(boxes: list[Box]) -> list[_Chain]:
    """Link each letter to the nearest chain that ends just left of it at the same height."""
    chains: list[_Chain] = []
    for box in sorted(boxes):
        best, least = None, 1e9
        for chain in chains:
            last = chain.boxes[-1]
            if box[0] - right(last) > 3 * max(box[3], last[3]):
                continue
            end = chain.end
            gap = box[0] - right(end)
            if gap <= _widest_space(chain.boxes, box) and overlap_down(end, box) >= 0.5 and gap < least:
                best, least = chain, gap
        if best is None:
            chains.append(_Chain([box]))
        else:
            best.boxes.append(box)
    return chains


def _widest_space(boxes: list[Box], box: Box) -> float:
    letter = max(_letter_height(boxes[-8:]), box[3] if len(boxes) < 3 else 0)
    return _GAP * (box[3] if box[3] < _OTHER_SIZE * letter else letter)


def _attach(chains: list[_Chain], small: list[Box]) -> None:
    """Add points, dots, hyphens and accents to the chain that they stand in or next to."""
    wholes = [(chain, union(chain.boxes), _letter_height(chain.boxes)) for chain in chains]
    for box in small:
        best, least = None, 1e9
        for chain, whole, letter in wholes:
            aside = max(whole[0] - right(box), box[0] - right(whole), 0)
            # What hovers between two lines is the accent of the lower one.
            beyond = max(whole[1] - bottom(box), 2 * (box[1] - bottom(whole)), 0)
            off = aside + beyond + abs(middle(whole) - middle(box)) / 100
            if aside <= 0.4 * letter and beyond <= 0.3 * letter and off < least:
                best, least = chain, off
        if best is not None:
            best.boxes.append(box)


def _letter_height(boxes: list[Box]) -> float:
    """Return the height of capitals and figures: the upper quartile of the letters' heights."""
    heights = sorted(box[3] for box in boxes)
    return float(heights[int(len(heights) * 0.75)])
