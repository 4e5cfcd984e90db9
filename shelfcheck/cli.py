"""The command line: ``shelfcheck read | eat | compare | measures | serve | doctor``.

Exit status: 0 done; 2 the input cannot be used, with a sentence on what to do; 3 something this
machine needs is missing or failed (the print reader, a free port); 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
from collections.abc import Callable, Sequence
from io import TextIOWrapper
from typing import TYPE_CHECKING, Any, TextIO

from shelfcheck import __version__
from shelfcheck.errors import InvalidInputError, ShelfcheckError
from shelfcheck.words import DEFAULT, LANGUAGES, say

if TYPE_CHECKING:
    from shelfcheck.foods import Food
    from shelfcheck.panel import Panel
    from shelfcheck.portion import Plan, Portion

_BAD_INPUT, _BROKEN, _STOPPED = 2, 3, 130
_SERVER_ERROR = 500
_UNPRINTED = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # a terminal without accents shows them escaped
    options = _parser().parse_args(argv)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        return run(options)
    except ShelfcheckError as error:
        return _report(error, as_json=getattr(options, "json", False))
    except KeyboardInterrupt:
        return _STOPPED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _report(error: ShelfcheckError, *, as_json: bool) -> int:
    if as_json:
        _print_json(error.to_json())
    else:
        _print(error.message, sys.stderr)
        for path, sentence in error.fields.items():
            if sentence != error.message:
                _print(f"  {path}: {sentence}", sys.stderr)
    return _BROKEN if error.status >= _SERVER_ERROR else _BAD_INPUT


def _read(options: argparse.Namespace) -> int:
    from shelfcheck.panel_json import panel_to_json

    panel = _panel(options.panel, options.lang) if options.explain is None else _explained(options)
    if options.json:
        _print_json(panel_to_json(panel, options.lang))
    else:
        from shelfcheck.cli_text import panel_text

        _print(panel_text(panel, options.lang))
    return 0


def _eat(options: argparse.Namespace) -> int:
    from shelfcheck.portion_json import portion_to_json

    portion = _portion(_panel(options.panel, options.lang), options)
    if options.json:
        _print_json(portion_to_json(portion, options.lang))
    else:
        from shelfcheck.cli_text import portion_text

        _print(portion_text(portion, options.lang))
    return 0


def _compare(options: argparse.Namespace) -> int:
    if len(options.panels) < 2:
        raise InvalidInputError(say("error.compare_two", options.lang))
    named = [(source, _panel(source, options.lang)) for source in options.panels]
    portions = [(panel.name or source, _portion(panel, options)) for source, panel in named]
    if options.sort:
        portions.sort(key=lambda item: _sort_value(item[1], options.sort))
    if options.json:
        from shelfcheck.portion_json import portion_to_json

        _print_json({"portions": [{"name": name} | portion_to_json(p, options.lang) for name, p in portions]})
    else:
        from shelfcheck.cli_text import comparison_text

        _print(comparison_text(portions, options.lang))
    return 0


def _sort_value(portion: Portion, key: str) -> float:
    eaten = portion.nutrients.get(key)
    return eaten.range.value if eaten else float("inf")


def _measures(options: argparse.Namespace) -> int:
    from shelfcheck.cli_text import measures_text
    from shelfcheck.measures import hands_from, measures

    hands = hands_from(_pairs(options.hands, options.lang), options.lang)
    if options.json:
        listed = [
            {
                "id": m.id,
                "name": m.name(1, options.lang),
                "holds": [
                    {"unit": way.dimension, "amount": (size := hands.size(m, way))[0], "u": size[1]}
                    for way in m.ways
                ],
            }
            for m in measures().values()
        ]
        _print_json({"measures": listed})
    else:
        print(measures_text(hands, options.lang))
    return 0


def _serve(options: argparse.Namespace) -> int:
    from shelfcheck.serve import serve

    return serve(vars(options))


def _doctor(options: argparse.Namespace) -> int:
    from shelfcheck.doctor import doctor

    return doctor(vars(options), as_json=options.json)


def _panel(source: str, lang: str) -> Panel:
    """Return the panel in a JSON file, on a photo, or on standard input (``-``)."""
    raw = _bytes(source, lang)
    if not _is_json(raw):
        from shelfcheck.reading import read_panel

        return read_panel(raw, lang=lang).panel
    from shelfcheck.check import checked
    from shelfcheck.panel_json import panel_from_json

    try:
        return checked(panel_from_json(json.loads(raw), lang), lang)
    except (ValueError, RecursionError) as error:
        raise InvalidInputError(say("error.bad_json_file", lang, name=source)) from error


def _explained(options: argparse.Namespace) -> Panel:
    """Return the panel on a photo, and keep a picture of what was seen."""
    from contextlib import suppress
    from pathlib import Path

    from shelfcheck.reading import read_panel
    from shelfcheck.reading.explain import keep

    raw, lang, target = _bytes(options.panel, options.lang), options.lang, Path(options.explain)
    if _is_json(raw):
        raise InvalidInputError(say("error.explain_typed", lang))
    with suppress(OSError):  # a file that can't be read is no copy of the photo
        if target.is_file() and target.read_bytes() == raw:
            raise InvalidInputError(say("error.explain_over", lang))
    reading = read_panel(raw, lang=lang)
    keep(reading, options.explain, lang)
    return reading.panel


def _is_json(raw: bytes) -> bool:
    return raw.lstrip()[:1] in (b"{", b"[")


def _bytes(source: str, lang: str) -> bytes:
    try:
        if source == "-":
            return sys.stdin.buffer.read()
        with open(source, "rb") as file:  # noqa: PTH123 - pathlib would cost a tenth of the start
            return file.read()
    except (OSError, ValueError) as error:  # the latter for names that no file can have
        why = (getattr(error, "strerror", None) or str(error)).lower()
        raise InvalidInputError(say("error.no_file", lang, name=source, why=why)) from error


def _portion(panel: Panel, options: argparse.Namespace) -> Portion:
    from shelfcheck.amounts import parse_amount
    from shelfcheck.errors import gather
    from shelfcheck.measures import hands_from
    from shelfcheck.portion import build_portion

    lang = options.lang
    amount, food, hands, plan = gather(
        lang,
        lambda: parse_amount(options.amount, lang),
        lambda: _food(options.food or panel.food, lang),
        lambda: hands_from(_pairs(options.hands, lang), lang),
        lambda: _plan(options, lang),
    )
    if options.cooked:
        amount = amount._replace(cooked=True)
    return build_portion(panel, amount, food, hands=hands, plan=plan, coverage=options.coverage, lang=lang)


def _food(name: str | None, lang: str) -> Food | None:
    from shelfcheck.foods import find_food

    return find_food(name, lang) if name else None


def _plan(options: argparse.Namespace, lang: str) -> Plan:
    from shelfcheck.portion import build_plan

    return build_plan(options.meal_carbs, options.day_sodium, lang)


def _pairs(given: Sequence[str], lang: str) -> dict[str, float]:
    """Return ``["fist_ml=300"]`` as numbers by name."""
    pairs, faults = {}, {}
    for pair in (part for text in given for part in text.split(",")):
        name, _, number = pair.partition("=")
        try:
            pairs[name.strip()] = float(number)
        except ValueError:
            faults[f"hands.{name.strip()}"] = say("fault.pair", lang)
    if faults:
        raise InvalidInputError(say("error.hands_faults", lang), faults)
    return pairs


def _print(text: str, stream: TextIO | None = None) -> None:
    """Print what may hold somebody else's words: no sign in it may move the cursor or turn the line round."""
    print(text if text.isprintable() else _UNPRINTED.sub("\N{REPLACEMENT CHARACTER}", text), file=stream)


def _print_json(content: Any) -> None:
    escaped = (sys.stdout.encoding or "").lower() not in ("utf-8", "utf8")
    print(json.dumps(content, ensure_ascii=escaped, indent=2))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="shelfcheck",
        description="Read a US Nutrition Facts panel and see the real numbers for the amount really eaten.",
        epilog='Example: shelfcheck eat sample_labels/fda_sample.json "2 fists"',
    )
    parser.add_argument("--version", action="version", version=f"shelfcheck {__version__}")
    commands = parser.add_subparsers(
        required=True, metavar="COMMAND", prog="shelfcheck"
    )  # prog: spares a formatter
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--json", action="store_true", help="print JSON instead of text")
    common.add_argument("--lang", choices=LANGUAGES, default=DEFAULT, help="language of the sentences")
    hands = argparse.ArgumentParser(add_help=False)
    hands.add_argument(
        "--hands",
        action="append",
        default=[],
        metavar="NAME=SIZE",
        help="your own hand: fist_ml=300, hand_breadth_mm=85, thumb_ml=18, ...; may be given again",
    )
    panel_help = "a panel as JSON, a photo (JPEG, PNG, WebP), or - for standard input"

    read = commands.add_parser(
        "read", parents=[common], help="read a panel from a photo, or check a typed one"
    )
    read.add_argument("panel", metavar="PANEL", help=panel_help)
    read.add_argument(
        "--explain",
        metavar="FILE",
        help="also keep a picture of what was seen on the photo (PNG, JPEG or WebP)",
    )
    read.set_defaults(run=_read)

    eating = _eating_options(hands)
    eat = commands.add_parser("eat", parents=[common, eating], help="the real numbers for an amount")
    eat.add_argument("panel", metavar="PANEL", help=panel_help)
    eat.add_argument(
        "amount", metavar="AMOUNT", help='as you would say it: "2 fists", "half the package", "28g"'
    )
    eat.set_defaults(run=_eat)

    compare = commands.add_parser(
        "compare", parents=[common, eating], help="two or more foods at the same amount"
    )
    compare.add_argument("panels", metavar="PANEL", nargs="+", help=panel_help)
    compare.add_argument("amount", metavar="AMOUNT", help="the amount, the same for each")
    compare.add_argument(
        "--sort",
        metavar="NUTRIENT",
        choices=["energy", "carbohydrate", "fat", "sodium"],
        help="least first: energy, carbohydrate, fat or sodium",
    )
    compare.set_defaults(run=_compare)

    listing = commands.add_parser(
        "measures", parents=[common, hands], help="list the hand and kitchen measures"
    )
    listing.set_defaults(run=_measures)
    _add_serving(commands)
    return parser


def _eating_options(hands: argparse.ArgumentParser) -> argparse.ArgumentParser:
    eating = argparse.ArgumentParser(add_help=False, parents=[hands])
    eating.add_argument(
        "--cooked", action="store_true", help="the amount is cooked food, the label speaks of dry"
    )
    eating.add_argument("--food", metavar="NAME", help="which food it is: rice, almonds, peanut butter, ...")
    eating.add_argument(
        "--meal-carbs", type=float, metavar="G", help="carbohydrate of one meal in your plan, in g"
    )
    eating.add_argument(
        "--day-sodium", type=float, metavar="MG", help="sodium of a day in your plan (else 2300 mg)"
    )
    eating.add_argument(
        "--coverage",
        type=int,
        choices=(1, 2),
        default=1,
        help="width of the range: 1 (about 2 times in 3) or 2 (about 19 in 20)",
    )
    return eating


def _add_serving(commands: Any) -> None:
    """Add the commands that take the settings of the service."""
    from shelfcheck.settings import SETTINGS

    serve = commands.add_parser("serve", help="run the app and its API on this machine")
    doctor = commands.add_parser("doctor", help="tell whether this machine has what serve needs")
    for setting in SETTINGS:
        for command in (serve, doctor):
            command.add_argument(
                "--" + setting.name.replace("_", "-"),
                type=type(setting.default),
                metavar="VALUE",
                help=f"{setting.help} (default {setting.default})",
            )
    serve.set_defaults(run=_serve)
    doctor.add_argument("--json", action="store_true", help="print JSON instead of text")
    doctor.set_defaults(run=_doctor)


if __name__ == "__main__":
    sys.exit(main())
