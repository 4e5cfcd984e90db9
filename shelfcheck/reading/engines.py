"""Which engine reads a photo: the networks where they are installed, else Tesseract."""

from __future__ import annotations

from importlib.util import find_spec

from shelfcheck.reading.leaf import Engine
from shelfcheck.reading.tesseract import SECONDS, Tesseract
from shelfcheck.words import DEFAULT

LIBRARIES = ("cv2", "onnxruntime")
"""What the networks need: the extra ``photos`` of the package."""


def engine_for(lang: str = DEFAULT, seconds: float = SECONDS) -> Engine:
    """Return the best engine of this machine; ``seconds`` bounds one that runs a program of its own."""
    if all(find_spec(name) is not None for name in LIBRARIES):
        from shelfcheck.reading.linewise import Networks

        return Networks()
    return Tesseract(seconds=seconds, lang=lang)


def make_ready() -> None:
    """Load what reading needs, so that the first photo does not wait for it."""
    if engine_for().name == "networks":
        from shelfcheck.reading.nets import NAMES, network

        for name in NAMES:
            network(name)
