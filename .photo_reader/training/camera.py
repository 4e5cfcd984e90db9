"""What a camera does to a patch of a page, and what stands behind a pack."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

SIZE = 512
"""Pixels of a patch, each way."""

Gray = NDArray[np.uint8]
Field = NDArray[np.float32]
_Y, _X = np.mgrid[0:SIZE, 0:SIZE].astype(np.float32)


def behind(g: np.random.Generator, image: Gray, off: NDArray[np.bool_]) -> Gray:
    """Fill what lies ``off`` the page with blurred boxes, blobs and cloth, as shelves and tables look."""
    if not off.any():
        return image
    back = np.full((SIZE, SIZE), g.integers(10, 240), np.uint8)
    for _ in range(int(g.integers(3, 26))):
        x, y = (int(v) for v in g.integers(-40, SIZE, 2))
        tone = int(g.integers(0, 256))
        if g.random() < 0.6:
            wide, high = (int(v) for v in g.integers(6, 170, 2))
            cv2.rectangle(back, (x, y), (x + wide, y + high), tone, -1)
        else:
            axes = tuple(int(v) for v in g.integers(4, 90, 2))
            cv2.ellipse(back, (x, y), axes, int(g.integers(180)), 0, 360, tone, -1)
    back = cv2.GaussianBlur(back, (0, 0), g.uniform(0.6, 12))
    if g.random() < 0.5:
        back = np.clip(back + weave(g) * g.uniform(5, 60), 0, 255).astype(np.uint8)
    return np.where(off, back, image)


def weave(g: np.random.Generator) -> Field:
    """Return cloth, wood, knit or carpet: streaks and gratings from -1 to 1."""
    out = np.zeros((SIZE, SIZE), np.float32)
    for _ in range(int(g.integers(1, 4))):
        if g.random() < 0.5:
            size = tuple(int(np.exp(g.uniform(np.log(6), np.log(400)))) for _ in range(2))
            layer = _grown(g.normal(0, 1, size), cv2.INTER_CUBIC)
        else:
            turn, period = g.uniform(0, np.pi), g.uniform(3, 40)
            wobble = _grown(g.normal(0, 1, (6, 6)), cv2.INTER_LINEAR) * g.uniform(0, 8)
            layer = np.sin((_X * np.cos(turn) + _Y * np.sin(turn) + wobble) * 2 * np.pi / period)
            if g.random() < 0.4:
                crossing = period * g.uniform(0.7, 3)
                layer = layer * np.sin((-_X * np.sin(turn) + _Y * np.cos(turn)) * 2 * np.pi / crossing)
        out += layer * g.uniform(0.3, 1)
    angle = g.uniform(-180, 180) if g.random() < 0.5 else 0
    if angle:
        turned = cv2.getRotationMatrix2D((SIZE / 2, SIZE / 2), angle, 1.5)
        out = cv2.warpAffine(out, turned, (SIZE, SIZE), borderMode=cv2.BORDER_REFLECT)
    return out / (np.abs(out).max() + 1e-6)


def photographed(g: np.random.Generator, image: Gray, height: float) -> Gray:
    """Light, blur and store a patch whose usual print is ``height`` pixels high."""
    seen = _lit(g, image.astype(np.float32))
    seen = (seen - 128) * g.uniform(0.45, 1.05) + 128 + g.uniform(-45, 45)
    if g.random() < 0.75:
        sigma = min(abs(g.normal(0, 0.07)) * height, 0.17 * height, 4)
        if sigma > 0.25:
            seen = cv2.GaussianBlur(seen, (0, 0), sigma)
    if g.random() < 0.2:
        seen = cv2.filter2D(seen, -1, _shake(g, height))
    noise = g.uniform(0, 9) if g.random() < 0.7 else g.uniform(9, 18)
    seen += g.normal(0, 1, seen.shape).astype(np.float32) * noise
    out = np.clip(seen, 0, 255).astype(np.uint8)
    if g.random() < 0.5:
        _, data = cv2.imencode(".jpg", out, [cv2.IMWRITE_JPEG_QUALITY, int(g.integers(35, 92))])
        out = cv2.imdecode(data, cv2.IMREAD_GRAYSCALE)
    return out


def _lit(g: np.random.Generator, seen: Field) -> Field:
    """Slope the light, throw the edge of a shadow, let gloss shine."""
    x, y = _X / SIZE, _Y / SIZE
    if g.random() < 0.6:
        angle = g.uniform(0, 2 * np.pi)
        seen *= 1 + g.uniform(0, 0.5) * ((x - 0.5) * np.cos(angle) + (y - 0.5) * np.sin(angle))
    if g.random() < 0.25:
        angle, off = g.uniform(0, 2 * np.pi), g.uniform(-0.3, 0.3)
        inside = (x - 0.5) * np.cos(angle) + (y - 0.5) * np.sin(angle) - off
        edge = 1 / (1 + np.exp(-inside * g.uniform(8, 200)))
        seen *= 1 - g.uniform(0.2, 0.6) * edge
    if g.random() < 0.22:
        at_x, at_y, radius = g.uniform(0, 1), g.uniform(0, 1), g.uniform(0.03, 0.3)
        bright = g.uniform(40, 260)
        away = (x - at_x) ** 2 + ((y - at_y) * g.uniform(0.5, 2)) ** 2
        seen += bright * np.exp(-away / (2 * radius * radius))
    return seen


def _shake(g: np.random.Generator, height: float) -> Field:
    """Return the kernel of a hand that moved along a straight line."""
    size = int(max(2, min(9, g.uniform(0.1, 0.4) * height)))
    kernel = np.zeros((size, size), np.float32)
    angle = g.uniform(0, np.pi)
    for t in np.linspace(-size / 2, size / 2, 4 * size):
        row, column = int(size / 2 + t * np.sin(angle)), int(size / 2 + t * np.cos(angle))
        if 0 <= row < size and 0 <= column < size:
            kernel[row, column] = 1
    return kernel / max(kernel.sum(), 1)


def _grown(small: NDArray[np.float64], how: int) -> Field:
    return cv2.resize(small.astype(np.float32), (SIZE, SIZE), interpolation=how)
