"""The photo's lines made level: one smooth map from the picture to a page on which every line is horizontal.

A label is a sheet: where it is tilted, seen aslant or bent round a can, the lines next to each other run
alike. So a low polynomial in the place, fitted to all lines at once, tells how high on the page a point
stands; single lines that disagree (a price sticker, a neighbour's print) weigh little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
"""... x 2: across and down."""

_TERMS = ((1, 0), (2, 0), (3, 0), (1, 1), (2, 1), (1, 2), (2, 2), (3, 1))
_STIFF = np.array([0.06, 0.15, 0.9, 0.15, 0.9, 0.9, 1.5, 1.5])
"""Powers of across and down in the correction of the height, and how dear each is. Tuned on drawn photos."""
_LONG = 2.0
_ROUNDS = 3
_TOLERATED = 0.15


@dataclass(frozen=True, slots=True)
class Level:
    """The map to the page: a turn by ``turn``, then a correction of the height."""

    turn: NDArray[np.float64]
    center: Points
    scale: float
    weights: NDArray[np.float64]

    def page(self, points: Points) -> Points:
        """Return points of the picture as points of the page, in pixels."""
        place = (points @ self.turn.T - self.center) / self.scale
        down = place[..., 1] + _powers(place) @ self.weights
        return np.stack([place[..., 0], down], axis=-1) * self.scale

    def along(self, points: Points) -> Points:
        """Return the way print runs at points of the picture, in vectors of length 1."""
        place = (points @ self.turn.T - self.center) / self.scale
        across, down = _slopes(place) @ self.weights
        way = np.stack([1 + down, -across], axis=-1) @ self.turn
        return np.asarray(way / np.linalg.norm(way, axis=-1, keepdims=True), np.float64)


def make_level(ends: Points, heights: NDArray[np.float64]) -> Level:
    """Return the map that makes level the lines between ``ends`` (n x 2 x 2, in reading order)."""
    along = ends[:, 1] - ends[:, 0]
    length = np.linalg.norm(along, axis=1)
    height = np.maximum(1.0, heights)
    angle = np.arctan2((along[:, 1]).sum(), (along[:, 0]).sum())
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    turned = ends @ turn.T
    center = turned.reshape(-1, 2).mean(axis=0)
    scale = float(np.abs(turned - center).max()) + 1e-6
    place = (turned - center) / scale
    weight = np.minimum(length / height, 12) / 12 / (height / scale) * (length > _LONG * height)
    slope = _powers(place[:, 1]) - _powers(place[:, 0])
    rise = place[:, 0, 1] - place[:, 1, 1]
    return Level(turn, center, scale, _fit(slope * weight[:, None], rise * weight))


def _fit(slopes: NDArray[np.float64], rises: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the weights by least squares, lines that disagree with the rest counting less each round."""
    trust = np.ones(len(rises))
    stiff = np.diag(_STIFF**2)
    weights: NDArray[np.float64] = np.zeros(len(_TERMS))
    for _ in range(_ROUNDS):
        a, b = slopes * trust[:, None], rises * trust
        weights = np.asarray(np.linalg.solve(a.T @ a + stiff, a.T @ b), np.float64)
        trust = 1 / np.maximum(1.0, np.abs(slopes @ weights - rises) / _TOLERATED)
    return weights


def _slopes(place: Points) -> NDArray[np.float64]:
    """Return how each term grows across and down (2 x ... x terms)."""
    x, y = place[..., 0], place[..., 1]
    across = [a * x ** max(a - 1, 0) * y**b for a, b in _TERMS]
    down = [b * x**a * y ** max(b - 1, 0) for a, b in _TERMS]
    return np.stack([np.stack(across, axis=-1), np.stack(down, axis=-1)])


def _powers(place: Points) -> NDArray[np.float64]:
    return np.stack([place[..., 0] ** across * place[..., 1] ** down for across, down in _TERMS], axis=-1)
