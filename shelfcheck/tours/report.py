"""What an educator takes home of a tour: no answer tells whose it is. As a record, as JSON and as CSV."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterator
from typing import Any, NamedTuple

from sqlalchemy import select

from shelfcheck.amounts import measure_words
from shelfcheck.tours.codes import shown_code
from shelfcheck.tours.practice import ROUNDS, Pour, Poured, practice_to_json, yardstick
from shelfcheck.tours.rows import phones_of, stops_of, tour_of_token
from shelfcheck.tours.store import Store
from shelfcheck.tours.tables import Phone, Practice
from shelfcheck.tours.views import group_of
from shelfcheck.words import DEFAULT, nutrient_name, say

_COLUMNS = (
    "part",
    "name",
    "what",
    "unit",
    "round",
    "n",
    "median",
    "smallest",
    "largest",
    "serving",
    "absolute",
    "signed",
    "within",
    "closer",
)
_FORMULA = frozenset("=+-@\N{MINUS SIGN}")
"""What makes a spreadsheet take a cell for a formula, in full width too (OWASP, CSV injection)."""
_BREAKS = ("\t", "\r", "\n")
"""The same, when a cell begins with them."""
_UNSEEN = ("Cc", "Cf", "Zl", "Zp", "Zs")
"""Kinds of signs that a spreadsheet may leave out before it looks."""
_MARK = "\ufeff"
"""Without it, some spreadsheets take the accents for two signs each."""
Row = dict[str, Any]


class Report(NamedTuple):
    """A tour's stops with their groups, and the errors of the measures that were practised."""

    title: str
    code: str
    lang: str
    phones: int
    stops: tuple[dict[str, Any], ...]
    practice: tuple[dict[str, Any], ...]


def make_report(store: Store, token: str, lang: str = DEFAULT) -> Report:
    """Return the report of the tour that ``token`` opens.

    Raises:
        DeadLinkError: when it opens none.
    """
    with store.reading(lang) as db:
        tour = tour_of_token(db, token, lang)
        poured = db.scalars(select(Practice).join(Phone).where(Phone.tour_id == tour.id))
        return Report(
            tour.title,
            shown_code(tour.code),
            tour.lang,
            phones_of(db, tour),
            tuple(
                {"name": stop.name, "question": stop.question, "state": stop.state}
                | {"group": group_of(store, db, stop)}
                for stop in stops_of(db, tour)
            ),
            tuple(
                practice_to_json(
                    Pour(row.phone_id, Poured(row.round, row.measure, row.measured)) for row in poured
                )
            ),
        )


def report_to_json(report: Report) -> dict[str, Any]:
    """Return the report with the yardstick that the practice is held against."""
    return {**report._asdict(), "yardstick": yardstick()}


def report_to_csv(report: Report, lang: str = DEFAULT) -> str:
    """Return the report as one table that spreadsheets open, its words in ``lang``."""
    out = io.StringIO(_MARK)
    out.seek(0, io.SEEK_END)
    writer = csv.DictWriter(out, _COLUMNS, restval="")
    percent = yardstick()["within_percent"]
    writer.writerow({key: say(f"report.{key}", lang, percent=percent) for key in _COLUMNS})
    for row in _rows(report, lang):
        writer.writerow({key: _safe(value) for key, value in row.items()})
    return out.getvalue()


def _rows(report: Report, lang: str) -> Iterator[Row]:
    tour = {"part": say("report.tour", lang), "name": report.title}
    yield tour | {"what": say("report.phones", lang), "n": report.phones}
    for stop in report.stops:
        head = {"part": say("report.stop", lang), "name": stop["name"]}
        yield from (head | row for row in _group_rows(stop["group"], lang))
    for each in report.practice:
        head = {
            "part": say("report.practice", lang),
            "name": measure_words(each["measure"], 1, lang),
            "unit": each["unit"],
        }
        yield from (
            head
            | {
                "round": say(f"report.{turn}", lang),
                "n": told["n"],
                "absolute": told["median_absolute_percent"],
                "signed": told["median_signed_percent"],
                "within": told["within_percent"],
            }
            for turn in ROUNDS
            if (told := each[turn])
        )
        if each["paired"]["n"]:
            yield head | {"round": say("report.both", lang), **each["paired"]}


def _group_rows(group: dict[str, Any], lang: str) -> Iterator[Row]:
    serving = group["serving"]
    for each in group["amounts"]:
        beside = serving["count"] if each["measure"] == serving["measure"] and not each["cooked"] else None
        name = measure_words(each["measure"], 2, lang)
        yield {"what": f"{name} {say('amount.cooked', lang)}" if each["cooked"] else name} | _marks(
            each, beside
        )
    yield {"what": say("report.servings", lang)} | _marks(group["servings"], 1)
    for key, each in group["nutrients"].items():
        row = {"what": nutrient_name(key, lang), "unit": each["unit"]}
        yield row | _marks(each, each["serving"])


def _marks(spread: dict[str, Any], serving: float | None) -> Row:
    marks = {key: spread[key] for key in ("median", "smallest", "largest")}
    return {"n": len(spread["values"]), "serving": serving, **marks}


def _safe(value: object) -> object:
    """Return a cell that no spreadsheet takes for a formula; numbers stay numbers."""
    if isinstance(value, str) and (value.startswith(_BREAKS) or _first_seen(value) in _FORMULA):
        return f"'{value}"
    return "" if value is None else value


def _first_seen(text: str) -> str:
    """Return the first sign of a text that shows, in the width of ASCII."""
    seen = (sign for sign in text if unicodedata.category(sign) not in _UNSEEN)
    return unicodedata.normalize("NFKC", next(seen, ""))
