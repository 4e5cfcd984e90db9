"""The serving lines to candidates: "2/3 cup (55g)", "1 oz (28g/about 39 pieces)", "about 8 servings".

What is read is a ``Read`` (``counts.py``): a number or a word with its cost.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from shelfcheck.panel import Box
from shelfcheck.reading.counts import QUOTES, Read, metric_at, number_at
from shelfcheck.reading.names import known_nouns, panel_words, plain, plain_words
from shelfcheck.reading.nouns import noun_at, unit_of
from shelfcheck.reading.numerals import cost_of
from shelfcheck.reading.page import Word, right, second_look, union
from shelfcheck.reading.rows import Line, Page

_KNOWN, _STRANGE = 0.5, 30.0
"""How much the engine's doubt counts in a word that is a panel's own, and in a strange one, which may be
another misread. Judgement."""
_PROVEN = 0.9
"""How sure a number is that its noun bears out, if it was read at all. Judgement."""


@dataclass(frozen=True, slots=True)
class ServingFields:
    """What the serving lines say; None for what is not printed or not readable."""

    amount: Read | None = None
    unit: Read | None = None
    metric: Read | None = None
    metric_unit: Read | None = None
    pieces: Read | None = None
    per_container: Read | None = None
    text: str = ""
    box: Box | None = None
    servings_box: Box | None = None


@dataclass(frozen=True, slots=True)
class _Count:
    """A number with its noun: "about 39 pieces"; ``unit`` is None where no noun stands."""

    number: Read
    unit: Read | None


def find_serving(page: Page) -> ServingFields:
    """Return the serving size and the servings per container; what two looks differ on costs more."""
    first = _look(page.lines)
    second = _look([_seen_again(line) for line in page.lines])
    return replace(
        first,
        amount=_settled(first.amount, second.amount),
        unit=_settled(first.unit, second.unit),
        metric=_settled(first.metric, second.metric),
        metric_unit=_settled(first.metric_unit, second.metric_unit),
        pieces=_settled(first.pieces, second.pieces),
        per_container=_settled(first.per_container, second.per_container),
    )


def _seen_again(line: Line) -> Line:
    columns = tuple(second_look(column) for column in line.columns)
    return replace(line, before=second_look(line.before), columns=columns)


def _settled(first: Read | None, second: Read | None) -> Read | None:
    found = [read for read in (first, second) if read is not None]
    best = min(found, key=lambda read: read.cost, default=None)
    if best is None or (
        len(found) == 2 and (found[0].value, found[0].about) == (found[1].value, found[1].about)
    ):
        return best
    return replace(best, cost=best.cost + cost_of("looks_differ"))


def _look(lines: Sequence[Line]) -> ServingFields:
    line = next((line for line in lines if line.id == "serving_size" and line.columns[0]), None)
    servings = [line for line in lines if line.id == "servings"]
    count = _servings(servings)
    place = union(line.box for line in servings) if servings else None
    if line is None:
        return ServingFields(per_container=count, servings_box=place)
    two_languages = len(servings) > 1 or _is_bilingual(line)
    words, contested = _own_stretch(_closed(line.columns[0]), two_languages=two_languages)
    counts, metric, metric_unit = _parts(words, two_languages=two_languages)
    first = counts[0] if counts and counts[0].unit is not None else None
    more = next(
        (count for count in counts[1:] if count.unit is not None and count.unit.value == "piece"), None
    )
    return ServingFields(
        _dearer(first.number, contested) if first else None,
        first.unit if first else None,
        _dearer(metric, contested) if metric else None,
        metric_unit,
        more.number if more and more is not first else None,
        count,
        " ".join(word.text for word in words).replace("/ ", "/").strip(f"{QUOTES},. "),
        union(word.box for word in words),
        place,
    )


def _is_bilingual(line: Line) -> bool:
    said = plain(" ".join(word.text for word in line.name))
    return "serv" in said and any(plain(word) in said for word in ("ración", "porción"))


def _closed(words: Sequence[Word]) -> tuple[Word, ...]:
    """Leave out what follows the serving size in running text: a comma after the bracket ends it."""
    for at, word in enumerate(words):
        if re.search(r"\),$", word.text):
            return tuple(words[: at + 1])
    return tuple(words)


def _own_stretch(words: tuple[Word, ...], *, two_languages: bool) -> tuple[tuple[Word, ...], float]:
    """Return the stretch of print that says a whole serving size, when one alone does; else all words.

    With them what it costs that another stretch says one too, such as the net weight beside the panel.
    """
    whole, contested, before = [], False, None
    for _, stretch in groupby(words, key=lambda word: word.segment):
        mine = tuple(stretch)
        counts, metric, _ = _parts(mine, two_languages=two_languages)
        if metric is not None and counts and counts[0].unit is not None:
            whole.append(mine)
            contested = contested or (before is not None and _touches(before, mine[0]))
        before = mine[-1]
    cost = cost_of("two_sizes") if contested or len(whole) > 1 else 0.0
    return whole[0] if len(whole) == 1 else words, cost


def _touches(before: Word, word: Word) -> bool:
    """Tell whether a number of another stretch stands so close that it may be a part of this one."""
    number, _ = number_at([before], 0)
    return number is not None and word.box[0] - right(before.box) < word.box[3]


def _dearer(read: Read, cost: float) -> Read:
    return replace(read, cost=read.cost + cost)


def _parts(words: Sequence[Word], *, two_languages: bool) -> tuple[list[_Count], Read | None, Read | None]:
    """Return the counts with their nouns in order, and the metric amount with its unit."""
    counts: list[_Count] = []
    metric: tuple[Read, Read] | None = None
    at, about = 0, False
    while at < len(words):
        found, used = metric_at(words, at)
        if found is not None and metric is None:
            metric, at = found, at + used
            continue
        number, used = number_at(words, at)
        if number is not None:
            noun = noun_at(words, at + used)
            counts.append(
                _Count(replace(number, about=about), _unit(noun, number, two_languages=two_languages))
            )
            at, about = at + used + len(noun), False
            continue
        about = _says_about(words[at])
        at += 1
    return (counts, *metric) if metric else (counts, None, None)


def _unit(noun: Sequence[Word], number: Read, *, two_languages: bool) -> Read | None:
    amount = number.value if isinstance(number.value, float) else 0.0
    found = unit_of(noun, amount, two_languages=two_languages)
    if found is None:
        return None
    sure = min(word.confidence for word in noun)
    known = {*panel_words()["units"], *panel_words()["nouns"]}
    sure = 1 - (1 - sure) * (_KNOWN if found[0] in known else _STRANGE)
    return Read(*found, sure, union(word.box for word in noun))


def _says_about(word: Word) -> bool:
    return word.text.lower().strip("(").startswith(tuple(panel_words()["about_words"]))


def _agreeing(number: Read, line: Line) -> Read:
    """Return the number of servings as sure as its noun lets it be: only one "serving" stands alone."""
    if plain(line.name[0].text) not in plain_words("one_serving"):
        return number
    if number.value == 1:
        return replace(number, confidence=max(number.confidence, _PROVEN))
    return replace(number, cost=number.cost + cost_of("plural_missing"))


def _count(words: Sequence[Word]) -> Read | None:
    """Return the first number that is no measure, as "16 oz" in the table of a recipe is."""
    for at in range(len(words)):
        number, used = number_at(words, at)
        if number is not None:
            after = words[at + used].text if at + used < len(words) else ""
            return None if plain(after) in known_nouns() else number
    return None


def _servings(lines: Sequence[Line]) -> Read | None:
    """Return the servings per container; two languages must say the same."""
    found = []
    for line in [line for line in lines if len(line.name) > 1] or lines:
        words = (*line.before, *line.columns[0][:3])
        about = any(_says_about(word) for word in words)
        number = _count(words)
        if number is not None:
            found.append(_agreeing(replace(number, about=about), line))
    if not found:
        return None
    differ = len({read.value for read in found}) > 1
    best = max(found, key=lambda read: read.confidence)
    cost = best.cost + (cost_of("languages_differ") if differ else 0.0)
    return replace(best, cost=cost, about=any(read.about for read in found))
