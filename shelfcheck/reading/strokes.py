"""Strokes: pieces of lines of print on a picture, each with its middle line, its bend and its height."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_STIFF = 1e-3
_LINEAR = 0.8
"""Cells that spread so much more one way than across it lie in a line. Judgement."""
_TAPER = 0.3
"""Print grows or shrinks along one line by this share of its height at most. Judgement."""
_LONG = 3.0
"""A stroke is bent only where it is this many times longer than high; else its few cells tell no bend."""


class Cells(NamedTuple):
    """Cells that hold text: place and direction (n x 2), and how far up and down their letters reach."""

    place: Floats
    along: Floats
    up: Floats
    down: Floats


@dataclass(frozen=True, slots=True)
class Strokes:
    """n strokes, in pixels. A point of stroke i is ``origin + t along + (b0 + b1 t + b2 t^2) normal``.

    ``origin`` and ``along`` are n x 2, ``along`` of length 1 in reading direction, and the normal points down
    the page; ``bend`` is n x 3; ``ends`` n x 2 are the t at which print begins and ends; ``tall`` n x 2 the
    height, from the top of a "d" to the foot of a "g", as ``tall0 + tall1 t``.
    """

    origin: Floats
    along: Floats
    bend: Floats
    ends: Floats
    tall: Floats

    @classmethod
    def none(cls) -> Strokes:
        """Return no strokes at all."""
        return cls(*(np.zeros((0, wide)) for wide in (2, 2, 3, 2, 2)))

    @classmethod
    def through(cls, which: NDArray[np.int32], cells: Cells, inset: float, half: float) -> Strokes:
        """Return the strokes through cells, ``which`` being the number of each cell's stroke.

        ``inset`` is how far cells stop before the ends, as a share of the height; ``half`` is half a cell.
        """
        place, along, up, down = cells
        count = int(which.max(initial=0)) + 1

        def total(values: Floats) -> Floats:
            return np.asarray(np.bincount(which, values, count), np.float64)

        size = np.maximum(total(np.ones(len(which))), 1.0)
        said = np.stack([total(along[:, 0]), total(along[:, 1])], axis=-1) / size[:, None]
        origin = np.stack([total(place[:, 0]), total(place[:, 1])], axis=-1) / size[:, None]
        away = place - origin[which]
        spread = np.stack([total(away[:, a] * away[:, b]) for a, b in ((0, 0), (0, 1), (1, 1))], axis=-1)
        direction = _directions(said, spread)
        t = (away * direction[which]).sum(axis=1)
        off = away[:, 1] * direction[which, 0] - away[:, 0] * direction[which, 1] + (down - up) / 2
        height = up + down
        tall = total(height) / size
        low, high = np.full(count, np.inf), np.full(count, -np.inf)
        np.minimum.at(low, which, t)
        np.maximum.at(high, which, t)
        low, high = np.where(np.isfinite(low), low, 0.0), np.where(np.isfinite(high), high, 0.0)
        length = np.maximum((high - low) / 2, 1.0)
        s = t / length[which]
        bend = _fitted([total(s**power) for power in range(5)], [total(off * s**power) for power in range(3)])
        straight = high - low < _LONG * tall
        level = np.stack([total(off) / size, np.zeros(count), np.zeros(count)], axis=-1)
        bend = np.where(straight[:, None], level, bend) / length[:, None] ** np.arange(3)
        most = _TAPER * tall / (high - low + 1e-9)
        slope = total((height - tall[which]) * t) / (total(t * t) + tall**2 * size + 1e-9)
        room = half + np.minimum(inset * tall, 0.3 * (high - low + 2 * half))
        ends = np.stack([low - room, high + room], axis=-1)
        return cls(origin, direction, bend, ends, np.stack([tall, np.clip(slope, -most, most)], axis=-1))

    def astray(self, which: NDArray[np.int32], cells: Cells) -> Floats:
        """Return for each cell how far the middle of its own line is from its stroke's, in heights."""
        away = cells.place - self.origin[which]
        along, (b0, b1, b2) = self.along[which], self.bend[which].T
        t = (away * along).sum(axis=1)
        off = away[:, 1] * along[:, 0] - away[:, 0] * along[:, 1] + (cells.down - cells.up) / 2
        return np.asarray((off - b0 - b1 * t - b2 * t**2) / self.tall[which, 0], np.float64)

    def __len__(self) -> int:
        return len(self.origin)

    def only(self, wanted: NDArray[np.bool_] | NDArray[np.intp]) -> Strokes:
        """Return some of the strokes, by a mask or by their numbers."""
        return Strokes(*(getattr(self, field.name)[wanted] for field in fields(self)))

    def and_also(self, others: Strokes) -> Strokes:
        """Return these strokes and then the others."""
        pairs = ((getattr(self, field.name), getattr(others, field.name)) for field in fields(self))
        return Strokes(*(np.concatenate(pair) for pair in pairs))

    def covers(self, others: Strokes) -> NDArray[np.bool_]:
        """Tell of which others the middle lies on the first of these strokes."""
        (along,), (origin,), (low, high) = self.along, self.origin, self.ends[0]
        away = others.points(others.ends.mean(axis=1, keepdims=True))[:, 0] - origin
        t = away @ along
        off = away @ np.array([-along[1], along[0]]) - self.bend[0] @ np.stack([np.ones_like(t), t, t * t])
        return np.asarray((t > low) & (t < high) & (abs(off) < self.tall[0, 0] / 2))

    def short(self, most: float) -> NDArray[np.bool_]:
        """Tell which strokes are at most so many times longer than high."""
        return np.asarray(self.ends[:, 1] - self.ends[:, 0] <= most * self.tall[:, 0])

    def led(self, along: Floats, which: NDArray[np.bool_]) -> Strokes:
        """Return the strokes, some of them running straight the way ``along`` (n x 2)."""
        level = self.bend * np.array([1.0, 0.0, 0.0])
        bend = np.where(which[:, None], level, self.bend)
        return replace(self, along=np.where(which[:, None], along, self.along), bend=bend)

    def moved(self, similar: Floats) -> Strokes:
        """Return the strokes under a turn, a scaling and a shift (2 x 3)."""
        scale = float(np.sqrt(abs(np.linalg.det(similar[:, :2]))))
        along = self.along @ similar[:, :2].T / scale
        origin = self.origin @ similar[:, :2].T + similar[:, 2]
        bend = self.bend * scale ** np.array([1.0, 0.0, -1.0])
        return Strokes(origin, along, bend, self.ends * scale, self.tall * np.array([scale, 1.0]))

    def points(self, t: Floats, across: float = 0.0) -> Floats:
        """Return the points at ``t`` (n x k) as n x k x 2, ``across`` heights below the middle line."""
        b0, b1, b2 = (self.bend[:, [power]] for power in range(3))
        tangent = np.stack([np.ones_like(t), b1 + 2 * b2 * t], axis=-1)
        tangent /= np.linalg.norm(tangent, axis=-1, keepdims=True)
        drop = across * (self.tall[:, [0]] + self.tall[:, [1]] * t)
        here = np.stack(
            [t - tangent[..., 1] * drop, b0 + b1 * t + b2 * t**2 + tangent[..., 0] * drop], axis=-1
        )
        normal = np.stack([-self.along[:, 1], self.along[:, 0]], axis=-1)
        return self.origin[:, None] + here[..., :1] * self.along[:, None] + here[..., 1:] * normal[:, None]

    def quads(self, parts: Floats) -> Floats:
        """Return the corners (n x 4 x 2) of the part of each stroke between two shares of its length."""
        low, high = self.ends[:, :1], self.ends[:, 1:]
        t = low + (high - low) * parts
        top, foot = self.points(t, -0.5), self.points(t, 0.5)
        return np.stack([top[:, 0], top[:, 1], foot[:, 1], foot[:, 0]], axis=1)


def _directions(said: Floats, spread: Floats) -> Floats:
    """Return the way each stroke reads: along its cells where they are long, which tells it best.

    ``said`` is what the network says; ``spread`` are the sums of across², across down and down².
    """
    across, both, down = spread.T
    angle = np.arctan2(2 * both, across - down) / 2
    longer = np.hypot(across - down, 2 * both) > _LINEAR * (across + down)
    axis = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    axis *= np.where((axis * said).sum(axis=1, keepdims=True) < 0, -1.0, 1.0)
    direction = np.where(longer[:, None], axis, said)
    return np.asarray(direction / (np.linalg.norm(direction, axis=1, keepdims=True) + 1e-9))


def _fitted(powers: list[Floats], sums: list[Floats]) -> Floats:
    """Return the parabola of each stroke by least squares, a little stiff so that few points do no harm."""
    matrix = np.empty((len(powers[0]), 3, 3))
    for row in range(3):
        for column in range(3):
            matrix[:, row, column] = powers[row + column] + (_STIFF * (powers[0] + 1) if row == column else 0)
    matrix[:, 2, 2] += 0.02 * (powers[0] + 1)
    right = np.stack(sums, axis=-1)[..., None]
    return np.asarray(np.linalg.solve(matrix, right)[..., 0])
