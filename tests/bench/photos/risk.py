"""The bars of reconciling put to the test: how much is sure at each looseness, and how much of it is wrong.

This is a risk-coverage curve (Geifman and El-Yaniv, Selective Classification for Deep Neural Networks, 2017):
coverage is the share of printed fields that are exact and sure, risk the share of sure fields that are wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing import get_context

from shelfcheck.errors import ShelfcheckError
from shelfcheck.reading import read_panel
from shelfcheck.reading.bars import BARS
from shelfcheck.reading.reconcile import reconcile
from tests.bench.photos.score import Outcome, score, tally
from tests.bench.photos.store import Kept

LOOSENESS = (0.02, 0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0)
_WIDE, _HIGH, _EDGE = 640, 400, 56
_LEAST, _MOST = 0.85, 1.0
"""The shares at the left and right end of the picture."""


@dataclass(frozen=True, slots=True)
class Point:
    """What comes of one looseness: counts of fields."""

    looseness: float
    exact: int
    silent: int
    printed: int

    @property
    def coverage(self) -> float:
        """The share of printed fields that are exact and sure."""
        return self.exact / max(1, self.printed)

    @property
    def risk(self) -> float:
        """The share of sure fields that are wrong."""
        return self.silent / max(1, self.exact + self.silent)


def curve(photos: Sequence[Kept], jobs: int) -> list[Point]:
    """Return a point for each looseness of the bars; each photograph is read once."""
    counts: dict[float, Counter[Outcome]] = {looseness: Counter() for looseness in LOOSENESS}
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        for outcomes in pool.map(_outcomes, photos):
            for looseness, count in zip(LOOSENESS, outcomes, strict=True):
                counts[looseness] += count
    printed = tally(score(None, kept.truth()) for kept in photos)["missing"]
    return [Point(looseness, count["exact"], count["silent"], printed) for looseness, count in counts.items()]


def _outcomes(kept: Kept) -> list[Counter[Outcome]]:
    panels: Iterable[object] = [None] * len(LOOSENESS)
    with suppress(ShelfcheckError):
        reading = read_panel(kept.path.read_bytes())
        panels = [reconcile(reading.fields, reading.serving, BARS.scaled(each)) for each in LOOSENESS]
    return [tally([score(panel, kept.truth())]) for panel in panels]  # type: ignore[arg-type]


def lines(points: Sequence[Point]) -> Iterator[str]:
    """Yield the table."""
    yield f"{'looseness':>9}{'coverage':>10}{'silent':>8}{'risk':>9}"
    for point in points:
        yield f"{point.looseness:>9}{point.coverage:>10.1%}{point.silent:>8}{point.risk:>9.3%}"


def drawn(points: Sequence[Point]) -> str:
    """Return the curve as SVG; the bars in use are the full dot."""
    top = max(0.004, max(point.risk for point in points) * 1.1)

    def at(point: Point) -> tuple[float, float]:
        across = (point.coverage - _LEAST) / (_MOST - _LEAST)
        return (
            _EDGE + (_WIDE - 2 * _EDGE) * across,
            _HIGH - _EDGE - (_HIGH - 2 * _EDGE) * point.risk / top,
        )

    places = [at(point) for point in points]
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    dots = "".join(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{"#176b45" if point.looseness == 1 else "#fff"}" '
        f'stroke="#176b45" stroke-width="2"><title>{point.looseness}</title></circle>'
        for point, (x, y) in zip(points, places, strict=True)
    )
    ground = _HIGH - _EDGE
    ticks = "".join(
        f'<text x="{_EDGE + (_WIDE - 2 * _EDGE) * part / 3:.0f}" y="{ground + 18}" text-anchor="middle">'
        f"{_LEAST + (_MOST - _LEAST) * part / 3:.0%}</text>"
        f'<text x="{_EDGE - 6}" y="{ground - (ground - _EDGE) * part / 3 + 4:.0f}" text-anchor="end">'
        f"{top * part / 3:.2%}</text>"
        for part in range(4)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_HIGH}" font-family="sans-serif" '
        f'font-size="12" fill="#222"><rect width="{_WIDE}" height="{_HIGH}" fill="#fff"/>'
        f'<path d="M{_EDGE} {_EDGE}V{ground}H{_WIDE - _EDGE}" fill="none" stroke="#888"/>{ticks}'
        f'<text x="{_WIDE / 2}" y="{_HIGH - 12}" text-anchor="middle">printed fields exact and sure</text>'
        f'<text x="{_EDGE}" y="{_EDGE - 16}">sure fields that are wrong, by the looseness of the bars '
        f"(full dot: in use)</text>"
        f'<polyline points="{path}" fill="none" stroke="#176b45" stroke-width="2"/>{dots}</svg>\n'
    )
