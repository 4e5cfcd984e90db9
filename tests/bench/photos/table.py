"""The tables of a run: how much each reader got right in each tier, how long it took, and field by field."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from statistics import median

from tests.bench.photos.bench import PLAIN, Read
from tests.bench.photos.negatives import NAME
from tests.bench.photos.score import FIELDS, OUTCOMES, Outcome, core_right, tally


def accuracy(reads: Sequence[Read]) -> list[str]:
    """Return the main table: of the printed fields those exact and sure, then how many are silently wrong."""
    tiers = [tier for tier in dict.fromkeys(read.kept.tier for read in reads) if tier != NAME]
    wide = 26
    heads = "".join(f"{tier:<{wide}}" for tier in (*tiers, "all"))
    lines = [
        f"{'':<12}{heads}{'core right':<14}{'negatives':<20}",
        f"{'reader':<12}" + f"{'exact  +check  silent':<{wide}}" * (len(tiers) + 1),
    ]
    for reader in _readers(reads):
        own = [read for read in reads if read.reader == reader]
        seen = [read for read in own if read.kept.tier != NAME]
        cells = [_cell([read for read in seen if read.kept.tier == tier]) for tier in tiers]
        right = sum(core_right(read.outcomes()) for read in seen)
        negatives = [read for read in own if read.kept.tier == NAME]
        silent = tally(read.outcomes() for read in negatives)["silent"]
        row = "".join(f"{text:<{wide}}" for text in (*cells, _cell(seen)))
        lines.append(f"{reader:<12}{row}{f'{right} of {len(seen)}':<14}{silent} silent on {len(negatives)}")
    return lines


def _cell(reads: Sequence[Read]) -> str:
    counts = tally(read.outcomes() for read in reads)
    printed = _printed(reads)
    if not printed:
        return "-"
    exact, doubted = counts["exact"] / printed, counts["doubted"] / printed
    return f"{exact:>6.1%} {doubted:>6.1%} {counts['silent']:>4} of {printed}"


def _printed(reads: Sequence[Read]) -> int:
    """Return how many of the scored fields are printed on the photographs."""
    blank = (Read(read.reader, read.kept, None, 0, 0).outcomes() for read in reads)
    return tally(blank)["missing"]


def cost(reads: Sequence[Read]) -> list[str]:
    """Return the times, also as multiples of the plain pass over the same photographs, and the memory."""
    plain = {read.kept.path: read.seconds for read in reads if read.reader == PLAIN}
    lines = [f"{'reader':<12}{'p50 s':>8}{'p90 s':>8}{'x plain':>9}{'peak MB':>9}{'failed':>8}"]
    for reader in (*([PLAIN] if plain else []), *_readers(reads)):
        own = [read for read in reads if read.reader == reader]
        times = sorted(read.seconds for read in own)
        ratios = [read.seconds / plain[read.kept.path] for read in own if read.kept.path in plain]
        ratio = f"{median(ratios):.2f}" if ratios else "-"
        late = times[min(len(times) - 1, int(0.9 * len(times)))]
        faults = sum(bool(read.fault) for read in own)
        peak = max(read.megabytes for read in own)
        lines.append(f"{reader:<12}{median(times):>8.2f}{late:>8.2f}{ratio:>9}{peak:>9.0f}{faults:>8}")
    return lines


def fields(reads: Sequence[Read], reader: str) -> list[str]:
    """Return one line for each field: how often each outcome came out."""
    counts: dict[str, Counter[Outcome]] = {name: Counter() for name in FIELDS}
    for read in reads:
        if read.reader == reader:
            for name, outcome in read.outcomes().items():
                counts[name][outcome] += 1
    head = f"{reader:<24}" + "".join(f"{outcome:>9}" for outcome in OUTCOMES)
    return [
        head,
        *(f"{name:<24}" + "".join(f"{counts[name][outcome]:>9}" for outcome in OUTCOMES) for name in FIELDS),
    ]


def silent(reads: Sequence[Read]) -> list[str]:
    """Return a line for each photograph with a silently wrong field."""
    lines = []
    for read in reads:
        wrong = (
            [name for name, outcome in read.outcomes().items() if outcome == "silent"] if read.panel else []
        )
        if wrong:
            lines.append(f"{read.reader} {read.kept.tier} {read.kept.path.name}: {', '.join(wrong)}")
    return lines


def _readers(reads: Sequence[Read]) -> list[str]:
    return [reader for reader in dict.fromkeys(read.reader for read in reads) if reader != PLAIN]
