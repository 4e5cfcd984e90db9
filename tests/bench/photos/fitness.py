"""What photographs measure as they were taken and when made worse, and what is said of them.

The limits in ``shelfcheck/reading/fitness.py`` come from this table.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median

import cv2
import numpy as np
from numpy.typing import NDArray

from shelfcheck.errors import NotAPanelError
from shelfcheck.reading import engine_for
from shelfcheck.reading.fitness import Fitness, measure
from shelfcheck.reading.photo import Picture, decode
from shelfcheck.reading.reader import read_picture
from shelfcheck.reading.rows import find_lines
from tests.bench.photos.score import score
from tests.bench.photos.store import Kept

Gray = NDArray[np.uint8]
EVERY = 4
"""Only each fourth photograph is made worse, to save time."""


def _far(gray: Gray, share: float) -> Gray:
    """Return the picture smaller on a plain ground, as seen from further away."""
    out = np.full_like(gray, int(np.median(gray)))
    small = _fewer(gray, share)
    top, left = (gray.shape[0] - small.shape[0]) // 2, (gray.shape[1] - small.shape[1]) // 2
    out[top : top + small.shape[0], left : left + small.shape[1]] = small
    return out


def _fewer(gray: Gray, share: float) -> Gray:
    return np.asarray(cv2.resize(gray, None, fx=share, fy=share, interpolation=cv2.INTER_AREA), np.uint8)


def _soft(gray: Gray, sigma: float) -> Gray:
    return np.asarray(cv2.GaussianBlur(gray, (0, 0), sigma), np.uint8)


def _moved(gray: Gray, pixels: float) -> Gray:
    size = int(pixels)
    path = np.zeros((size, size), np.float32)
    for at in np.linspace(-1, 1, 4 * size) * (size // 2):
        path[round(size // 2 + at * np.sin(0.4)), round(size // 2 + at * np.cos(0.4))] = 1
    return np.asarray(cv2.filter2D(gray, -1, path / path.sum()), np.uint8)


def _dark(gray: Gray, share: float) -> Gray:
    grain = np.random.default_rng(7).normal(0, 3, gray.shape)
    return np.clip(gray * share + grain, 0, 255).astype(np.uint8)


def _veiled(gray: Gray, share: float) -> Gray:
    return np.clip(gray * (1 - share) + 245 * share, 0, 255).astype(np.uint8)


def _dazzled(gray: Gray, size: float) -> Gray:
    """Return the picture with a bright spot of this size in its middle."""
    down, across = np.mgrid[: gray.shape[0], : gray.shape[1]]
    far = np.hypot(across / gray.shape[1] - 0.5, down / gray.shape[0] - 0.5) / size
    veil = 1 / (1 + far**6)
    return np.clip(gray * (1 - veil) + 255 * veil, 0, 255).astype(np.uint8)


def _cut_right(gray: Gray, share: float) -> Gray:
    return np.ascontiguousarray(gray[:, : round(gray.shape[1] * share)])


WORSE: dict[str, tuple[Callable[[Gray, float], Gray], tuple[float, ...]]] = {
    "as taken": (lambda gray, _: gray, (1.0,)),
    "far, share of the size": (_far, (0.7, 0.5, 0.4, 0.3)),
    "fewer pixels, share": (_fewer, (0.5, 0.33, 0.25, 0.2)),
    "soft, sigma": (_soft, (2, 3, 4, 5, 7, 10)),
    "moved, pixels": (_moved, (9, 15, 21, 31, 45)),
    "dark, share": (_dark, (0.4, 0.2, 0.1, 0.05, 0.025)),
    "veiled, share": (_veiled, (0.5, 0.7, 0.85, 0.93)),
    "bright spot, share": (_dazzled, (0.1, 0.15, 0.2)),
    "right cut off at": (_cut_right, (0.7, 0.5)),
}


@dataclass(frozen=True, slots=True)
class Seen:
    """What one picture measures, the share of its printed fields that is right, and what is said of it."""

    fitness: Fitness
    right: float
    said: str


def see(kept: Kept, gray: Gray) -> Seen:
    """Measure and read one picture, which shows what ``kept`` shows."""
    picture, engine, truth = Picture(gray), engine_for(), kept.truth()
    try:
        reading = read_picture(picture, engine)
    except NotAPanelError as error:
        leaf = engine.read(picture)
        return Seen(measure(picture, leaf, find_lines(leaf.words)), 0.0, f"no panel: {error.reason}")
    outcomes = Counter(score(reading.panel, truth).values()) if truth.get("panel") else Counter()
    printed = sum(outcomes.values()) - outcomes["absent"]
    said = [doubt.code for doubt in reading.panel.doubts if doubt.field == "photo"]
    fitness = measure(picture, reading.leaf, reading.page)
    return Seen(fitness, outcomes["exact"] / max(1, printed), said[0] if said else "nothing")


def lines(photos: Sequence[Kept]) -> Iterator[str]:
    """Yield the table, a line for each way and step; least, middle and most of each measure."""
    heads = ("side/height", "height", "softness", "paper", "contrast")
    yield f"{'':<30} {'n':>4} right  {'  '.join(f'{head:^14}' for head in heads)}  glare  said"
    whole = [kept for kept in photos if kept.truth().get("panel")]
    for way, (worsen, steps) in WORSE.items():
        for step in steps:
            some = photos if way == "as taken" else whole[::EVERY]
            seen = [see(kept, worsen(decode(kept.path.read_bytes()).gray, step)) for kept in some]
            yield _line(f"{way} {step:g}", seen)


def _line(name: str, seen: Sequence[Seen]) -> str:
    measured = [(one.fitness, one.fitness.print) for one in seen if one.fitness.print]
    columns = [
        _spread([fitness.longer_side / max(0.1, found.small) for fitness, found in measured], 0),
        _spread([found.small for _, found in measured], 1),
        _spread([found.softness for _, found in measured], 2),
        _spread([found.paper for _, found in measured], 0),
        _spread([found.contrast for _, found in measured], 0),
        f"{max((fitness.glare for fitness, _ in measured), default=0):5.2f}",
    ]
    said = ", ".join(f"{what} {n}" for what, n in Counter(one.said for one in seen).most_common())
    right = sum(one.right for one in seen) / len(seen)
    return f"{name:<30} {len(seen):>4} {right:5.0%}  {'  '.join(columns)}  {said}"


def _spread(values: Sequence[float], places: int) -> str:
    if not values:
        return f"{'-':^14}"
    ends = (min(values), median(values), max(values))
    return "/".join(f"{value:.{places}f}" for value in ends).center(14)
