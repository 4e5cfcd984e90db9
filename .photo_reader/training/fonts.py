"""The fonts that lines are drawn in: ``fonts.json`` lists the faces, ``gather_fonts.py`` fills ``fonts/``."""

from __future__ import annotations

import json
import random
from functools import cache, lru_cache

from charset import CHARS, HERE
from PIL import ImageFont

FOLDER, LIST = HERE / "fonts", HERE / "fonts.json"
HELD = frozenset({"TeX Gyre Heros Cn w75", "Cabin", "Nimbus Sans", "Karla", "Caladea", "Open Sans"})
"""Families that the recogniser never learns from: it is judged on them."""
_COMMON = (
    "Liberation Sans",
    "Arimo",
    "Nimbus Sans",
    "Heros",
    "Roboto",
    "Open Sans",
    "Inter",
    "Noto Sans",
    "DejaVu Sans",
    "Carlito",
    "Gillius",
    "Lato",
)
"""Families like those that most labels are set in; they make up two thirds of all lines."""

Family = dict[str, str]
"""Kind of face ("regular", "semi", "bold", "black", "regular_italic") to the name of its file."""


@cache
def families() -> dict[str, Family]:
    """Return the families whose plain face lies in ``fonts/``, by name.

    Raises:
        SystemExit: when there is none.
    """
    have = {path.name for path in FOLDER.glob("*")}
    listed: dict[str, Family] = json.loads(LIST.read_text(encoding="utf-8"))
    here = {
        name: {kind: file for kind, file in faces.items() if file in have} for name, faces in listed.items()
    }
    found = {name: faces for name, faces in here.items() if "regular" in faces or "semi" in faces}
    if not found:
        raise SystemExit(f"No fonts in {FOLDER}. Run gather_fonts.py first.")
    return found


def pick_family(r: random.Random, among: dict[str, Family]) -> Family:
    """Return one family of ``among``, most often a common one."""
    names = list(among)
    common = [name for name in names if any(part in name for part in _COMMON)]
    return among[r.choice(common) if r.random() < 0.65 else r.choice(names)]


def face(family: Family, kind: str) -> str:
    """Return the file of a face: "r" plain, "b" bold, "k" black, "i" italic, or the nearest to it."""
    wanted = {"b": ("bold",), "k": ("black", "bold"), "i": ("regular_italic", "regular")}.get(
        kind, ("regular",)
    )
    order = (*wanted, "semi", "regular")
    return next(family[name] for name in order if name in family)


@lru_cache(maxsize=1500)
def font(name: str, size: int) -> ImageFont.FreeTypeFont:
    """Return a font by its file and its size in pixels."""
    return ImageFont.truetype(str(FOLDER / name), size)


@lru_cache(maxsize=1500)
def letters(name: str, size: int) -> frozenset[str]:
    """Return the letters of ours that a font has."""
    own = font(name, size)
    return frozenset(c for c in CHARS if c == " " or own.getmask(c).getbbox())


@lru_cache(maxsize=3000)
def reach(name: str, size: int) -> tuple[float, float]:
    """Return how far the letters "d" and "g" of a font reach above and below the baseline, in pixels."""
    own = font(name, size)
    return -own.getbbox("Hd", anchor="ls")[1], own.getbbox("gp", anchor="ls")[3]
