"""Words on a page: text with a box and a confidence, and the few things one asks of boxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from shelfcheck.panel import Box


@dataclass(frozen=True, slots=True)
class Word:
    """Text as an engine read it; ``box`` on the panel picture, ``confidence`` from 0 to 1.

    ``descends`` tells whether the last letter reaches below the line, as g does and 9 does not.
    ``also`` is what a second look read instead, where the two looks differ.
    ``segment`` numbers the stretch of print that the word stands in; -1 if the engine found it itself.
    """

    text: str
    box: Box
    confidence: float
    descends: bool | None = None
    segment: int = -1
    also: str | None = None


def second_look(words: Sequence[Word]) -> tuple[Word, ...]:
    """Return the words as the second look read them."""
    return tuple(word if word.also is None else replace(word, text=word.also) for word in words)


def union(boxes: Iterable[Box]) -> Box:
    """Return the smallest box around ``boxes``, of which there must be one at least."""
    all_boxes = list(boxes)
    left = min(box[0] for box in all_boxes)
    top = min(box[1] for box in all_boxes)
    right = max(box[0] + box[2] for box in all_boxes)
    bottom = max(box[1] + box[3] for box in all_boxes)
    return left, top, right - left, bottom - top


def right(box: Box) -> int:
    """Return the column just past the box."""
    return box[0] + box[2]


def bottom(box: Box) -> int:
    """Return the row just below the box."""
    return box[1] + box[3]


def middle(box: Box) -> float:
    """Return the height at which the box's middle stands."""
    return box[1] + box[3] / 2


def overlap_down(one: Box, other: Box) -> float:
    """Return how much of the lower of two boxes stands beside the other, from 0 to 1."""
    shared = min(bottom(one), bottom(other)) - max(one[1], other[1])
    return max(0.0, shared / max(1, min(one[3], other[3])))


def overlap_across(one: Box, other: Box) -> float:
    """Return how much of the narrower of two boxes stands over or under the other, from 0 to 1."""
    shared = min(right(one), right(other)) - max(one[0], other[0])
    return max(0.0, shared / max(1, min(one[2], other[2])))
