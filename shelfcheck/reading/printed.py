"""Measures of the print on a picture: how high, how soft, how bright its paper, how far it stands out."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist

import numpy as np
from numpy.typing import NDArray

from shelfcheck.reading.leaf import Leaf, Quad
from shelfcheck.reading.photo import Gray

Patch = NDArray[np.float32]

_MOST = 60
"""Words measured: those with the most letters, since a dot tells little."""
_FEWEST = 3
_LEAST_CONTRAST = 4.0
_WAYS = ((1.0, 0.0), (0.0, 1.0), (0.71, 0.71), (0.71, -0.71))
"""Ways across an edge. A moved camera softens the edges of one way only, so the softest counts."""
_TILES, _TOLD = 24, 40
"""A picture's longer side in tiles, and how many of them, those with most contrast, are looked at."""
_TELLING = 25.0


@dataclass(frozen=True, slots=True)
class Print:
    """The middle word's print in pixels and levels of 0 to 255; ``small`` bounds the smallest quarter."""

    height: float
    small: float
    edge: float
    paper: float
    contrast: float

    @property
    def softness(self) -> float:
        """The width of an edge as a share of the height."""
        return self.edge / max(1.0, self.height)


def measure_print(gray: Gray, leaf: Leaf) -> Print | None:
    """Return the measures of the words on ``gray``; None when too few of them stand out from their paper."""
    order = sorted(range(len(leaf.words)), key=lambda number: -len(leaf.words[number].text))[:_MOST]
    rows = []
    for quad in (leaf.quads[number] for number in order):
        patch = around(gray, quad)
        contrast, paper = _levels(patch)
        if min(patch.shape) > _FEWEST and contrast >= _LEAST_CONTRAST:
            height = (dist(quad[0], quad[3]) + dist(quad[1], quad[2])) / 2
            rows.append((height, edge_width(patch), paper, contrast))
    if len(rows) < _FEWEST:
        return None
    height, edge, paper, contrast = (float(middle) for middle in np.median(rows, axis=0))
    return Print(height, float(np.percentile([row[0] for row in rows], 25)), edge, paper, contrast)


def around(gray: Gray, quad: Quad) -> Patch:
    """Return the upright part of the picture around a quad."""
    corners = np.array(quad)
    left, top = np.maximum(0, corners.min(axis=0).astype(int) - 1)
    far, low = corners.max(axis=0).astype(int) + 2
    return gray[top:low, left:far].astype(np.float32)


def edge_width(patch: Patch) -> float:
    """Return how many pixels the patch's edges take from ink to paper, in the way in which they take most."""
    contrast, _ = _levels(patch)
    down, across = np.gradient(patch)
    steepest = min(float(np.percentile(np.abs(across * x + down * y), 98)) for x, y in _WAYS)
    return contrast / max(steepest, 1e-3)


def sharpest_edge(gray: Gray) -> float | None:
    """Return how many pixels wide the sharpest edges anywhere are.

    None for a picture without clear edges, such as a wall.
    """
    side = max(16, max(gray.shape) // _TILES)
    places = [
        (across, down)
        for down in range(0, gray.shape[0] - side + 1, side)
        for across in range(0, gray.shape[1] - side + 1, side)
    ]
    tiles = [gray[down : down + side, across : across + side].astype(np.float32) for across, down in places]
    contrasts = [_levels(tile[::4, ::4])[0] for tile in tiles]
    best = np.argsort(contrasts)[::-1][:_TOLD]
    widths = [edge_width(tiles[number]) for number in best if contrasts[number] >= _TELLING]
    return float(np.percentile(widths, 15)) if widths else None


def _levels(patch: Patch) -> tuple[float, float]:
    """Return the contrast of a patch and the level of its brighter part."""
    if not patch.size:
        return 0.0, 0.0
    dark, bright = np.percentile(patch, (5, 95))
    return float(bright - dark), float(bright)
