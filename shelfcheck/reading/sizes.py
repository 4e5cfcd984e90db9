"""Candidates to the serving size and the servings per container, each as sure as its print."""

from __future__ import annotations

from shelfcheck.numbers import on_step
from shelfcheck.panel import Doubt, Number, Serving, Word
from shelfcheck.reading.bars import BARS, Bars
from shelfcheck.reading.counts import Read
from shelfcheck.reading.numerals import weight
from shelfcheck.reading.servings import ServingFields
from shelfcheck.rules import metric_step, servings_step


def reconcile_serving(found: ServingFields, bars: Bars = BARS) -> tuple[Serving, list[Doubt]]:
    """Return the serving with its states, and the doubts on it."""
    doubts: list[Doubt] = []

    def number(key: str, read: Read | None, *, lawful: bool = True) -> Number:
        if read is None or isinstance(read.value, str):
            return Number()
        clear = weight(read) < bars.likely and lawful
        if not clear:
            doubts.append(Doubt(f"serving.{key}", "unclear", box=read.box))
        return Number(read.value, "sure" if clear else "check", read.about)

    def word(key: str, read: Read | None) -> Word:
        if read is None:
            return Word()
        clear = weight(read) < bars.likely
        if not clear:
            doubts.append(Doubt(f"serving.{key}", "unclear", box=read.box))
        return Word(str(read.value), "sure" if clear else "check")

    metric, count = _value(found.metric), _value(found.per_container)
    serving = Serving(
        number("household_amount", found.amount),
        word("household_unit", found.unit),
        number("metric_amount", found.metric, lawful=metric is None or on_step(metric, metric_step(metric))),
        word("metric_unit", found.metric_unit),
        number(
            "servings_per_container",
            found.per_container,
            lawful=count is None or on_step(count, servings_step(count)),
        ),
        number("pieces", found.pieces),
        found.text,
    )
    for key, read, box in (
        ("household_amount", found.amount, found.box),
        ("metric_amount", found.metric, found.box),
        ("servings_per_container", found.per_container, found.servings_box),
    ):
        if read is None:
            doubts.append(Doubt(f"serving.{key}", "unread" if box else "not_found", box=box))
    return serving, doubts


def _value(read: Read | None) -> float | None:
    return None if read is None or isinstance(read.value, str) else read.value
