"""Where print stands on a photo: every piece of a line, which way it reads, how high it is and how it bends.

A small network of our own (``models/find.onnx``; ``models/README.md`` tells how it was trained) says for
every fourth pixel whether a line of text runs there and a panel lies there, which way the text reads, and
how far it is to the top and the foot of its letters. It looks twice: at the whole picture, for the panel and
the size of its print, then at the panel, turned upright and scaled so that its print has the best size.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from shelfcheck.reading.nets import network
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.strokes import Cells, Floats, Strokes

_CELL, _MULTIPLE = 4, 32
_COARSE = 1024
_BEST_HEIGHT = 21.0
"""Pixels from the top of a "d" to the foot of a "g" at which small print is found best. Measured."""
_FINEST = 1.6
_MOST_PIXELS = 1_700_000
_SMALL = 30
"""The percentile of the heights of print on a panel that the second look is scaled for."""
_TEXT, _PANEL = 0.5, 0.5
_FIRST = 0.7
"""What the first look weighs against the second in where the panel lies."""
_MIDDLE = 0.5
"""How far from the middle of its line, as a share of half the height, a cell may be: lines stay apart."""
_LEAST_CELLS, _LEAST_LINES = 2, 3
_ROOM, _WIDE = 0.05, 0.3
_LONG = 2.0
"""A line tells a direction when it is this many times longer than high."""
_WHOLE = 0.5
_TWO_LINES = 0.6
"""Cells whose lines' middles lie apart by more than this share of the height are of two lines that touch."""
_INSET = 0.15
"""How far the network was taught to stop before the ends of a line, as a share of its height."""
_SLIVER = 0.2
"""What is so much narrower than high is a part of a letter."""
_STRAY = 0.4
"""The cosine of the angle to the usual direction beyond which print is no part of the panel."""

Map = NDArray[np.float32]
"""7 x rows x columns of what the network says; ``_Look`` names them."""


@dataclass(frozen=True, slots=True)
class _Look:
    """What the network says of a picture, cell by cell; heights in pixels of what it was shown."""

    text: NDArray[np.float32]
    panel: NDArray[np.float32]
    along: NDArray[np.float32]
    up: NDArray[np.float32]
    down: NDArray[np.float32]


Scope = Literal["panel", "around", "picture"]
"""Where print is looked for: on the panel, in a wide window around it, or anywhere."""


def find_print(gray: Gray, scope: Scope = "panel") -> Strokes:
    """Return the pieces of print on the panel of ``gray``, or on all of it where no panel stands out."""
    height, width = gray.shape
    scale = min(1.0, _COARSE / max(height, width))
    coarse = _look(_scaled(gray, scale))
    inside = None if scope == "picture" else _panel_of(coarse)
    framed = inside is not None
    if inside is None:
        inside = coarse.text > _TEXT
    core = inside & (coarse.text > _TEXT)
    if core.sum() < _LEAST_CELLS * _LEAST_LINES:
        return Strokes.none()
    turn = _turn_of(_strokes(coarse, inside))
    tall = float(np.percentile((coarse.up + coarse.down)[core], _SMALL)) / scale
    rows, columns = np.nonzero(inside)
    corners = (np.stack([columns, rows], axis=-1) * _CELL + _CELL / 2) / scale
    room = _WIDE if scope == "around" else _ROOM
    to_page, size = _window(corners, turn, min(_FINEST, _BEST_HEIGHT / max(tall, 1.0)), room)
    fine = _look(_warped(gray, to_page, size))
    within = _panel_of(_agreed(fine, coarse, to_page, scale)) if framed and scope == "panel" else None
    strokes = _strokes(_upright(fine), within).moved(
        np.asarray(cv2.invertAffineTransform(to_page), np.float64)
    )
    usual = np.array([np.cos(turn), np.sin(turn)])
    long_enough = strokes.ends[:, 1] - strokes.ends[:, 0] > _SLIVER * strokes.tall[:, 0]
    return strokes.only((strokes.along @ usual > _STRAY) & long_enough)


def _agreed(fine: _Look, coarse: _Look, to_page: NDArray[np.float64], scale: float) -> _Look:
    """Return the second look with what both looks say of where the panel lies."""
    cell = np.array([[_CELL / scale, 0, _CELL / 2 / scale], [0, _CELL / scale, _CELL / 2 / scale], [0, 0, 1]])
    to_fine = (to_page @ cell) / _CELL - np.array([[0, 0, 0.5], [0, 0, 0.5]])
    first = cv2.warpAffine(coarse.panel, to_fine, fine.panel.shape[::-1])
    return replace(fine, panel=np.asarray(_FIRST * first + (1 - _FIRST) * fine.panel, np.float32))


def _upright(look: _Look) -> _Look:
    """Return the look at an upright page: no print on it stands on its head or on its side."""
    across, down = look.along * np.where(look.along[0] < 0, -1, 1)
    aside = across < _STRAY
    return replace(look, along=np.stack([np.where(aside, 1, across), np.where(aside, 0, down)]))


def _turn_of(strokes: Strokes) -> float:
    """Return the angle at which most print reads, in radians clockwise from level.

    First the axis that most lines share, whichever way they read along it, and then the way.
    """
    length = strokes.ends[:, 1] - strokes.ends[:, 0]
    weight = length * (length > _LONG * strokes.tall[:, 0])
    angles = np.arctan2(strokes.along[:, 1], strokes.along[:, 0])
    near = np.ones(len(angles), bool)
    for _ in range(2):
        twice = np.exp(2j * angles)
        axis = float(np.angle((twice * weight * near).sum())) / 2
        near = np.cos(2 * (angles - axis)) > 0
    way = float((np.cos(angles - axis) * weight * near).sum())
    return axis if way > 0 else axis + np.pi


def _look(shown: Gray) -> _Look:
    """Put a picture whose sides are multiples of 32 to the network."""
    (found,) = network("find").run(None, {"gray": ((shown.astype(np.float32) - 128) / 64)[None, None]})
    out: Map = found[0]
    along = out[2:4] / (np.linalg.norm(out[2:4], axis=0) + 1e-6)
    up, down = np.exp2(np.clip(out[4:6], 0, 8)) - 1
    return _Look(_share(out[0]), _share(out[1]), along, up, down)


def _panel_of(look: _Look) -> NDArray[np.bool_] | None:
    """Return the cells of the panel with the most print in it; None where no panel holds any lines."""
    mask = (look.panel > _PANEL).astype(np.uint8)
    if not mask.any():
        return None
    # The halves of a panel that a thin line parts lie closer than a line of print is high.
    height = float(np.median((look.up + look.down)[mask > 0])) / _CELL
    count, labels = cv2.connectedComponents(
        cv2.dilate(mask, np.ones((2 * round(height / 2) + 1,) * 2, np.uint8))
    )
    text = np.bincount(labels.ravel(), (look.text > _TEXT).ravel().astype(np.float64), count)
    text[0] = 0
    best = int(text.argmax())
    if text[best] < _LEAST_CELLS * _LEAST_LINES * 4:
        return None
    room = 2 * round(float(np.median(look.up[labels == best])) / _CELL) + 3
    grown = cv2.dilate((labels == best).astype(np.uint8), np.ones((room, room), np.uint8))
    return np.asarray(grown > 0)


def _window(
    points: NDArray[np.float64], turn: float, scale: float, share: float
) -> tuple[NDArray[np.float64], tuple[int, int]]:
    """Return the map from the picture to an upright page around ``points``, and its width and height.

    ``share`` is the room left at each side, as a share of that side.
    """
    matrix = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    turned = points @ matrix.T
    low, high = turned.min(axis=0), turned.max(axis=0)
    room = (high - low) * share + 8
    low, high = low - room, high + room
    scale = min(scale, float(np.sqrt(_MOST_PIXELS / np.prod(high - low))))
    width, tall = (max(_MULTIPLE, int(np.ceil(side * scale / _MULTIPLE)) * _MULTIPLE) for side in high - low)
    shift = -low * scale
    return np.column_stack([matrix * scale, shift]), (width, tall)


def _warped(gray: Gray, to_page: NDArray[np.float64], size: tuple[int, int]) -> Gray:
    """Return the page; a picture much larger than it is averaged down first, so that no stroke is lost."""
    scale = float(np.sqrt(abs(np.linalg.det(to_page[:, :2]))))
    if scale < 0.75:  # below this, single pixels would be skipped
        smaller = cv2.resize(gray, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        factors = np.array([smaller.shape[1] / gray.shape[1], smaller.shape[0] / gray.shape[0]])
        to_page = np.column_stack([to_page[:, :2] / factors, to_page[:, 2]])
        gray = np.asarray(smaller, np.uint8)
    page = cv2.warpAffine(gray, to_page, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(page, np.uint8)


def _scaled(gray: Gray, scale: float) -> Gray:
    size = [max(_MULTIPLE, round(side * scale / _MULTIPLE) * _MULTIPLE) for side in gray.shape[::-1]]
    return np.asarray(cv2.resize(gray, size, interpolation=cv2.INTER_AREA), np.uint8)


def _strokes(look: _Look, inside: NDArray[np.bool_] | None = None) -> Strokes:
    """Return each run of cells that hold text as one stroke: its middle line, bend, ends and height."""
    mask = (look.text > _TEXT) & (np.abs(look.down - look.up) < _MIDDLE * (look.up + look.down))
    count, labels = cv2.connectedComponents(mask.astype(np.uint8))
    if inside is not None:
        # A line that stands in the panel for the most part belongs to it whole; of another its part does.
        size, within = (np.bincount(labels[where], minlength=count) for where in (mask, mask & inside))
        labels[~(inside | (within > _WHOLE * size)[labels])] = 0
    rows, columns = np.nonzero(labels)
    which = np.asarray(labels[rows, columns], np.int32)
    place = np.stack([columns, rows], axis=-1).astype(np.float64) * _CELL + (_CELL - 1) / 2
    along, up, down = (
        part[..., rows, columns].T.astype(np.float64) for part in (look.along, look.up, look.down)
    )
    cells = Cells(np.asarray(place, np.float64), along, up, down)
    strokes = Strokes.through(which, cells, _INSET, _CELL / 2)
    astray = strokes.astray(which, cells)
    fused = _apart(which, astray, len(strokes)) > _TWO_LINES
    if fused.any():
        which = np.where(fused[which] & (astray > 0), which + len(strokes), which).astype(np.int32)
        strokes = Strokes.through(which, cells, _INSET, _CELL / 2)
    return strokes.only(np.bincount(which, minlength=len(strokes)) >= _LEAST_CELLS)


def _apart(which: NDArray[np.int32], astray: Floats, count: int) -> Floats:
    """Return for each stroke how far apart its cells above and below its middle line are in the mean."""
    sides = [np.where(astray > 0, astray, 0), np.where(astray > 0, 0, -astray)]
    sizes = [np.bincount(which, side > 0, count) for side in sides]
    sums = [np.bincount(which, side, count) for side in sides]
    return np.asarray(sum(total / np.maximum(size, 1) for total, size in zip(sums, sizes, strict=True)))


def _share(logits: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(1 / (1 + np.exp(-logits)), np.float32)
