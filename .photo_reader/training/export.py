"""``python export.py [FOLDER]``: write the package's ONNX files from the checkpoints in ``../models``."""

from __future__ import annotations

import sys
from pathlib import Path

import train_find
import train_strips
from charset import CHARS, MODELS
from common import CHECKPOINTS, load
from find_net import Find
from strips_net import Strips


def main(folder: Path) -> None:
    """Write both networks into ``folder``."""
    train_find.write(load(Find(), CHECKPOINTS / "find.pt"), folder / "find.onnx")
    train_strips.write(load(Strips(len(CHARS) + 1), CHECKPOINTS / "strips.pt"), folder / "strips.onnx")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else MODELS)
