"""Strange pictures for the reader: it may refuse them, but not crash, nor be sure of what is not there."""

from __future__ import annotations

import resource
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from shelfcheck.errors import NotAPanelError, ShelfcheckError
from shelfcheck.panel_json import panel_to_json
from shelfcheck.reading import read_panel
from tests.bench.photos.strange import KINDS, Strange, strange

Value = tuple[float | str | None, bool, float | None]
"""Amount or word, whether "less than" stands before it, and percent."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one picture: ``end`` is "panel", why it was refused, or, for a crash, the exception."""

    picture: Strange
    end: str
    crashed: bool
    silent: tuple[str, ...]
    seconds: float


def put(picture: Strange) -> Outcome:
    """Put one picture to the reader."""
    started = time.perf_counter()
    crashed, silent = False, ()
    try:
        end, silent = "panel", tuple(untrue(panel_to_json(read_panel(picture.photo).panel), picture.panels))
    except NotAPanelError as error:
        end = error.reason
    except ShelfcheckError as error:
        end = error.code
    except Exception as error:  # noqa: BLE001 - a crash is what is counted here
        crashed, end = True, f"{type(error).__name__}: {error}"
    return Outcome(picture, end, crashed, silent, time.perf_counter() - started)


def run(count: int) -> Iterator[Outcome]:
    """Yield the outcome of ``count`` pictures, each kind in turn."""
    kinds = list(KINDS)
    for number in range(count):
        yield put(strange(kinds[number % len(kinds)], number // len(kinds)))


def untrue(read: Mapping[str, Any], panels: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Yield what the panel ``read`` is sure of and none of ``panels`` prints: the path, read and printed."""
    printed = [one for panel in panels for one in _said(panel, every=True)]
    for path, value in _said(read):
        true = [one for place, one in printed if place == path]
        # the samples' own files leave the pieces out
        if path != "serving.pieces" and not any(_agree(value, one) for one in true):
            yield f"{path}: read {_told(value)}, printed {' or '.join(map(_told, true)) or 'nothing'}"


def _said(panel: Mapping[str, Any], *, every: bool = False) -> Iterator[tuple[str, Value]]:
    """Yield the path and value of each field that is sure, or of every field."""
    tables = {"nutrients": panel["nutrients"], "serving": panel["serving"]}
    tables |= {f"columns.{name}": column for name, column in (panel.get("columns") or {}).items()}
    for name, table in tables.items():
        for key, field in table.items():
            if not isinstance(field, dict) or (field.get("state", "sure") != "sure" and not every):
                continue
            value = field.get("value"), bool(field.get("less_than")), field.get("percent_dv")
            if value[0] is not None or value[2] is not None:
                # which column it is may be told by a heading that is not on the picture any more
                yield f"{name.partition('.')[0]}.{key}", value


def _agree(read: Value, printed: Value) -> bool:
    """Tell whether what is read is printed; a percent or an amount may be left out."""
    pairs = [(read[0], printed[0]), (read[2], printed[2])]
    return read[1] == printed[1] and all(mine is None or mine == true for mine, true in pairs)


def _told(value: Value) -> str:
    amount, less_than, percent = value
    return f"{'<' if less_than else ''}{amount}" + ("" if percent is None else f" ({percent:g} %)")


def table(outcomes: Sequence[Outcome]) -> Iterator[str]:
    """Yield what came of each kind of picture, then all of them, the time and the memory."""
    yield f"{'kind':<12}{'pictures':>9}{'crashes':>9}{'panels':>8}{'silent':>8}  refused"
    kinds = dict.fromkeys(one.picture.kind for one in outcomes)
    for name, some in (
        *((kind, [one for one in outcomes if one.picture.kind == kind]) for kind in kinds),
        ("all", outcomes),
    ):
        refused = Counter(one.end for one in some if not one.crashed and one.end != "panel")
        yield (
            f"{name:<12}{len(some):>9}{sum(one.crashed for one in some):>9}"
            f"{sum(one.end == 'panel' for one in some):>8}{sum(len(one.silent) for one in some):>8}"
            f"  {', '.join(f'{reason} {number}' for reason, number in refused.most_common())}"
        )
    seconds = [one.seconds for one in outcomes]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    yield f"seconds: median {median(seconds):.2f}, most {max(seconds):.2f}; memory at most {peak:.0f} MB"
