"""``python gather_fonts.py``: fill ``fonts/`` with the faces of ``fonts.json`` that this machine has.

Each is cut down to the letters that we draw. Faces that are missing are named; training goes without them.
"""

from __future__ import annotations

import json
import logging
import subprocess
from pathlib import Path

from charset import CHARS
from fonts import FOLDER, LIST
from fontTools import subset


def installed() -> dict[str, Path]:
    """Return the font files of this machine by their names, the first that fontconfig lists of each."""
    listing = subprocess.run(["fc-list", "--format", "%{file}\n"], check=True, capture_output=True, text=True)
    return {path.name: path for path in map(Path, reversed(listing.stdout.splitlines()))}


def cut_down(source: Path, target: Path) -> None:
    """Write the font with our letters alone."""
    options = subset.Options()
    options.layout_features = ["kern", "liga"]
    options.hinting = False
    options.notdef_outline = True
    options.name_IDs = [1, 2]
    options.drop_tables += ["DSIG", "FFTM"]
    font = subset.load_font(source, options)
    cutter = subset.Subsetter(options)
    cutter.populate(text=CHARS)
    cutter.subset(font)
    subset.save_font(font, target, options)


def main() -> None:
    """Gather every listed face."""
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    have = installed()
    wanted = {
        file for faces in json.loads(LIST.read_text(encoding="utf-8")).values() for file in faces.values()
    }
    FOLDER.mkdir(exist_ok=True)
    for file in sorted(wanted & have.keys()):
        cut_down(have[file], FOLDER / file)
    missing = sorted(wanted - have.keys())
    print(f"{len(wanted) - len(missing)} faces in {FOLDER}. Missing: {', '.join(missing) or 'none'}")


if __name__ == "__main__":
    main()
