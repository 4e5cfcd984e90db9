"""Strips of print to letters: a small network of our own reads one line at a time.

The network (``models/strips.onnx``) sees a strip 32 pixels high and says for every second column which
letter stands there, if any. It was trained on drawn lines of labels only; ``models/README.md`` tells how.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from shelfcheck.reading.nets import MODELS, network
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.strokes import Strokes

HEIGHT, STEP = 32, 2
_PRINT, _SIDE = 0.60, 0.10
"""The share of a strip's height that print takes, and the paper at each end, as the network was taught."""
_SKIPS = 1.3
_LEVELS = 5
_LONGEST = 1600
_BATCH = 12


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter of a strip; ``start`` and ``stop`` from 0 to 1 along the line, ``confidence`` likewise."""

    text: str
    start: float
    stop: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Strip:
    """A line cut out of a picture, upright, ``HEIGHT`` pixels high, with ``margin`` of paper at each end."""

    gray: Gray
    margin: float


def cut(gray: Gray, strokes: Strokes) -> list[Strip]:
    """Cut every stroke out of ``gray``, straightened."""
    if not len(strokes):
        return []
    levels = [gray]
    while min(levels[-1].shape) > 2 * HEIGHT and len(levels) < _LEVELS:
        half = cv2.resize(levels[-1], None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        levels.append(np.asarray(half, np.uint8))
    return [_cut(levels, strokes.only(np.array([number]))) for number in range(len(strokes))]


def _cut(levels: list[Gray], stroke: Strokes) -> Strip:
    """Cut one stroke out of the picture, or out of a halved one when its print is large."""
    start, stop = stroke.ends[0]
    tall = max(1.0, float(stroke.tall[0, 0])) / _PRINT
    side = _SIDE * tall
    width = int(np.clip(round((stop - start + 2 * side) / tall * HEIGHT), HEIGHT // 2, _LONGEST))
    level = int(np.clip(np.floor(np.log2(max(tall / HEIGHT, 1.0))), 0, len(levels) - 1))
    # Print between two levels is cut at twice the size and averaged, so that no stroke falls between pixels.
    finer = 2 if tall / 2**level > _SKIPS * HEIGHT else 1
    columns, rows = ((np.arange(n * finer) + 0.5) / (n * finer) for n in (width, HEIGHT))
    t = (start - side + columns * (stop - start + 2 * side))[None]
    top, foot = (stroke.points(t, across)[0] for across in (-0.5 / _PRINT, 0.5 / _PRINT))
    place = ((top[None] + (foot - top)[None] * rows[:, None, None] + 0.5) / 2**level - 0.5).astype(np.float32)
    strip = cv2.remap(
        levels[level], place[..., 0], place[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    if finer > 1:
        strip = cv2.resize(strip, (width, HEIGHT), interpolation=cv2.INTER_AREA)
    return Strip(np.asarray(strip, np.uint8), float(side / (stop - start + 2 * side)))


def read(strips: Sequence[Strip]) -> list[tuple[Letter, ...]]:
    """Return the letters of each strip, from left to right."""
    return [_letters(steps, strip.margin) for steps, strip in zip(_steps(strips), strips, strict=True)]


def _steps(strips: Sequence[Strip]) -> list[NDArray[np.float32]]:
    """Return the log probabilities of each strip, steps x letters; strips of like length go together."""
    order = sorted(range(len(strips)), key=lambda number: strips[number].gray.shape[1])
    out: list[NDArray[np.float32]] = [np.empty((0, 0), np.float32)] * len(strips)
    for start in range(0, len(order), _BATCH):
        numbers = order[start : start + _BATCH]
        widest = -(-max(strips[number].gray.shape[1] for number in numbers) // 16) * 16
        batch = np.zeros((len(numbers), 1, HEIGHT, widest), np.float32)
        for row, number in enumerate(numbers):
            gray = strips[number].gray.astype(np.float32) / 255
            batch[row, 0, :, : gray.shape[1]] = (gray - gray.mean()) / (gray.std() + 1e-3)
        (found,) = network("strips").run(None, {"strip": batch})
        for row, number in enumerate(numbers):
            out[number] = found[row, : max(1, strips[number].gray.shape[1] // STEP)]
    return out


def _letters(steps: NDArray[np.float32], margin: float) -> tuple[Letter, ...]:
    """Return the likeliest letter of each run of steps (greedy CTC: the same letter twice needs a gap)."""
    best = steps.argmax(axis=1)
    sure = np.exp(steps.max(axis=1))
    letters, at, inner = [], 0, max(1e-6, 1 - 2 * margin)
    while at < len(best):
        end = at + 1
        while end < len(best) and best[end] == best[at]:
            end += 1
        if best[at]:
            start, stop = (((step / len(best)) - margin) / inner for step in (at, end))
            place = min(max(start, 0.0), 1.0), min(max(stop, 0.0), 1.0)
            letters.append(Letter(_alphabet()[best[at] - 1], *place, float(sure[at:end].max())))
        at = end
    return tuple(letters)


@cache
def _alphabet() -> str:
    return str(json.loads((MODELS / "strips.json").read_text(encoding="utf-8"))["letters"])
