"""Strips of print to letters: a small network of our own reads one line at a time.

The network (``models/strips.onnx``) sees a strip 32 pixels high and says for every second column which
letter stands there, if any. It was trained on drawn lines of labels only; ``models/README.md`` tells how.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from shelfcheck.reading.photo import Gray

Quad = NDArray[np.float32]
"""Four corners of a line of print, 4 x 2: top left, top right, bottom right, bottom left as it is read."""

HEIGHT, STEP = 32, 2
THREADS = 2
_MODELS = Path(__file__).parent / "models"
_SIDE, _OVER = 0.10, 0.05
"""Paper around a line, as shares of its height: the soft edge of print lies outside the detector's box."""
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


def cut(gray: Gray, quad: Quad) -> Strip:
    """Cut the line with corners ``quad`` out of ``gray``."""
    top_left, top_right, bottom_right, bottom_left = quad
    length = (np.linalg.norm(top_right - top_left) + np.linalg.norm(bottom_right - bottom_left)) / 2
    height = (np.linalg.norm(bottom_left - top_left) + np.linalg.norm(bottom_right - top_right)) / 2
    along, down = (top_right - top_left) / max(length, 1), (bottom_left - top_left) / max(height, 1)
    side, over = _SIDE * height, _OVER * height
    corners = np.stack(
        [
            top_left - along * side - down * over,
            top_right + along * side - down * over,
            bottom_right + along * side + down * over,
            bottom_left - along * side + down * over,
        ]
    )
    width = int(np.clip(round((length + 2 * side) / (height + 2 * over) * HEIGHT), HEIGHT // 2, _LONGEST))
    # A tall line is cut larger and then averaged down, so that no stroke falls between two pixels.
    finer = max(1, round((height + 2 * over) / HEIGHT))
    target = np.array([[0, 0], [width, 0], [width, HEIGHT], [0, HEIGHT]], np.float32) * finer
    warp = cv2.getPerspectiveTransform(corners.astype(np.float32), target)
    strip = cv2.warpPerspective(
        gray, warp, (width * finer, HEIGHT * finer), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    if finer > 1:
        strip = cv2.resize(strip, (width, HEIGHT), interpolation=cv2.INTER_AREA)
    return Strip(np.asarray(strip, np.uint8), float(side / (length + 2 * side)))


def read(strips: Sequence[Strip]) -> list[tuple[Letter, ...]]:
    """Return the letters of each strip, from left to right."""
    return [_letters(steps, strip.margin) for steps, strip in zip(_steps(strips), strips, strict=True)]


def certainty(strips: Sequence[Strip]) -> float:
    """Return how sure the network is of what it sees, on the mean of all steps: near 0 is sure.

    Print that lies on its side or stands on its head makes it waver.
    """
    return float(np.mean([steps.max(axis=1).mean() for steps in _steps(strips)]))


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
        (found,) = _network().run(None, {"strip": batch})
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
def _network() -> Any:
    return session(_MODELS / "strips.onnx")


def session(model: Path) -> Any:
    """Return a model ready to run on a few threads."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = THREADS
    options.inter_op_num_threads = 1
    return onnxruntime.InferenceSession(str(model), options, providers=["CPUExecutionProvider"])


@cache
def _alphabet() -> str:
    return str(json.loads((_MODELS / "strips.json").read_text(encoding="utf-8"))["letters"])
