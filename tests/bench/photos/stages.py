"""Where the time goes: each room of reading by itself, over the same photographs."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median

from shelfcheck.reading.candidates import find_fields
from shelfcheck.reading.detect import find_print
from shelfcheck.reading.linewise import Networks
from shelfcheck.reading.photo import decode
from shelfcheck.reading.reconcile import reconcile
from shelfcheck.reading.rows import find_lines
from shelfcheck.reading.servings import find_serving
from shelfcheck.reading.strips import cut, read
from tests.bench.photos.store import Kept

ROOMS = ("decode", "find print", "cut strips", "read strips", "lines", "candidates", "reconcile")


def lines(photos: Sequence[Kept]) -> Iterator[str]:
    """Yield the median and the ninth tenth of each room's time, in milliseconds, and their share."""
    times = [_times(kept) for kept in photos]
    whole = sum(median(column) for column in zip(*times, strict=True))
    yield f"{'room':<14}{'p50 ms':>8}{'p90 ms':>8}{'share':>8}"
    for room, column in zip(ROOMS, zip(*times, strict=True), strict=True):
        late = sorted(column)[int(0.9 * len(column))]
        yield f"{room:<14}{1000 * median(column):>8.1f}{1000 * late:>8.1f}{median(column) / whole:>8.0%}"


def _times(kept: Kept) -> list[float]:
    photo = kept.path.read_bytes()
    leaf = Networks().read(decode(photo))
    marks = [time.perf_counter()]

    def mark() -> None:
        marks.append(time.perf_counter())

    picture = decode(photo)
    mark()
    strokes = find_print(picture.gray)
    mark()
    strips = cut(picture.gray, strokes)
    mark()
    read(strips)
    mark()
    page = find_lines(leaf.words)
    mark()
    fields, serving = find_fields(page), find_serving(page)
    mark()
    reconcile(fields, serving)
    mark()
    return [after - before for before, after in pairwise(marks)]
