"""Photographs that every test run reads, smaller than they were taken: ``python -m tests.bench.photos keep``.

They stand in ``tests/reading/photos``, two or three of each tier, in ten layouts.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from pathlib import Path

from PIL import Image

from tests.bench.photos.camera import TIERS
from tests.bench.photos.store import Kept, wanted

FOLDER = Path(__file__).parents[2] / "reading" / "photos"
_NUMBERS = {"flat": (2, 5), "hand": (3, 4, 9), "curved": (3, 10, 6), "hard": (3, 9)}
_SIDE, _QUALITY = 1900, 72


def chosen(root: Path) -> list[Kept]:
    """Return the photographs to keep, of the set "tune"."""
    most = 1 + max(max(numbers) for numbers in _NUMBERS.values())
    every = wanted("tune", TIERS, most, root)
    return [kept for kept in every if kept.seed % 2_000 in _NUMBERS[kept.tier]]


def keep(photos: list[Kept]) -> Iterator[Path]:
    """Write each photograph and what is truly on it, and yield where."""
    FOLDER.mkdir(exist_ok=True)
    for kept in photos:
        image = Image.open(kept.path)
        orientation = image.info.get("exif", b"")
        image.thumbnail((_SIDE, _SIDE))
        out = io.BytesIO()
        image.save(out, "JPEG", quality=_QUALITY, exif=orientation)
        path = FOLDER / f"{kept.tier}_{kept.layout}.jpg"
        path.write_bytes(out.getvalue())
        truth = kept.truth()
        within = {name: {"within": field["within"]} for name, field in truth["fields"].items()}
        path.with_suffix(".json").write_text(
            json.dumps({"panel": truth["panel"], "fields": within}, ensure_ascii=False, indent=1) + "\n",
            encoding="utf-8",
        )
        yield path
