"""Where print stands on a photo: quads around lines of text, turned so that they read upright.

The detector is the small PP-OCRv6 model that the rapidocr wheel carries (Apache License 2.0).
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from shelfcheck.reading.photo import Gray
from shelfcheck.reading.strips import certainty, cut, session

Quads = NDArray[np.float32]
"""n x 4 x 2 corners in pixels of the picture: top left, top right, bottom right, bottom left as read."""

SIDE = 1280
_MULTIPLE = 32
_MEAN = np.array([0.485, 0.456, 0.406], np.float32)[:, None, None]
_SPREAD = np.array([0.229, 0.224, 0.225], np.float32)[:, None, None]
_ASKED = 12
_CLEAR = -0.02
"""Lines asked which way is up, and how sure the network is of upright print in a good picture. Measured."""


def find_print(gray: Gray, side: int = SIDE) -> Quads:
    """Return quads around the lines of text on ``gray``, in no order, each as it lies on the picture."""
    height, width = gray.shape
    scale = min(1.0, side / max(height, width))
    size = tuple(max(_MULTIPLE, round(edge * scale / _MULTIPLE) * _MULTIPLE) for edge in (width, height))
    small = cv2.resize(gray, size, interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    image = (np.broadcast_to(small, (3, *small.shape)) - _MEAN) / _SPREAD
    model = _model()
    (found,) = model.run(None, {model.get_inputs()[0].name: image[None].astype(np.float32)})
    quads, _ = _to_quads()(found, (height, width))
    return np.asarray(quads, np.float32).reshape(-1, 4, 2)


def upright(gray: Gray, quads: Quads) -> Quads:
    """Return the quads with their corners in reading order, whichever way the picture was turned.

    Lines are longer than high, which leaves two ways; the network tells which of them it can read.
    """
    wide = np.linalg.norm(quads[:, 1] - quads[:, 0], axis=1)
    high = np.linalg.norm(quads[:, 3] - quads[:, 0], axis=1)
    longest = np.argsort(-np.maximum(wide, high))[:_ASKED]
    lying = wide[wide > high].sum() >= high[high > wide].sum()
    best, best_turn = -np.inf, 0
    for turn in (0, 2) if lying else (1, 3):
        sure = certainty([cut(gray, quad) for quad in np.roll(quads[longest], turn, axis=1)])
        if sure > best:
            best, best_turn = sure, turn
        if sure > _CLEAR:
            break
    return np.roll(quads, best_turn, axis=1)


@cache
def _model() -> Any:
    spec = find_spec("rapidocr")
    folder = Path(spec.origin).parent if spec and spec.origin else Path()
    return session(folder / "models" / "PP-OCRv6_det_small.onnx")


@cache
def _to_quads() -> Any:
    """Return the step that draws quads around the detector's map of print."""
    from rapidocr.ch_ppocr_det.utils import DBPostProcess

    return DBPostProcess(
        thresh=0.3,
        box_thresh=0.45,
        max_candidates=1000,
        unclip_ratio=1.5,
        use_dilation=False,
        score_mode="fast",
    )
