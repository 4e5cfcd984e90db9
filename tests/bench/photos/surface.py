"""Where a pack lies before the camera: flat, round or crumpled, and which point of it each pixel sees.

Points on a pack are (u, v) in printer's points from the middle of the panel; the camera looks along z with x
to the right and y down. Pixel maps are on a grid of ``STEP`` pixels, since they bend slowly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.photos.press import Box

Floats = NDArray[np.float64]
Map = NDArray[np.float32]
STEP = 8
_FAR = 1e-9


@dataclass(frozen=True, slots=True)
class Warp:
    """How far a crumpled surface moves its print, in points; the square of ``side`` points is its middle."""

    moves: NDArray[np.float32]
    side: float

    def at(self, points: Floats) -> Floats:
        """Return the moves (..., 2) at pack points (..., 2)."""
        cells = (points / self.side + 0.5) * (self.moves.shape[0] - 1)
        flat = np.ascontiguousarray(cells.reshape(1, -1, 2), np.float32)
        # cv2.remap takes pictures of less than 32768 columns
        parts = []
        for part in np.array_split(flat, flat.shape[1] // 30000 + 1, axis=1):
            across, down = cv2.split(part)
            parts.append(
                cv2.remap(self.moves, across, down, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
            )
        return np.concatenate(parts, axis=1).reshape(points.shape).astype(np.float64)


@dataclass(frozen=True, slots=True)
class Pose:
    """A pack before a camera of ``focal`` pixels whose picture is ``width`` by ``height``.

    ``radius`` is that of a round body, whose axis stands upright ("v") or lies level ("h"); None when flat.
    """

    width: int
    height: int
    focal: float
    turn: Floats
    shift: Floats
    radius: float | None = None
    axis: Literal["v", "h"] = "v"
    warp: Warp | None = None

    def project(self, points: Floats, behind: float = 0) -> Floats:
        """Return the pixels (..., 2) of pack points (..., 2), or of what is ``behind`` them by so many."""
        moved = points
        if self.warp is not None:
            for _ in range(3):
                moved = points - self.warp.at(moved)
        solid = (self._solid(moved) + np.array([0, 0, behind])) @ self.turn.T + self.shift
        centre = np.array([self.width, self.height]) / 2
        return np.asarray(solid[..., :2] / solid[..., 2:] * self.focal + centre)

    def _solid(self, points: Floats) -> Floats:
        """Return pack points in space, before the pack is turned."""
        along, across = (0, 1) if self.axis == "v" else (1, 0)
        out = np.zeros((*points.shape[:-1], 3))
        out[..., :2] = points
        if self.radius is not None:
            angle = points[..., along] / self.radius
            out[..., along] = self.radius * np.sin(angle)
            out[..., across] = points[..., across]
            out[..., 2] = self.radius * (1 - np.cos(angle))
        return out

    def seen(self) -> tuple[Floats, Floats]:
        """Return the pack point (rows, columns, 2) that each pixel of the grid sees, and how much it hits.

        The second is positive where the ray meets a round body, in points from its silhouette.
        """
        xs = (np.arange(0, self.width, STEP) + STEP / 2 - 0.5 - self.width / 2) / self.focal
        ys = (np.arange(0, self.height, STEP) + STEP / 2 - 0.5 - self.height / 2) / self.focal
        rays = np.stack([*np.meshgrid(xs, ys), np.ones((len(ys), len(xs)))], axis=-1) @ self.turn
        eye = -self.shift @ self.turn
        if self.radius is None:
            reach = -eye[2] / np.where(np.abs(rays[..., 2]) < _FAR, _FAR, rays[..., 2])
            points = eye[:2] + reach[..., None] * rays[..., :2]
            inside = np.where(reach > 0, 1e6, -1.0)
        else:
            points, inside = self._round(eye, rays, self.radius)
        if self.warp is not None:
            points = points + self.warp.at(points)
        return points, inside

    def _round(self, eye: Floats, rays: Floats, radius: float) -> tuple[Floats, Floats]:
        """Return what each ray meets on the round body."""
        along, across = (0, 1) if self.axis == "v" else (1, 0)
        flat = rays[..., (along, 2)]
        from_axis = np.array([eye[along], eye[2] - radius])
        a = (flat**2).sum(-1)
        b = flat @ from_axis
        miss = (from_axis**2).sum() - b**2 / a
        root = np.sqrt(np.maximum(radius**2 - miss, 0) / a)
        reach = -b / a - root
        points = np.empty((*rays.shape[:2], 2))
        met = from_axis + reach[..., None] * flat
        points[..., along] = radius * np.arctan2(met[..., 0], -met[..., 1])
        points[..., across] = eye[across] + reach * rays[..., across]
        return points, radius - np.sqrt(np.maximum(miss, 0))

    def angles(self, points: Floats) -> Floats:
        """Return by how many radians the surface turns away at pack points, right or down; 0 when flat."""
        if self.radius is None:
            return np.zeros(points.shape[:-1])
        return np.asarray(points[..., 0 if self.axis == "v" else 1] / self.radius)


def rotation(pitch: float, yaw: float, roll: float) -> Floats:
    """Return the matrix that turns a pack by these degrees about x, then y, then z."""
    (cx, sx), (cy, sy), (cz, sz) = ((np.cos(t), np.sin(t)) for t in np.radians((pitch, yaw, roll)))
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    about_z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
    return np.asarray(about_z @ about_y @ about_x)


def outline(box: Box, steps: int = 12) -> Floats:
    """Return points all around a box, clockwise from its top left corner."""
    left, top, right, bottom = box
    corners = np.array([(left, top), (right, top), (right, bottom), (left, bottom), (left, top)])
    share = np.linspace(0, 1, steps, endpoint=False)[:, None]
    sides = [start + share * (end - start) for start, end in pairwise(corners)]
    return np.concatenate(sides)


def framed(pose: Pose, panel: Box, fill: float, aim: tuple[float, float]) -> Pose:
    """Return the pose moved so that the panel takes ``fill`` of the frame.

    ``aim`` is where it stands, from -1 at the left or top edge to 1; at 1.5 half of the panel is cut off.
    """
    frame = np.array([pose.width, pose.height])
    edge = outline(panel)
    for _ in range(6):
        pixels = pose.project(edge)
        low, high = pixels.min(0), pixels.max(0)
        nearer = fill / ((high - low) / frame).max()
        room = np.maximum(frame * 0.98 - (high - low) * nearer, 0) / 2
        out = np.sign(aim) * np.maximum(np.abs(aim) - 1, 0) * (high - low) * nearer
        wanted = frame / 2 + room * np.clip(aim, -1, 1) + out
        off = (wanted - frame / 2) / nearer - ((low + high) / 2 - frame / 2)
        depth = pose.shift[2]
        shift = pose.shift + np.array([*(off * depth / pose.focal), 0])
        pose = replace(pose, shift=np.array([shift[0], shift[1], depth / nearer]))
    return pose
