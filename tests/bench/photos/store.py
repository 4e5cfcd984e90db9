"""Sets of photographs on disk, made once: ``<folder>/<set>/<tier>/<seed>_<layout>.jpg`` and ``.json``."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.bench.photos import camera, negatives
from tests.bench.photos.more_layouts import LAYOUTS
from tests.bench.photos.press import Press, press

SETS = {"train": 0, "tune": 10_000, "check": 20_000, "probe": 30_000, "trial": 40_000, "held": 50_000}
"""The first seed of each set; a set has 10 000 seeds, of which each tier takes its own 2 000."""
TIERS = (*camera.TIERS, negatives.NAME)
_PER_TIER = 2_000
_STRIDE = 5
"""Layouts are taken in steps of this many, so that a small set holds many kinds."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A photograph on disk; ``layout`` is the kind of a negative."""

    tier: str
    seed: int
    layout: str
    path: Path

    def truth(self) -> dict[str, Any]:
        """Return what is truly on the photograph."""
        found: dict[str, Any] = json.loads(self.path.with_suffix(".json").read_text(encoding="utf-8"))
        return found


def folder() -> Path:
    """Return where photographs are kept: ``$SHELFCHECK_PHOTOS``, or a folder in the user's cache."""
    return Path(os.environ.get("SHELFCHECK_PHOTOS") or Path.home() / ".cache" / "shelfcheck" / "photos")


def wanted(set_name: str, tiers: tuple[str, ...], per_tier: int, root: Path) -> list[Kept]:
    """Return the first ``per_tier`` photographs of each tier of a set, made or not."""
    out = []
    for tier in tiers:
        kinds = negatives.ALL if tier == negatives.NAME else tuple(LAYOUTS)
        for number in range(per_tier):
            seed = SETS[set_name] + TIERS.index(tier) * _PER_TIER + number
            layout = kinds[(number * _STRIDE + TIERS.index(tier)) % len(kinds)]
            out.append(Kept(tier, seed, layout, root / set_name / tier / f"{seed:05}_{layout}.jpg"))
    return out


def make(photos: list[Kept]) -> Iterator[Kept]:
    """Take the photographs that are not on disk yet, and yield each once it is."""
    missing = [kept for kept in photos if not kept.path.with_suffix(".json").is_file()]
    if not missing:
        return
    with press() as running:
        for kept in missing:
            _take(running, kept)
            yield kept


def _take(running: Press, kept: Kept) -> None:
    if kept.tier == negatives.NAME:
        jpeg, truth = negatives.photo(running, kept.seed, kept.layout)
    else:
        jpeg, truth = camera.photo(running, kept.seed, kept.tier, kept.layout)
    kept.path.parent.mkdir(parents=True, exist_ok=True)
    kept.path.write_bytes(jpeg)
    # the truth comes last: a photograph without it is taken again
    kept.path.with_suffix(".json").write_text(
        json.dumps(truth, ensure_ascii=False, indent=1), encoding="utf-8"
    )
