"""Picture to panel picture: where the panel is, dark print on white, its rules and bars taken out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageFilter

from shelfcheck.panel import Box
from shelfcheck.reading.ink import (
    Marks,
    Mask,
    find_marks,
    find_runs,
    flattened,
    grown,
    long_runs,
    long_runs_down,
    otsu,
)
from shelfcheck.reading.photo import Gray, Picture

_CONTRAST = 20
_BLUR = 12
_RULE_SHARE = 0.09
"""A rule is longer than this share of the panel's width; the title's letters stay below. Judgement."""
_SIDE = 0.85
_FRAME = (0.25, 0.04)
"""A panel is at least this share of the picture's width and height. Judgement."""


@dataclass(frozen=True, slots=True)
class Located:
    """The panel on the picture: ``gray`` is dark print on white without rules, ``box`` where it stood.

    ``rules`` are the boxes of what was erased, on ``gray``; ``reversed`` tells of light print on dark.
    """

    gray: Gray
    box: Box
    rules: tuple[Box, ...] = ()
    reversed: bool = False
    framed: bool = False

    def to_picture(self, box: Box) -> Box:
        """Return a box of the panel picture on the picture it was cut from."""
        return box[0] + self.box[0], box[1] + self.box[1], box[2], box[3]


def locate(picture: Picture) -> Located:
    """Find the panel by its frame, or else take the whole picture, and prepare it for reading."""
    frame = _frame(picture.gray)
    height, width = picture.gray.shape
    box = frame or (0, 0, width, height)
    cut = picture.gray[box[1] : box[1] + box[3], box[0] : box[0] + box[2]]
    reverse = bool((cut < otsu(cut)).mean() > 0.5)
    even = flattened(255 - cut if reverse else cut)
    gray, rules = _without_rules(even)
    return Located(gray, box, rules, reverse, framed=frame is not None)


def _frame(gray: Gray) -> Box | None:
    """Return the smallest frame that holds most of the rules, of either polarity."""
    blurred = np.asarray(Image.fromarray(gray).filter(ImageFilter.BoxBlur(_BLUR)), dtype=np.int16)
    height, width = gray.shape
    least_width, least_height = width * _FRAME[0], height * _FRAME[1]
    found: list[tuple[int, int, Box]] = []
    for sign in (1, -1):
        mask = (blurred - gray.astype(np.int16)) * sign > _CONTRAST
        rules = long_runs(mask, round(least_width * 0.3))
        sides = long_runs_down(mask, round(max(least_height, 30)))
        for box in _framed(find_marks(rules | sides), rules, sides, (least_width, least_height)):
            left, top, wide, high = box
            inside = rules[top + 4 : top + high - 4, left + 4 : left + wide - 4]
            found.append((int((inside.mean(axis=1) > 0.3).sum()) if inside.size else 0, wide * high, box))
    if not found:
        return None
    most = max(count for count, _, _ in found)
    return min((area, box) for count, area, box in found if count >= most * 0.6)[1]


def _framed(marks: Marks, rules: Mask, sides: Mask, least: tuple[float, float]) -> Iterator[Box]:
    """Yield the box of each mark that is closed by lines on all four sides."""
    for index in np.nonzero((marks.width >= least[0]) & (marks.height >= least[1]))[0]:
        left, top, right, bottom = (
            int(side[index]) for side in (marks.left, marks.top, marks.right, marks.bottom)
        )
        edges = (
            rules[top : top + 4, left:right].any(axis=0).mean(),
            rules[bottom - 4 : bottom, left:right].any(axis=0).mean(),
            sides[top:bottom, left : left + 4].any(axis=1).mean(),
            sides[top:bottom, right - 4 : right].any(axis=1).mean(),
        )
        if min(edges) >= _SIDE:
            yield left, top, right - left, bottom - top


def _without_rules(gray: Gray) -> tuple[Gray, tuple[Box, ...]]:
    """Return the panel with rules, bars and frame painted white, and where they were."""
    height, width = gray.shape
    ink = gray < 128
    runs = find_runs(ink)
    lines = runs.only(runs.length >= width * _RULE_SHARE).mask((height, width))
    # Dividers between columns are thin as well as long, a big title's stems are not. Rules cross them.
    thin = runs.only(runs.length <= max(3, width // 200)).mask((height, width))
    lines |= long_runs_down(thin | lines, round(max(height * 0.05, width * 0.06))) & thin
    marks = find_marks(lines)
    boxes = tuple(
        (int(left), int(top), int(right - left), int(bottom - top))
        for left, top, right, bottom in zip(marks.left, marks.top, marks.right, marks.bottom, strict=True)
    )
    clean = gray.copy()
    clean[grown(lines, 2)] = 255
    return clean, boxes
