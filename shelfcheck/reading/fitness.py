"""What is wrong with a photo, in words that say what to do next. A photo that reads well is never measured.

How the limits were chosen: ``python -m tests.bench.photos fitness`` measures the photographs of the sets
"train" and "tune" as they are, and copies of some of them made worse step by step, with the share of fields
that is still read right. Each limit lies beyond the photographs as they were taken (those of the tier "hard"
included) and before most fields are lost; nothing was said of any of those 212 photographs.

    measure                     as taken   limit   made worse: right
    longer side / line's height      174     175   177: 93 %, 229: 83 %, 288: 63 %
    line's height, pixels             17       7   8: 95 %, 7: 82 %
    edge / line's height            0.14   0.145   0.14: 98 %, 0.36: 76 %, 0.49: 42 %
    level of paper                   115      40   39: 83 %, 22: 66 %, 15: 14 %
    contrast                          64      20   22: 83 %, 12: 53 %
    glare                           0.07    0.12   0.10: 86 %, 0.26: 78 %, 0.28: 67 %

As taken: the worst photograph (of glare one, which reads well, has 0.22). Made worse: the middle one of 20.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Literal

import numpy as np

from shelfcheck.panel import Doubt, Panel, Serving
from shelfcheck.reading.leaf import Leaf
from shelfcheck.reading.names import find_names, panel_words
from shelfcheck.reading.photo import Gray, Picture
from shelfcheck.reading.printed import Print, measure_print, sharpest_edge
from shelfcheck.reading.rows import Page
from shelfcheck.rules import nutrients

Cause = Literal[
    "too_dark", "blurred", "glare", "cut_off", "too_far", "other_table", "ingredients_only", "no_panel"
]

_UNSURE, _FEWEST_UNSURE = 0.25, 2
"""A photo is measured when this share of its fields, and so many, are not sure. Judgement."""
_DARK, _FAINT = 40.0, 20.0
_SOFT, _SOFT_EDGE, _SOFT_PICTURE = 0.145, 4.0, 3 / 1000
_SMALLEST, _FEWEST_PIXELS = 1 / 175, 7.0
_BRIGHT = 0.12
"""Measured, see above."""
_FEW_WORDS = 12
"""So few words may be no words at all: blur makes marks that read as letters. Judgement."""
_NEAR = 0.5
"""A line ends at the picture's edge when it is nearer than this share of its height. Judgement."""
_AT_THE_SIDE, _SHARE_AT_THE_SIDE, _SHARE_OF_ALL = 5, 1 / 3, 0.4
"""A panel runs out at a side where so many of its lines end, or such a share of all lines. Judgement."""
_SERVING = Serving._fields[:-1]
_FEWEST_NAMES, _NUMBERS, _LINES_AT_THE_SIDE = 3, 6, 3
"""A panel without its names shows so many amounts and percents, and so many lines that run out. Measured."""
_AMOUNT = re.compile(r"^<?\d+([.,]\d+)?\W*(%|g|mg|mcg)\W*$")


@dataclass(frozen=True, slots=True)
class Fitness:
    """What was measured; ``cut`` names the sides at which the panel's own lines end with the picture."""

    print: Print | None
    words: int
    longer_side: int
    brightest: float
    sharpest: float | None
    glare: float
    cut: tuple[str, ...]

    def cause(self) -> Cause | None:
        """Return what is wrong with the photo itself, or None."""
        found = None if self.words < _FEW_WORDS else self.print
        if (self.brightest if self.print is None else self.print.paper) < _DARK:
            return "too_dark"
        if found is None:
            soft = (self.sharpest or 0) > max(self.longer_side * _SOFT_PICTURE, _SOFT_EDGE)
            return "blurred" if soft else "cut_off" if self.cut else None
        if found.softness > _SOFT and found.edge > _SOFT_EDGE:
            return "blurred"
        if found.contrast < _FAINT or self.glare > _BRIGHT:
            return "glare"
        if self.cut:
            return "cut_off"
        small = found.small < max(self.longer_side * _SMALLEST, _FEWEST_PIXELS)
        return "too_far" if small else None


def measure(picture: Picture, leaf: Leaf, page: Page) -> Fitness:
    """Return the measures of a photo whose words are ``leaf`` and whose lines are ``page``."""
    gray, own, found = picture.gray, _own_segments(page), measure_print(picture.gray, leaf)
    return Fitness(
        found,
        len(leaf.words),
        max(gray.shape),
        float(np.percentile(gray[::8, ::8], 99)),
        sharpest_edge(gray) if len(leaf.words) < _FEW_WORDS else None,
        _glare(gray, leaf, own, found.paper) if found else 0.0,
        _cut(gray, leaf, page, own),
    )


def why_no_panel(picture: Picture, leaf: Leaf, page: Page) -> Cause:
    """Return why no panel was found, "no_panel" where nothing tells."""
    texts = [word.text for word in leaf.words]
    if _is_other_table(texts):
        return "other_table"
    fitness = measure(picture, leaf, page)
    named = {name.id for name in find_names(texts)}
    if "ingredients" in named and "title" not in named and not fitness.cut:
        return "ingredients_only"
    return fitness.cause() or "no_panel"


def with_photo_doubt(panel: Panel, picture: Picture, leaf: Leaf, page: Page) -> Panel:
    """Return the panel with the doubt of the whole photo, if many fields are not sure and the photo is why.

    Of a panel that is cut at its left or right nothing is sure: a figure may be the rest of a larger one, and
    an amount may stand beside another line's name.
    """
    absent = sum(doubt.code == "not_found" for doubt in panel.doubts)
    unsure = sum(declared.state != "sure" for declared in panel.nutrients.values()) + absent
    if unsure < max(_FEWEST_UNSURE, _UNSURE * (len(panel.nutrients) + absent)):
        return panel
    fitness = measure(picture, leaf, page)
    cause = fitness.cause()
    if cause == "cut_off" and {"left", "right"} & set(fitness.cut):
        panel = _all_to_check(panel)
    return panel if cause is None else panel.with_doubts((Doubt("photo", f"photo_{cause}"),))


def _all_to_check(panel: Panel) -> Panel:
    for path in (*(f"nutrients.{key}" for key in panel.nutrients), *(f"serving.{key}" for key in _SERVING)):
        panel = panel.marked(path)
    columns = {
        kind: {
            key: declared._replace(state="check") if declared.state == "sure" else declared
            for key, declared in column.items()
        }
        for kind, column in panel.columns.items()
    }
    return panel._replace(columns=columns)


def _own_segments(page: Page) -> set[int]:
    """Return the lines of print that a nutrient or its amounts stand in."""
    return {
        word.segment
        for line in page.lines
        if line.id in nutrients()
        for word in (*line.name, *(word for column in line.columns for word in column))
    }


def _glare(gray: Gray, leaf: Leaf, own: set[int], paper: float) -> float:
    """Return the share of the panel that is brighter than halfway from its paper to white."""
    quads = [quad for word, quad in zip(leaf.words, leaf.quads, strict=True) if word.segment in own]
    if len(quads) < _FEW_WORDS:
        return 0.0
    corners = np.array(quads)
    left, top = np.maximum(0, np.percentile(corners.min(axis=1), 5, axis=0)).astype(int)
    right, low = np.percentile(corners.max(axis=1), 95, axis=0).astype(int)
    return float((gray[top:low:2, left:right:2] > (paper + 255) / 2).mean())


def _cut(gray: Gray, leaf: Leaf, page: Page, own: set[int]) -> tuple[str, ...]:
    """Return the sides at which the panel runs out of the picture."""
    ends = _at_the_edges(gray, leaf)
    if len({line.id for line in page.lines if line.id in nutrients()}) < _FEWEST_NAMES:
        # Half a panel without its names: the amounts are there, and many lines run out.
        numbers = sum(_AMOUNT.match(word.text) is not None for word in leaf.words)
        return tuple(side for side in ends if numbers >= _NUMBERS and len(ends[side]) >= _LINES_AT_THE_SIDE)
    every = {word.segment for word in leaf.words}
    sides = [
        side
        for side in ("left", "right")
        if len(ends[side] & own) >= max(_AT_THE_SIDE, _SHARE_AT_THE_SIDE * len(own))
        or len(ends[side]) >= max(_AT_THE_SIDE, _SHARE_OF_ALL * len(every))
    ]
    headed = any(line.id == "title" for line in page.lines)
    sides += [side for side in ("top", "bottom") if ends[side] & own and not (headed and side == "top")]
    return tuple(sides)


def _at_the_edges(gray: Gray, leaf: Leaf) -> dict[str, set[int]]:
    """Return for each side of the picture the lines of print that end there."""
    high, wide = gray.shape
    ends: dict[str, set[int]] = {"left": set(), "right": set(), "top": set(), "bottom": set()}
    for word, quad in zip(leaf.words, leaf.quads, strict=True):
        across, down = ([corner[axis] for corner in quad] for axis in (0, 1))
        near = _NEAR * hypot(across[3] - across[0], down[3] - down[0])
        rooms = (min(across), wide - max(across), min(down), high - max(down))
        for side, room in zip(ends, rooms, strict=True):
            if room < near:
                ends[side].add(word.segment)
    return ends


def _is_other_table(texts: Sequence[str]) -> bool:
    """Tell whether amounts are in kilojoules or kilocalories, as in tables of other countries."""
    printed = " ".join(texts).lower()
    return sum(printed.count(sign) for sign in panel_words()["other_tables"]) > 1
