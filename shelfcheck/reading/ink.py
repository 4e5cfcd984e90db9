"""What stands on a picture as ink: runs, connected marks and long rules. All masks are rows by columns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shelfcheck.reading.photo import Gray

Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]

_BLOCK = 32


@dataclass(frozen=True, slots=True)
class Runs:
    """Every unbroken stretch of ink along a row: ``start`` included, ``stop`` excluded."""

    row: Ints
    start: Ints
    stop: Ints

    @property
    def length(self) -> Ints:
        """How many columns each run covers."""
        return self.stop - self.start

    def only(self, keep: Mask) -> Runs:
        """Return the runs for which ``keep`` is true."""
        return Runs(self.row[keep], self.start[keep], self.stop[keep])

    def mask(self, shape: tuple[int, int]) -> Mask:
        """Draw the runs on an empty mask."""
        steps = np.zeros((shape[0], shape[1] + 1), np.int8)
        steps[self.row, self.start] = 1
        steps[self.row, self.stop] -= 1
        return np.cumsum(steps[:, :-1], axis=1, dtype=np.int8).astype(bool)


@dataclass(frozen=True, slots=True)
class Marks:
    """Connected marks of ink: one entry for each in every array; right and bottom are excluded."""

    left: Ints
    top: Ints
    right: Ints
    bottom: Ints
    area: Ints

    @property
    def width(self) -> Ints:
        """How many columns each mark spans."""
        return self.right - self.left

    @property
    def height(self) -> Ints:
        """How many rows each mark spans."""
        return self.bottom - self.top


def find_runs(mask: Mask) -> Runs:
    """Return every run of ink, row by row from the left."""
    padded = np.zeros((mask.shape[0], mask.shape[1] + 2), np.int8)
    padded[:, 1:-1] = mask
    steps = np.diff(padded, axis=1)
    row, start = np.nonzero(steps == 1)
    _, stop = np.nonzero(steps == -1)
    return Runs(row, start, stop)


def find_marks(mask: Mask) -> Marks:
    """Return the marks of ink that hang together, corners included.

    Runs that touch those of the next row are joined: the least number spreads through each mark.
    """
    runs = find_runs(mask)
    if not runs.row.size:
        return Marks(*(np.zeros(0, np.int64) for _ in range(5)))
    upper, lower = _touching(runs, mask.shape[1] + 2)
    label = np.arange(runs.row.size)
    while True:
        one, other = label[upper], label[lower]
        open_pairs = one != other
        if not open_pairs.any():
            break
        upper, lower, one, other = upper[open_pairs], lower[open_pairs], one[open_pairs], other[open_pairs]
        np.minimum.at(label, np.maximum(one, other), np.minimum(one, other))
        while (label != label[label]).any():
            label = label[label]
    _, mark = np.unique(label, return_inverse=True)
    return _gather(runs, mark)


def _touching(runs: Runs, width: int) -> tuple[Ints, Ints]:
    """Return the pairs of runs in neighbouring rows that touch."""
    below = (runs.row + 1) * width
    first = np.searchsorted(runs.row * width + runs.stop, below + runs.start)
    last = np.searchsorted(runs.row * width + runs.start, below + runs.stop, side="right")
    count = np.maximum(last - first, 0)
    upper = np.repeat(np.arange(runs.row.size), count)
    offset = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    return upper, np.repeat(first, count) + offset


def _gather(runs: Runs, mark: Ints) -> Marks:
    size = int(mark.max()) + 1
    left, top = np.full(size, np.iinfo(np.int64).max), np.full(size, np.iinfo(np.int64).max)
    right, bottom, area = (np.zeros(size, np.int64) for _ in range(3))
    np.minimum.at(left, mark, runs.start)
    np.minimum.at(top, mark, runs.row)
    np.maximum.at(right, mark, runs.stop)
    np.maximum.at(bottom, mark, runs.row + 1)
    np.add.at(area, mark, runs.length)
    return Marks(left, top, right, bottom, area)


def long_runs(mask: Mask, least: int) -> Mask:
    """Return the ink that is part of a run along its row of ``least`` columns or more."""
    runs = find_runs(mask)
    return runs.only(runs.length >= least).mask((mask.shape[0], mask.shape[1]))


def long_runs_down(mask: Mask, least: int) -> Mask:
    """Return the ink that is part of a run down its column of ``least`` rows or more."""
    return np.ascontiguousarray(long_runs(np.ascontiguousarray(mask.T), least).T)


def grown(mask: Mask, by: int = 1) -> Mask:
    """Return the mask with ``by`` pixels added on every side."""
    out = mask.copy()
    for _ in range(by):
        wide = out.copy()
        wide[:, 1:] |= out[:, :-1]
        wide[:, :-1] |= out[:, 1:]
        out = wide.copy()
        out[1:] |= wide[:-1]
        out[:-1] |= wide[1:]
    return out


def flattened(gray: Gray) -> Gray:
    """Return dark print on an even white ground: every pixel as a share of the paper around it.

    The paper is the 90th percentile of blocks, smoothed, so that shade and curl go and print stays.
    """
    rows, columns = (max(1, side // _BLOCK) for side in gray.shape)
    trimmed = gray[: rows * (gray.shape[0] // rows), : columns * (gray.shape[1] // columns)]
    blocks = trimmed.reshape(rows, gray.shape[0] // rows, columns, gray.shape[1] // columns)
    paper = np.percentile(blocks, 90, axis=(1, 3))
    paper = _widest(paper)
    ground = _stretched(paper, gray.shape)
    return np.clip(gray / np.maximum(ground, 1.0) * 255.0, 0, 255).astype(np.uint8)


def _widest(paper: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return each block's brightest neighbour, so that a block full of bar or big figures is no paper."""
    padded = np.pad(paper, 2, mode="edge")
    shifted = [padded[y : y + paper.shape[0], x : x + paper.shape[1]] for y in range(5) for x in range(5)]
    brightest: NDArray[np.float64] = np.percentile(np.stack(shifted), 80, axis=0)
    return brightest


def _stretched(small: NDArray[np.float64], shape: tuple[int, ...]) -> NDArray[np.float64]:
    """Return ``small`` drawn out to ``shape``, linear between the middles of its blocks."""
    out = small
    for axis in (0, 1):
        at = (np.arange(shape[axis]) + 0.5) * small.shape[axis] / shape[axis] - 0.5
        at = np.clip(at, 0, small.shape[axis] - 1)
        low = np.floor(at).astype(int)
        high = np.minimum(low + 1, small.shape[axis] - 1)
        share = (at - low).reshape((-1, 1) if axis == 0 else (1, -1))
        out = np.take(out, low, axis) * (1 - share) + np.take(out, high, axis) * share
    return out


def otsu(gray: Gray) -> int:
    """Return the grey that best parts the dark from the light (Otsu, 1979)."""
    counts = np.bincount(gray.ravel(), minlength=256).astype(np.float64)
    below = np.cumsum(counts)
    weight = below * (below[-1] - below)
    mean = np.cumsum(counts * np.arange(256))
    with np.errstate(divide="ignore", invalid="ignore"):
        between = (mean[-1] * below / below[-1] - mean) ** 2 / weight
    return int(np.nanargmax(between)) if np.isfinite(between).any() else 127
