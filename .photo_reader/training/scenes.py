"""Pages seen by a camera: warped, lit and blurred patches, with what the finder should say of each place."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import cv2
import numpy as np
from camera import SIZE, Field, Gray, behind, photographed, weave
from numpy.typing import NDArray
from pages import Page
from sheet import Box

STEP = 4
"""Pixels of a patch for each cell of the answer."""
_HALF = (SIZE - 1) / 2
_SMALLEST, _LARGEST = 6.5, 46.0
"""How high the usual print of a patch comes out, in pixels."""
_ASKED = (5.0, 150.0)
"""Print lower or higher than this is not asked for."""
cv2.setNumThreads(1)


class Maps(NamedTuple):
    """what stands on a page, pixel by pixel: the middle of lines, all of them, and panels (255, else 0).

    ``up`` and ``down`` are the distances to the top and the foot of the line, in pixels.
    """

    core: Gray
    band: Gray
    up: Field
    down: Field
    panel: Gray


class Scene(NamedTuple):
    """A patch (``SIZE`` each way), and cell by cell its answer (7) and where that counts (2), both float16.

    The answer: middle of a line, panel, cosine and sine of the reading direction, log2(1 + pixels) up to the
    top and down to the foot of the letters, whole height of a line. The weights: of text, of the measures.
    """

    image: Gray
    target: NDArray[np.float16]
    weight: NDArray[np.float16]


def maps_of(shape: tuple[int, ...], pieces: NDArray[np.float32], panels: list[Box]) -> Maps:
    """Return the maps of a page; where pieces touch, the smaller print wins."""
    high, wide = shape
    core, band, panel = (np.zeros(shape, np.uint8) for _ in range(3))
    up, down = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    for left, top, right, bottom in sorted(pieces.tolist(), key=lambda piece: piece[1] - piece[3]):
        tall = bottom - top
        first, last = max(0, round(top - tall * 0.06)), min(high, round(bottom + tall * 0.06))
        columns = slice(max(0, round(left - tall * 0.1)), min(wide, round(right + tall * 0.1)))
        rows = np.arange(first, last, dtype=np.float32)[:, None] + 0.5
        up[first:last, columns] = rows - top
        down[first:last, columns] = bottom - rows
        band[first:last, columns] = 255
        core[first:last, columns] = 0
    for left, top, right, bottom in pieces.tolist():
        tall = bottom - top
        inset = min(0.15 * tall, (right - left) * 0.08)
        first, last = round(top + 0.29 * tall), round(bottom - 0.30 * tall)
        columns = slice(max(0, round(left + inset)), max(1, round(right - inset)))
        core[max(0, first) : max(first + 1, last), columns] = 255
    for left, top, right, bottom in panels:
        panel[int(top) : int(bottom), int(left) : int(right)] = 255
    return Maps(core, band, up, down, panel)


class Scenes:
    """An endless stream of scenes from a seed, some from each page."""

    def __init__(self, seed: int, per_page: int = 6) -> None:
        self.seed, self.per_page = seed, per_page
        self.rng = np.random.default_rng(seed)

    def __iter__(self) -> Iterator[Scene]:
        """Yield the scenes."""
        number = 0
        while True:
            number += 1
            try:
                gray, pieces, panels = Page(self.seed * 1_000_003 + number).make()
            except (ValueError, ZeroDivisionError, OSError):  # a block with no room for its print
                continue
            pieces = pieces[pieces[:, 3] - pieces[:, 1] > 4]
            if len(pieces) < 4:
                continue
            maps = maps_of(gray.shape, pieces, panels)
            for _ in range(self.per_page):
                yield self._scene(gray, maps, pieces)

    def _scene(self, gray: Gray, maps: Maps, pieces: NDArray[np.float32]) -> Scene:
        g = self.rng
        height, scale, center = self._aim(gray, pieces)
        px, py = self._bent(*self._turned(scale), scale)
        px, py = (px + center[0]).astype(np.float32), (py + center[1]).astype(np.float32)
        image = _seen(gray, px, py, scale)
        if g.random() < 0.6:
            off = (px < 0) | (py < 0) | (px > gray.shape[1] - 1) | (py > gray.shape[0] - 1)
            image = behind(g, image, off)
        if g.random() < 0.06:  # paper and cloth have a grain of their own
            image = np.clip(image + weave(g) * g.uniform(2, 16), 0, 255).astype(np.uint8)
        return Scene(photographed(g, image, height), *_answer(maps, px, py))

    def _aim(self, gray: Gray, pieces: NDArray[np.float32]) -> tuple[float, float, tuple[float, float]]:
        """Return how high the usual print shall be, the scale for it, and the middle of the patch."""
        g, (high, wide) = self.rng, gray.shape
        heights = pieces[:, 3] - pieces[:, 1]
        usual = float(np.percentile(heights, g.choice([30, 50, 70])))
        height = float(np.exp(g.uniform(np.log(_SMALLEST), np.log(_LARGEST))))
        scale = height / usual
        if g.random() < 0.15:  # the whole page
            scale = SIZE / max(high, wide) * g.uniform(0.8, 1.3)
        anchor = pieces[g.integers(len(pieces))]
        x = (anchor[0] + anchor[2]) / 2 + g.normal(0, 60)
        y = (anchor[1] + anchor[3]) / 2 + g.normal(0, 60)
        if g.random() < 0.05:  # nothing but what stands round the pack
            x += g.choice([-1, 1]) * 3 * wide
        return height, scale, (x, y)

    def _turned(self, scale: float) -> tuple[Field, Field]:
        """Return the place on the page of each pixel: turned, often by a quarter, and seen aslant."""
        g = self.rng
        ys, xs = np.mgrid[0:SIZE, 0:SIZE].astype(np.float32)
        u, v = (xs - _HALF) / _HALF, (ys - _HALF) / _HALF
        quarter = g.choice(4, p=[0.64, 0.12, 0.12, 0.12]) * np.pi / 2
        roll = quarter + np.radians(g.normal(0, 5) if g.random() < 0.75 else g.uniform(-32, 32))
        cos, sin = np.cos(roll), np.sin(roll)
        a, b = cos * u + sin * v, -sin * u + cos * v
        if g.random() < 0.7:
            p, q = g.normal(0, 0.10, 2)
            k = 1 / (1 + p * a + q * b)
            a, b = a * k, b * k
            shear, stretch = g.normal(0, 0.06), np.exp(g.normal(0, 0.12))
            a = (a + shear * b) * stretch
        return a * _HALF / scale, b * _HALF / scale

    def _bent(self, px: Field, py: Field, scale: float) -> tuple[Field, Field]:
        """Wrap the page round a can, whose axis lies somewhere in the patch, and crumple it."""
        g = self.rng
        if g.random() < 0.4:
            radius = g.uniform(0.9, 3.2) * _HALF / scale
            off = g.uniform(-0.5, 0.5) * _HALF / scale
            around = np.clip((px - off) / radius, -0.985, 0.985)
            bow = g.normal(0, 0.22)
            if g.random() < 0.25:
                around = np.clip((py - off) / radius, -0.985, 0.985)
                py = radius * np.arcsin(around) + off
                px = px + bow * radius * (np.sqrt(1 - around**2) - 1)
            else:
                px = radius * np.arcsin(around) + off
                py = py + bow * radius * (np.sqrt(1 - around**2) - 1)
        if g.random() < 0.35:
            cells = int(g.integers(3, 8))
            most = g.uniform(0.5, 6) / max(scale, 0.2)
            fields = g.normal(0, 1, (2, cells, cells)).astype(np.float32)
            big = [cv2.resize(field, (SIZE, SIZE), interpolation=cv2.INTER_CUBIC) for field in fields]
            px, py = px + most * big[0], py + most * big[1]
        return px, py


def _seen(gray: Gray, px: Field, py: Field, scale: float) -> Gray:
    """Return the patch; a page that is seen small is averaged down first."""
    shrink = max(1.0, 1 / max(scale, 1e-3) * 0.8)
    source = gray
    if shrink > 1.2:
        source = cv2.resize(gray, None, fx=1 / shrink, fy=1 / shrink, interpolation=cv2.INTER_AREA)
    fx, fy = source.shape[1] / gray.shape[1], source.shape[0] / gray.shape[0]
    x, y = (px + 0.5) * fx - 0.5, (py + 0.5) * fy - 0.5
    border = int(gray[0, 0])
    return cv2.remap(source, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=border)


def _nearest(values: Gray | Field, x: Field, y: Field) -> NDArray[Any]:
    return cv2.remap(values, x, y, cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=0)


def _answer(maps: Maps, px: Field, py: Field) -> tuple[NDArray[np.float16], NDArray[np.float16]]:
    """Return target and weight of a patch whose pixels lie at ``px``, ``py`` on the page."""
    middle = STEP // 2
    gx, gy = (
        (p[middle::STEP, middle::STEP] + p[middle - 1 :: STEP, middle - 1 :: STEP]) / 2 for p in (px, py)
    )
    band, up, down, panel = (_nearest(values, gx, gy) for values in maps[1:])
    # The middle of lines is averaged over each cell, for the sake of thin print.
    core = cv2.resize(_nearest(maps.core, px, py), (SIZE // STEP,) * 2, interpolation=cv2.INTER_AREA)
    xu, xv = np.gradient(gx, axis=1) / STEP, np.gradient(gx, axis=0) / STEP
    yu, yv = np.gradient(gy, axis=1) / STEP, np.gradient(gy, axis=0) / STEP
    area = xu * yv - xv * yu
    area = np.where(np.abs(area) < 1e-6, 1e-6, area)
    along = np.stack([yv, -yu]) / area  # one pixel of the page along the line, and one down, in the patch
    across = np.stack([-xv, xu]) / area
    length = np.linalg.norm(along, axis=0) + 1e-9
    cos, sin = along / length
    tallness = np.abs(across[1] * cos - across[0] * sin)  # of one pixel of the page, square to the line
    tall = (up + down) * tallness
    text = band > 0
    measured = text & (tall > 4.0) & (length * 10 < 200)
    ignored = text & ((tall < _ASKED[0]) | (tall > _ASKED[1]))
    reach = [np.log2(1 + np.clip(distance * tallness, 0, 200)) for distance in (up, down)]
    shares = core.astype(np.float32) / 255, panel.astype(np.float32) / 255
    target = np.stack([*shares, cos, sin, *reach, np.clip(band, 0, 1)]).astype(np.float32)
    weight = np.stack([np.where(ignored, 0.0, 1.0), measured]).astype(np.float32)
    return target.astype(np.float16), weight.astype(np.float16)


def _shown(scene: Scene) -> Gray:
    """Return a scene in colours: text red, panels blue, and for some cells direction and height."""
    target = scene.target.astype(np.float32)
    text, panel = (cv2.resize(part, (SIZE, SIZE), interpolation=cv2.INTER_NEAREST) for part in target[:2])
    seen = np.stack([scene.image] * 3, axis=-1).astype(np.float32)
    seen[..., 0] += (255 - seen[..., 0]) * text * 0.6
    seen[..., 2] += (255 - seen[..., 2]) * panel * 0.25
    out = np.ascontiguousarray(seen.astype(np.uint8))
    for row, column in np.argwhere(target[0, 6::9, 6::9] > 0.5) * 9 + 6:
        place = np.array([column, row]) * STEP + STEP // 2
        along = target[2:4, row, column]
        normal = np.array([-along[1], along[0]])
        up, down = np.exp2(target[4:6, row, column]) - 1
        ends = ((place, place + along * 14), (place - normal * up, place + normal * down))
        for (start, end), colour in zip(ends, ((0, 200, 0), (0, 120, 255)), strict=True):
            cv2.line(out, [int(v) for v in start], [int(v) for v in end], colour)
    return out


if __name__ == "__main__":
    stream = iter(Scenes(5))
    tiles = [_shown(next(stream)) for _ in range(24)]
    sheet = np.concatenate([np.concatenate(tiles[row : row + 6], axis=1) for row in range(0, 24, 6)])
    cv2.imwrite("scenes.png", sheet[..., ::-1])
