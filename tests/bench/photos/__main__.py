"""``python -m tests.bench.photos COMMAND``: photographs and readers of them.

Photographs are kept in ``$SHELFCHECK_PHOTOS``, by default in ``~/.cache/shelfcheck/photos``. Tune a reader on
the sets "train" and "tune", "check" now and then; "held" is for the numbers that are reported.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

from tests.bench.photos import bench, fitness, hostile, risk, sheets, small, stages, store, table


def _say(*lines: str) -> None:
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    sys.stdout.flush()


def _photos(options: argparse.Namespace) -> list[store.Kept]:
    """Return the photographs that the options name, taking those that are missing."""
    tiers = tuple(options.tiers.split(","))
    photos = store.wanted(options.set, tiers, options.per_tier, store.folder())
    started, count = time.perf_counter(), 0
    for count, kept in enumerate(store.make(photos), 1):  # noqa: B007 - the last count is used below
        _say(f"took {kept.path}")
    if count:
        _say(f"{count} photographs in {(time.perf_counter() - started) / count:.2f} s each")
    return photos


def make(options: argparse.Namespace) -> None:
    """Take the photographs and say what they are like."""
    _say(*sheets.measured(_photos(options)))


def show(options: argparse.Namespace) -> None:
    """Write contact sheets."""
    photos = _photos(options)
    for tier in dict.fromkeys(kept.tier for kept in photos):
        own = [kept for kept in photos if kept.tier == tier]
        _say(*map(str, sheets.contact_sheets(own, options.into / options.set)))


def keep(options: argparse.Namespace) -> None:  # noqa: ARG001 - each command takes the options
    """Write the small set that every test run reads."""
    photos = small.chosen(store.folder())
    for _ in store.make(photos):
        pass
    _say(*map(str, small.keep(photos)))


def score(options: argparse.Namespace) -> None:
    """Put the readers to the photographs and print the tables; ``--json`` keeps every panel that was read."""
    photos, readers = _photos(options), options.reader.split(",")
    reads = []
    for read in bench.run(readers, photos, options.jobs):
        reads.append(read)
        note = f"  {read.fault}" if read.fault else ""
        sys.stderr.write(f"{read.reader} {read.kept.path.name} {read.seconds:.1f} s{note}\n")
    parts = [table.accuracy(reads), table.cost(reads)]
    if options.fields:
        parts += [table.fields(reads, reader) for reader in readers] + [table.silent(reads)]
    for part in parts:
        _say("", *part)
    if options.json:
        kept = [
            {
                "reader": read.reader,
                "photo": read.kept.path.name,
                "tier": read.kept.tier,
                "panel": read.panel,
                "fault": read.fault,
                "seconds": read.seconds,
                "outcomes": read.outcomes(),
            }
            for read in reads
        ]
        options.json.write_text(json.dumps(kept, ensure_ascii=False), encoding="utf-8")


def weigh(options: argparse.Namespace) -> None:
    """Print the risk-coverage curve of the bars of reconciling; ``--svg`` keeps it as a picture."""
    points = risk.curve(_photos(options), options.jobs)
    _say(*risk.lines(points))
    if options.svg:
        options.svg.write_text(risk.drawn(points), encoding="utf-8")


def timed(options: argparse.Namespace) -> None:
    """Print where the time goes, room by room."""
    _say(*stages.lines(_photos(options)))


def measured(options: argparse.Namespace) -> None:
    """Print what photographs measure, as taken and made worse, and what is said of them."""
    for line in fitness.lines(_photos(options)):
        _say(line)


def strange(options: argparse.Namespace) -> None:
    """Put strange pictures to the reader and print what came of them."""
    outcomes = []
    for outcome in hostile.run(options.count):
        outcomes.append(outcome)
        if outcome.crashed or outcome.silent:
            sys.stderr.write("\n  ".join((f"{outcome.picture.name}: {outcome.end}", *outcome.silent)) + "\n")
    _say(*hostile.table(outcomes))


def _list_of(known: tuple[str, ...]) -> Callable[[str], str]:
    """Return an argument type that takes names from ``known``, split by commas."""

    def check(text: str) -> str:
        unknown = [name for name in text.split(",") if name not in known]
        if unknown:
            raise argparse.ArgumentTypeError(
                f"There is no {', '.join(unknown)}. Choose from: {', '.join(known)}."
            )
        return text

    return check


def main(argv: list[str] | None = None) -> int:
    """Run the command and return its exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.photos", description=__doc__)
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--set", choices=tuple(store.SETS), default="tune")
    common.add_argument("--per-tier", type=int, default=10, help="photographs of each tier (10)")
    common.add_argument("--tiers", type=_list_of(store.TIERS), default=",".join(store.TIERS))
    commands = parser.add_subparsers(required=True)
    commands.add_parser("make", parents=[common], help=make.__doc__).set_defaults(run=make)
    shown = commands.add_parser("show", parents=[common], help=show.__doc__)
    shown.add_argument("--into", type=Path, default=store.folder() / "sheets", help="folder for the sheets")
    shown.set_defaults(run=show)
    scored = commands.add_parser("score", parents=[common], help=score.__doc__)
    readers = tuple(bench.READERS)
    scored.add_argument(
        "--reader", type=_list_of(readers), default=",".join(readers), help="names, split by commas"
    )
    scored.add_argument("--jobs", type=int, default=1, help="photographs read at once; 1 for fair times")
    scored.add_argument("--fields", action="store_true", help="also print each field and each silent error")
    scored.add_argument("--json", type=Path, help="file for every panel that was read")
    scored.set_defaults(run=score)
    commands.add_parser("keep", help=keep.__doc__).set_defaults(run=keep)
    weighed = commands.add_parser("risk", parents=[common], help=weigh.__doc__)
    weighed.add_argument("--jobs", type=int, default=2, help="photographs read at once (2)")
    weighed.add_argument("--svg", type=Path, help="file for the curve")
    weighed.set_defaults(run=weigh)
    commands.add_parser("stages", parents=[common], help=timed.__doc__).set_defaults(run=timed)
    commands.add_parser("fitness", parents=[common], help=measured.__doc__).set_defaults(run=measured)
    odd = commands.add_parser("hostile", help=strange.__doc__)
    odd.add_argument("--count", type=int, default=300, help="pictures (300)")
    odd.set_defaults(run=strange)
    options = parser.parse_args(argv)
    options.run(options)
    return 0


if __name__ == "__main__":
    sys.exit(main())
