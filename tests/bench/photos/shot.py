"""A posed pack, how large its print comes out, and the truth about a photograph of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np

from tests.bench.photos.light import Lens
from tests.bench.photos.press import Box, Image, Sheet
from tests.bench.photos.surface import STEP, Floats, Map, Pose, outline

READABLE = {"x_height": 9, "squeeze": 0.36, "blur": 0.3, "veil": 0.85}
"""A person can still read print of this x-height, so narrow, blurred by this share of it, and so veiled:
judgement, by looking."""


@dataclass(frozen=True, slots=True)
class Shot:
    """A posed pack: where its panel's middle is on the sheet, and what every cell of the grid sees."""

    sheet: Sheet
    pose: Pose
    middle: Floats
    points: Floats
    inside: Floats

    def project(self, box: Box, steps: int = 12) -> Floats:
        """Return the outline of a box on the sheet, in pixels."""
        return self.pose.project(outline(box, steps) - self.middle)

    def density(self) -> float:
        """Return how many pixels a point of the panel takes where it takes most."""
        left, top, right, bottom = self.sheet.panel or self.sheet.page
        grid = np.stack(np.meshgrid(np.linspace(left, right, 9), np.linspace(top, bottom, 9)), axis=-1)
        return float(max(self.scales(at)[1] for at in grid.reshape(-1, 2)))

    def scales(self, at: Floats) -> tuple[float, float, float]:
        """Return the least and the most pixels a point takes at a place, and those down its print."""
        near = np.array([(0.0, 0.0), (0.5, 0.0), (0.0, 0.5)]) + at - self.middle
        pixels = self.pose.project(near)
        slopes = (pixels[1:] - pixels[0]) / 0.5
        most, least = np.linalg.svd(slopes, compute_uv=False)
        return float(least), float(most), float(np.linalg.norm(slopes[1]))

    def smallest(self) -> float:
        """Return the x-height in pixels of the smallest scored print; of usual print without a panel."""
        sheet = self.sheet
        if not sheet.fields:
            return 3.3 * self.density()
        return min(sheet.x_heights[name] * self.scales(centre(box))[2] for name, box in sheet.fields.items())


def centre(box: Box) -> Floats:
    """Return the middle of a box."""
    return np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])


def truth_of(shot: Shot, picture: Image, veil: Map, lens: Lens, turns: int) -> dict[str, Any]:
    """Return where each field is on the picture, how high its print, and whether a person can read it.

    ``turns`` are the quarter turns against the clock that the picture takes afterwards.
    """
    panel = shot.sheet.panel
    return {
        "fields": {name: _field(shot, name, veil, lens, turns) for name in shot.sheet.fields},
        "panel_polygon": _turned(shot.project(panel), shot.pose, turns) if panel else None,
        "x_height": round(shot.smallest(), 1),
        "finest": round(shot.sheet.finest * shot.density(), 1),
        "blur": round(lens.spread(), 2),
        "sharpness": _sharpness(picture, shot),
    }


def _field(shot: Shot, name: str, veil: Map, lens: Lens, turns: int) -> dict[str, Any]:
    """Return the truth about where and how one field is seen."""
    box, pose = shot.sheet.fields[name], shot.pose
    pixels = shot.project(box, 1)
    least, most, down = shot.scales(centre(box))
    height, squeeze = shot.sheet.x_heights[name] * down, least / most
    cell = np.clip(pixels.mean(0) / STEP, 0, np.array(veil.shape[::-1]) - 1).astype(int)
    within = bool((pixels >= 0).all() and (pixels <= (pose.width - 1, pose.height - 1)).all())
    veiled = float(veil[cell[1], cell[0]])
    clear = lens.spread() / (height * squeeze) <= READABLE["blur"] and veiled <= READABLE["veil"]
    large = height >= READABLE["x_height"] and squeeze >= READABLE["squeeze"]
    return {
        "polygon": _turned(pixels, pose, turns),
        "x_height": round(height, 1),
        "squeeze": round(squeeze, 2),
        "veil": round(veiled, 2),
        "within": within,
        "readable": within and large and clear,
    }


def _sharpness(picture: Image, shot: Shot) -> float:
    """Return the variance of the Laplacian over the panel at half size, over that of its gray levels."""
    pixels = shot.project(shot.sheet.panel or shot.sheet.page)
    (left, top), (right, bottom) = np.clip(pixels, 0, None).min(0).astype(int), pixels.max(0).astype(int)
    gray = cv2.cvtColor(picture[top:bottom, left:right], cv2.COLOR_BGR2GRAY)
    small = cv2.resize(gray, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    return round(float(cv2.Laplacian(small, cv2.CV_32F).var() / (small.var() + 1)), 3)


def _turned(pixels: Floats, pose: Pose, turns: int) -> list[list[float]]:
    """Return pixels after the picture's quarter turns against the clock."""
    width, height = pose.width, pose.height
    for _ in range(turns):
        pixels = np.stack([pixels[:, 1], width - 1 - pixels[:, 0]], axis=-1)
        width, height = height, width
    return [[round(float(x), 1), round(float(y), 1)] for x, y in pixels]
