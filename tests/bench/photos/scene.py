"""What the pack stands before and who holds it: blurred shelves and tables, and a hand."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.random import Generator

from tests.bench.photos.press import Box, Image
from tests.bench.photos.surface import Floats, Map, Pose

Finger = tuple[Floats, Floats, float]
"""Where a finger comes from, its tip and how thick it is there, in cells."""

_WIDE = 480
_TABLES = ((60, 95, 140), (120, 160, 190), (66, 66, 72), (205, 210, 214), (225, 228, 230))
_SKINS = ((246, 214, 190), (232, 188, 155), (205, 155, 118), (160, 110, 80), (112, 74, 52), (82, 54, 40))


def backdrop(rng: Generator, width: int, height: int, kinds: list[str]) -> Image:
    """Return an out-of-focus background in blue, green, red: shelves, a table top, or a floor."""
    size = (_WIDE, round(_WIDE * height / width))
    picture = {"shelf": _shelves, "table": _table, "cart": _cart}[str(rng.choice(kinds))](rng, size)
    blur = float(rng.uniform(3, 9)) if "shelf" in kinds else 1.2
    soft = cv2.GaussianBlur(picture, (0, 0), blur)
    return cv2.resize(soft, (width, height), interpolation=cv2.INTER_CUBIC).astype(np.uint8, copy=False)


def _colour(rng: Generator, low: int = 20, high: int = 235) -> tuple[int, int, int]:
    hsv = np.array([[[rng.integers(0, 180), rng.integers(10, 170), rng.integers(low, high)]]], np.uint8)
    blue, green, red = cv2.cvtColor(hsv, cv2.COLOR_HSV2BGR)[0, 0]
    return int(blue), int(green), int(red)


def _shelves(rng: Generator, size: tuple[int, int]) -> Image:
    """Return shelf boards with price rails and rows of packs."""
    width, height = size
    picture = np.full((height, width, 3), int(rng.integers(25, 70)), np.uint8)
    top = -int(rng.integers(0, 120))
    while top < height:
        tall = int(rng.integers(110, 240))
        left = -int(rng.integers(0, 60))
        while left < width:
            wide, high = int(rng.integers(30, 110)), int(tall * rng.uniform(0.55, 0.93))
            colour, label = _colour(rng), _colour(rng, 120, 255)
            for at in range(left, left + wide * int(rng.integers(1, 4)), wide):
                cv2.rectangle(picture, (at, top + tall - high), (at + wide - 3, top + tall), colour, -1)
                inner = (
                    (at + wide // 6, top + tall - int(high * 0.8)),
                    (at + wide * 5 // 6, top + tall - high // 3),
                )
                cv2.rectangle(picture, *inner, label, -1)
                cv2.line(
                    picture, (at + wide - 3, top + tall - high), (at + wide - 3, top + tall), (15, 15, 15), 2
                )
                left = at + wide
        rail = int(rng.integers(12, 26))
        shade = int(rng.integers(120, 235))
        cv2.rectangle(picture, (0, top + tall), (width, top + tall + rail), (shade, shade, shade), -1)
        for at in range(int(rng.integers(0, 60)), width, int(rng.integers(60, 140))):
            cv2.rectangle(
                picture, (at, top + tall + 2), (at + 34, top + tall + rail - 2), (245, 245, 245), -1
            )
            cv2.line(
                picture, (at + 5, top + tall + rail // 2), (at + 26, top + tall + rail // 2), (40, 40, 40), 3
            )
        top += tall + rail
    return picture


def _table(rng: Generator, size: tuple[int, int]) -> Image:
    """Return wood grain or stone."""
    width, height = size
    picture: Map = np.full((height, width, 3), _TABLES[int(rng.integers(len(_TABLES)))], np.float32)
    wood = rng.random() < 0.55
    for size_ in (1, 4, 14):
        grain = rng.normal(0, 1, (height, width)).astype(np.float32)
        soft = cv2.GaussianBlur(grain, (0, 0), sigmaX=size_ * (14 if wood else 1.5), sigmaY=size_)
        picture += np.asarray(soft * (rng.uniform(1, 4) / (float(soft.std()) + 1e-6)), np.float32)[..., None]
    if wood:
        for at in range(int(rng.integers(20, 120)), height, int(rng.integers(90, 200))):
            cv2.line(picture, (0, at), (width, at), (30, 40, 55), 2)
    return np.clip(picture, 0, 255).astype(np.uint8)


def _cart(rng: Generator, size: tuple[int, int]) -> Image:
    """Return a floor behind the wires of a cart."""
    picture = _table(rng, size)
    pitch, metal = int(rng.integers(26, 48)), (205, 205, 205)
    for at in range(-200, size[0] + 200, pitch):
        cv2.line(picture, (at, 0), (at + 40, size[1]), (70, 70, 70), 7)
        cv2.line(picture, (at, 0), (at + 40, size[1]), metal, 4)
    for at in range(20, size[1], pitch * 4):
        cv2.line(picture, (0, at), (size[0], at - 25), metal, 6)
    return picture


def fingers(rng: Generator, cover: Map, keep: Floats) -> tuple[Map, Map] | None:
    """Return the colour (rows, columns, 3, times cover) and the cover (0 to 1) of a hand that holds the pack.

    Everything is on the grid of ``cover``, which is 1 where the pack is; the palm goes behind it, a thumb
    or some fingers before it. ``keep`` are grid points that must stay in sight. None where no hold is found.
    """
    height, width = cover.shape
    skin = np.array(_SKINS[int(rng.integers(len(_SKINS)))][::-1], np.float32)
    pack = np.argwhere(cover > 0.9)[:, ::-1]
    if not len(pack):
        return None
    thick = rng.uniform(0.06, 0.1) * min(width, height)
    heart = keep.mean(0) if len(keep) else pack.mean(0)
    for _ in range(60):
        tip = pack[int(rng.integers(len(pack)))].astype(np.float64)
        away = tip - heart
        away = away / (np.linalg.norm(away) + 1e-6) + rng.normal(0, 0.25, 2)
        away /= np.linalg.norm(away)
        edge = tip + away * thick * 2.6
        x, y = int(edge[0]), int(edge[1])
        if 0 <= x < width and 0 <= y < height and cover[y, x] > 0.5:
            continue
        count = 1 if rng.random() < 0.6 else int(rng.integers(2, 5))
        beside = np.array([-away[1], away[0]]) * thick * 1.85
        lines = [
            (
                tip + beside * at + away * 9 * thick,
                tip + beside * at + away * rng.uniform(-0.3, 0.5) * thick,
                thick,
            )
            for at in range(count)
        ]
        if all((_off(line, keep) > thick * 0.25).all() for line in lines):
            palm = (tip + away * 9 * thick, tip + away * 4.5 * thick, thick * 3)
            return _drawn(rng, cover, lines, palm, skin)
    return None


def _off(line: Finger, points: Floats) -> Floats:
    """Return how far points (..., 2) are from a finger's skin; negative within."""
    start, end, thick = line
    along = end - start
    share = np.clip(((points - start) @ along) / (along @ along), 0, 1)
    return np.asarray(
        np.linalg.norm(points - start - share[..., None] * along, axis=-1) - thick * (1.3 - 0.3 * share)
    )


def _drawn(rng: Generator, cover: Map, lines: list[Finger], palm: Finger, skin: Map) -> tuple[Map, Map]:
    """Paint the palm and the fingers as lit rolls of skin; a thumb shows its nail."""
    height, width = cover.shape
    grid = np.stack(np.meshgrid(np.arange(width), np.arange(height)), axis=-1).astype(np.float64)
    colour, hide = np.zeros((height, width, 3), np.float32), np.zeros((height, width), np.float32)
    mottle = cv2.GaussianBlur(rng.normal(0, 1, (height, width)).astype(np.float32), (0, 0), 4) * 0.25
    for line in (palm, *lines):
        depth = np.clip(-_off(line, grid) / line[2], 0, 1)
        round_ = np.sqrt(1 - (1 - depth) ** 2)
        lit = ((0.5 + 0.45 * round_ + mottle) * (0.7 if line is palm else 1))[..., None] * skin
        lit[..., 2] = np.minimum(lit[..., 2] * (1.12 - 0.1 * round_), 255)
        if len(lines) == 1 and line is not palm:
            lit = _nailed(lit, line, grid, skin)
        alpha = np.clip(-_off(line, grid) + 0.5, 0, 1).astype(np.float32)
        if line is palm:
            alpha *= 1 - cover
        else:
            # a finger darkens what it touches
            near = np.exp(-np.clip(_off(line, grid), 0, None) / (0.25 * line[2])).astype(np.float32)
            colour *= 1 - 0.35 * near[..., None]
            hide = np.maximum(hide, 0.35 * near * (cover > 0.5))
        colour = colour * (1 - alpha[..., None]) + lit.astype(np.float32) * alpha[..., None]
        hide = np.maximum(hide, alpha)
    return colour, hide


def _nailed(lit: Floats, line: Finger, grid: Floats, skin: Map) -> Floats:
    """Return the lit thumb with its nail."""
    start, end, thick = line
    away = (end - start) / np.linalg.norm(end - start)
    turned = grid - (end + away * thick * 0.3)
    nail = np.hypot(turned @ away / (0.6 * thick), turned @ np.array([-away[1], away[0]]) / (0.52 * thick))
    share = np.clip((1 - nail) * 5, 0, 1)[..., None] * 0.55
    shine = np.clip(1.15 - nail, 0.8, 1.1)[..., None]
    return np.asarray(lit * (1 - share) + share * (skin * 0.85 + 38) * shine)


def sides(rng: Generator, picture: Image, pose: Pose, page: Box, colour: Floats) -> None:
    """Paint the sides of a carton that the camera sees, onto what is behind its face."""
    depth = rng.uniform(60, 150)
    left, top, right, bottom = page
    ring = [(left, top), (right, top), (right, bottom), (left, bottom)]
    front = pose.project(np.array(ring))
    back = pose.project(np.array(ring), depth)
    for number in range(4):
        after = (number + 1) % 4
        quad = np.array([front[number], back[number], back[after], front[after]])
        x, y = quad[:, 0], quad[:, 1]
        # the sides that face the camera run clockwise
        if float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) < 0:
            continue
        shade = colour * rng.uniform(0.45, 0.85)
        corners = np.round(np.clip(quad, -30000, 30000) * 8).astype(np.int32)
        cv2.fillConvexPoly(picture, corners, tuple(float(each) for each in shade), cv2.LINE_AA, 3)
