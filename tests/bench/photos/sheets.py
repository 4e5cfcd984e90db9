"""Contact sheets of photographs, to look at, and what was measured of them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from statistics import quantiles

from PIL import Image, ImageDraw, ImageOps

from tests.bench.photos.store import Kept

_CELL = 520
_ACROSS = 4
_PER_SHEET = 12


def contact_sheets(photos: Sequence[Kept], into: Path) -> list[Path]:
    """Write sheets of twelve photographs, upright and with their fields outlined; return their paths."""
    into.mkdir(parents=True, exist_ok=True)
    made = []
    for start in range(0, len(photos), _PER_SHEET):
        some = photos[start : start + _PER_SHEET]
        rows = -(-len(some) // _ACROSS)
        sheet = Image.new("RGB", (_ACROSS * _CELL, rows * _CELL), "#404040")
        for number, kept in enumerate(some):
            thumb = _thumb(kept)
            sheet.paste(thumb, ((number % _ACROSS) * _CELL, (number // _ACROSS) * _CELL))
        path = into / f"{some[0].tier}_{start // _PER_SHEET:02}.jpg"
        sheet.save(path, quality=88)
        made.append(path)
    return made


def _thumb(kept: Kept) -> Image.Image:
    """Return a small upright copy; what a person can't read is outlined in red."""
    truth = kept.truth()
    with Image.open(kept.path) as stored:
        stored.draft("RGB", (_CELL * 2, _CELL * 2))
        upright = ImageOps.exif_transpose(stored)
    upright.thumbnail((_CELL - 4, _CELL - 4))
    scale = upright.width / truth["size"][0]
    pen = ImageDraw.Draw(upright)
    for field in truth["fields"].values():
        if not field["readable"]:
            corners = [(x * scale, y * scale) for x, y in field["polygon"]]
            pen.polygon(corners, outline="red")
    x_height, blur = truth["x_height"], truth["blur"]
    pen.text(
        (4, 4),
        f"{kept.seed} {kept.layout}  x {x_height:g} blur {blur:g}",
        fill="yellow",
        stroke_width=2,
        stroke_fill="black",
    )
    return upright


def measured(photos: Sequence[Kept]) -> list[str]:
    """Return a line for each tier: x-height of the smallest scored print, blur, what is unreadable."""
    lines = []
    for tier in dict.fromkeys(kept.tier for kept in photos):
        truths = [kept.truth() for kept in photos if kept.tier == tier]
        fields = [field for truth in truths for field in truth["fields"].values()]
        if not fields or len(truths) < 2:
            continue
        unread = sum(not field["readable"] for field in fields)
        lines.append(
            f"{tier:<9} {len(truths):>4} photos  x-height {_spread([truth['x_height'] for truth in truths])}"
            f"  finest {_spread([truth['finest'] for truth in truths])}"
            f"  blur {_spread([truth['blur'] for truth in truths])}"
            f"  sharpness {_spread([truth['sharpness'] for truth in truths])}"
            f"  unreadable fields {unread} of {len(fields)} ({unread / len(fields):.1%})"
        )
    return lines


def _spread(values: Sequence[float]) -> str:
    """Return the tenth, the middle and the ninetieth of a hundred."""
    cuts = quantiles(values, n=10, method="inclusive")
    return "/".join(f"{cuts[at]:.3g}" for at in (0, 4, 8))
