"""Light on a pack and what the camera makes of it: shade, shadows, glare, blur, grain and colour.

Light and glare are maps on the grid of ``surface.STEP`` pixels: light multiplies the print, glare (0 to 1)
veils it with white.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.random import Generator

from tests.bench.photos.press import Image
from tests.bench.photos.surface import Floats, Map, Pose, Warp

_GAMMA = 1 / 2.2
_TILE = 512


@dataclass(frozen=True, slots=True)
class Lens:
    """Blur of one photograph in pixels: the radius of defocus, and how far and whither the hand moved."""

    defocus: float
    motion: float
    heading: float

    def spread(self) -> float:
        """Return the standard deviation in pixels of the blur as a whole, the sensor's own 0.6 included."""
        return float(np.sqrt(0.6**2 + (self.defocus / 2) ** 2 + self.motion**2 / 12))

    def blur(self, picture: Image) -> Image:
        """Return the picture as the lens shows it."""
        size = 2 * int(np.ceil(max(self.defocus, self.motion / 2))) + 3
        far = np.arange(size) - size // 2
        x, y = np.meshgrid(far, far)
        disc = np.clip(self.defocus + 0.5 - np.hypot(x, y), 0, 1).astype(np.float32)
        disc /= disc.sum()
        if self.motion > 0.6:
            along = x * np.cos(self.heading) + y * np.sin(self.heading)
            beside = np.abs(-x * np.sin(self.heading) + y * np.cos(self.heading))
            trail = np.clip(self.motion / 2 + 0.5 - np.abs(along), 0, 1) * np.clip(1 - beside, 0, 1)
            trail = (trail / trail.sum()).astype(np.float32)
            disc = np.asarray(cv2.filter2D(disc, -1, trail, borderType=cv2.BORDER_CONSTANT), np.float32)
        return cv2.filter2D(picture, -1, disc / disc.sum()).astype(np.uint8, copy=False)


def crumpled(rng: Generator, strength: float, side: float) -> Warp:
    """Return a crumpled surface whose print moves by up to about ``strength`` points."""
    cells = 96
    rough = rng.normal(0, 1, (cells, cells, 2)).astype(np.float32)
    smooth = cv2.GaussianBlur(rough, (0, 0), float(rng.uniform(7, 13)))
    return Warp(smooth / (np.abs(smooth).max() + 1e-6) * np.float32(strength), side)


def creases(rng: Generator, points: Floats, side: float) -> Map:
    """Return the relief's slope (rows, columns) toward the light: soft swells and a few sharp folds."""
    slope = np.zeros(points.shape[:-1])
    for _ in range(int(rng.integers(4, 9))):
        way = rng.uniform(0, np.pi)
        across = points @ np.array([np.cos(way), np.sin(way)]) + rng.uniform(-0.5, 0.5) * side
        fade = np.exp(
            -(
                (
                    (points @ np.array([-np.sin(way), np.cos(way)]) + rng.uniform(-0.4, 0.4) * side)
                    / (side * 0.3)
                )
                ** 2
            )
        )
        width = rng.uniform(1.5, 14)
        slope += rng.normal(0, 0.5) * np.tanh(across / width) * np.exp(-np.abs(across) / (side * 0.12)) * fade
    return slope.astype(np.float32)


def lit(rng: Generator, tier: dict[str, Any], pose: Pose, points: Floats, relief: Map | None) -> Map:
    """Return the light on each cell, about 1: a slope, a vignette, a round body's turn, folds, shadows."""
    y, x = _across(points)
    way = rng.uniform(0, 2 * np.pi)
    light = 1 + rng.uniform(*tier["slope"]) * (x * np.cos(way) + y * np.sin(way))
    light *= 1 - rng.uniform(*tier["vignette"]) * (x**2 + y**2) / 2
    if pose.radius is not None:
        turned = pose.angles(points) - rng.normal(0, 0.35)
        light *= 0.3 + 0.7 * np.clip(np.cos(turned), 0, 1) ** 0.8
    if relief is not None:
        light *= np.clip(1 + 0.45 * relief, 0.45, 1.25)
    if rng.random() < tier["shadow"]:
        light *= _shadow(rng, x, y, soft=float(rng.uniform(0.12, 0.4)), depth=float(rng.uniform(0.15, 0.45)))
    if rng.random() < tier["edge_shadow"]:
        light *= _shadow(
            rng, x, y, soft=float(rng.uniform(0.008, 0.04)), depth=float(rng.uniform(0.25, 0.62))
        )
    return np.asarray(np.clip(light, 0.03, 1.5), np.float32)


def _across(points: Floats) -> tuple[Floats, Floats]:
    """Return how far down and to the right each cell is, from -1 to 1."""
    rows, columns = points.shape[:2]
    x, y = np.meshgrid(np.linspace(-1, 1, columns), np.linspace(-1, 1, rows))
    return y, x


def _shadow(rng: Generator, x: Floats, y: Floats, *, soft: float, depth: float) -> Floats:
    """Return what is left of the light beside the straight edge of a phone, or around a round head."""
    if rng.random() < 0.6:
        way, off = rng.uniform(0, 2 * np.pi), rng.uniform(-0.45, 0.6)
        wave = 0.05 * np.sin(3 * (y * np.cos(way) - x * np.sin(way)) + rng.uniform(0, 6))
        distance = x * np.cos(way) + y * np.sin(way) - off + wave
    else:
        distance = rng.uniform(0.35, 0.75) - np.hypot(
            x - rng.uniform(-0.8, 0.8), (y - rng.uniform(0.1, 1.1)) * 0.8
        )
    return np.asarray(1 - depth / (1 + np.exp(-np.clip(distance / soft, -30, 30) * 2)))


def glare(rng: Generator, tier: dict[str, Any], pose: Pose, points: Floats, relief: Map | None) -> Map:
    """Return the veil of reflected lamps: spots and tubes, a streak along a round body, glints on folds."""
    veil = np.zeros(points.shape[:2])
    if rng.random() < tier["glare"]:
        y, x = _across(points)
        for _ in range(int(rng.integers(1, 4)) if pose.radius is None else 1):
            way, wide = rng.uniform(0, np.pi), rng.uniform(0.05, 0.16)
            dx, dy = x - rng.uniform(-0.8, 0.8), y - rng.uniform(-0.8, 0.8)
            along, across = dx * np.cos(way) + dy * np.sin(way), dy * np.cos(way) - dx * np.sin(way)
            far = np.hypot(along / (wide * rng.uniform(1, 4)), across / wide)
            veil += rng.uniform(0.25, 1.05) / (1 + far ** rng.uniform(2.5, 5))
        if pose.radius is not None:
            turned = (pose.angles(points) - rng.uniform(-0.9, 0.9)) / rng.uniform(0.05, 0.14)
            veil = 0.5 * veil + rng.uniform(0.2, 0.75) * np.exp(-(turned**2))
        if relief is not None:
            veil += 0.5 * np.clip(relief - 0.35, 0, 1)
    return np.clip(veil, 0, 1).astype(np.float32)


def coloured(rng: Generator, tier: dict[str, Any], picture: Image, light: Map, veil: Map) -> Image:
    """Return the lit print as the sensor counts it: light, veil, exposure, black level and colour cast."""
    height, width = picture.shape[:2]
    gain, black = rng.uniform(*tier["gain"]), rng.uniform(*tier["black"])
    warmth, tint = rng.normal(0, tier["cast"]), rng.normal(0, tier["cast"] / 3)
    casts = (1 - warmth, 1 + tint, 1 + warmth)
    scale = cv2.resize(np.power(light, _GAMMA) * np.float32(gain) * (1 - veil), (width, height))
    lift = cv2.resize(
        veil * np.float32(235) * np.float32(max(gain, 0.8)) + np.float32(black), (width, height)
    )
    out = np.empty_like(picture)
    for channel, cast in enumerate(casts):
        band = picture[..., channel].astype(np.float32)
        band *= scale
        band *= np.float32(cast * (1 - black / 255))
        band += lift
        out[..., channel] = cv2.convertScaleAbs(band)
    return out


def grained(rng: Generator, picture: Image, noise: float, sharpen: float) -> Image:
    """Return the picture with the sensor's grain, smoothed and sharpened as phones do."""
    height, width = picture.shape[:2]
    fine = rng.standard_normal((_TILE, _TILE), np.float32)
    blotch = cv2.resize(
        rng.standard_normal((_TILE // 4, _TILE // 4, 3), np.float32), (_TILE, _TILE)
    ) * np.float32(0.5)
    tile = cv2.GaussianBlur(fine, (0, 0), 0.55)[..., None] * np.float32(1.6) + blotch
    pieces = []
    for _ in range((height // _TILE + 1) * (width // _TILE + 1)):
        turned = np.rot90(np.roll(tile, rng.integers(0, _TILE, 2), axis=(0, 1)), int(rng.integers(4)))
        pieces.append((turned * np.float32(noise)).astype(np.int8))
    across = width // _TILE + 1
    rows = [
        np.concatenate(pieces[at : at + across], axis=1)[:, :width] for at in range(0, len(pieces), across)
    ]
    out = cv2.add(picture, np.concatenate(rows)[:height], dtype=cv2.CV_8U).astype(np.uint8, copy=False)
    if sharpen > 0.05:
        soft = cv2.GaussianBlur(out, (0, 0), 1.3)
        out = cv2.addWeighted(out, 1 + sharpen, soft, -sharpen, 0).astype(np.uint8, copy=False)
    return out
