"""Readers put to photographs: each in a process of its own, timed, with what it remembers at most."""

from __future__ import annotations

import os
import resource
import subprocess
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from typing import Any

from tests.bench.photos import baselines
from tests.bench.photos.score import Outcome, score
from tests.bench.photos.store import Kept

PLAIN = "plain"
"""One pass of ``tesseract photo -``, the measure of time: it reads no panel."""
PLAIN_PER_TIER = 3


@dataclass(frozen=True, slots=True)
class Read:
    """What came of one photograph: the JSON panel (None for none), seconds, MB at most, and why it failed."""

    reader: str
    kept: Kept
    panel: Mapping[str, Any] | None
    seconds: float
    megabytes: float
    fault: str = ""

    def outcomes(self) -> dict[str, Outcome]:
        """Return the outcome of each field."""
        return score(self.panel, self.kept.truth())


def _shelfcheck(photo: bytes) -> dict[str, Any]:
    from shelfcheck.panel_json import panel_to_json
    from shelfcheck.reading import read_panel

    return panel_to_json(read_panel(photo).panel)


READERS: dict[str, Callable[[bytes], dict[str, Any]]] = {
    "shelfcheck": _shelfcheck,
    "tesseract": baselines.tesseract,
    "rapidocr": baselines.rapidocr,
}


def run(readers: Sequence[str], photos: Sequence[Kept], jobs: int) -> Iterator[Read]:
    """Yield what each reader says of each photograph, and before them all the plain pass over some.

    Raises:
        SystemExit: when a reader is not installed; the message says how to install it.
    """
    if "rapidocr" in readers and not baselines.has_rapidocr():
        raise SystemExit(baselines.NO_RAPIDOCR)
    # Tesseract is tenfold slower when its threads compete, and onnxruntime counts its own
    os.environ |= {"OMP_THREAD_LIMIT": "1", "OMP_NUM_THREADS": "1"}
    for reader in (PLAIN, *readers):
        some = list(_few(photos)) if reader == PLAIN else photos
        with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
            yield from pool.map(partial(_read, reader), some)


def _few(photos: Iterable[Kept]) -> Iterator[Kept]:
    """Yield the first photographs of each tier."""
    seen: dict[str, int] = {}
    for kept in photos:
        seen[kept.tier] = seen.get(kept.tier, 0) + 1
        if seen[kept.tier] <= PLAIN_PER_TIER:
            yield kept


def _read(reader: str, kept: Kept) -> Read:
    photo, panel, fault = kept.path.read_bytes(), None, ""
    started = time.perf_counter()
    if reader == PLAIN:
        subprocess.run(["tesseract", str(kept.path), "-"], capture_output=True, check=True)
    else:
        try:
            panel = READERS[reader](photo)
        except Exception as error:  # noqa: BLE001 - a reader that fails has read nothing, and the table says so
            fault = f"{type(error).__name__}: {error}"
    seconds = time.perf_counter() - started
    kilobytes = sum(
        resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return Read(reader, kept, panel, seconds, kilobytes / 1024, fault)
