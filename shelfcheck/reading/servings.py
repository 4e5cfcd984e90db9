"""The serving lines to candidates: "2/3 cup (55g)", "1 oz (28g/about 39 pieces)", "about 8 servings".

What is read is a ``Read``: a number or a word with its cost, as in ``numerals.py``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from shelfcheck.numbers import FRACTION_SIGNS, round_half_up
from shelfcheck.panel import Box
from shelfcheck.reading.names import panel_words, plain
from shelfcheck.reading.nouns import noun_at, unit_of
from shelfcheck.reading.numerals import as_figures, cost_of
from shelfcheck.reading.page import Word, second_look, union
from shelfcheck.reading.rows import Line, Page

_NUMBER = re.compile(r"^(\d+)/(\d)$|^\d{1,4}(\.\d{1,2})?$")
_LAWFUL_PARTS = (2, 3, 4, 6, 8)
_METRIC = re.compile(r"^([\dOolI|SB]{1,4}(?:[.,][\dOoS]{1,2})?)(g|9|q|mL|ml|mi|mI|ML|m1|m)$")
_METRIC_SIGNS = {
    "g": ("g", 0.0),
    "9": ("g", 0.0),
    "q": ("g", 0.2),
    "mi": ("ml", 0.2),
    "mI": ("ml", 0.2),
    "m1": ("ml", 0.2),
}
_METRIC_SIGNS |= {"m": ("ml", 1.5)}
_QUOTES = "‘'’`\""


@dataclass(frozen=True, slots=True)
class Read:
    """Something read from the serving lines: a number or a word, its cost, confidence and place."""

    value: float | str
    cost: float
    confidence: float
    box: Box
    about: bool = False


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
    words = _closed(line.columns[0])
    counts, metric, metric_unit = _parts(words, two_languages=len(servings) > 1 or _is_bilingual(line))
    first = counts[0] if counts and counts[0].unit is not None else None
    more = next(
        (count for count in counts[1:] if count.unit is not None and count.unit.value == "piece"), None
    )
    return ServingFields(
        first.number if first else None,
        first.unit if first else None,
        metric,
        metric_unit,
        more.number if more and more is not first else None,
        count,
        " ".join(word.text for word in words).replace("/ ", "/").strip(f"{_QUOTES},. "),
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


def _parts(words: Sequence[Word], *, two_languages: bool) -> tuple[list[_Count], Read | None, Read | None]:
    """Return the counts with their nouns in order, and the metric amount with its unit."""
    counts: list[_Count] = []
    metric: tuple[Read, Read] | None = None
    at, about = 0, False
    while at < len(words):
        found, used = _metric(words, at)
        if found is not None and metric is None:
            metric, at = found, at + used
            continue
        number, used = _number(words, at)
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
    return Read(*found, min(word.confidence for word in noun), union(word.box for word in noun))


def _says_about(word: Word) -> bool:
    return word.text.lower().strip("(").startswith(tuple(panel_words()["about_words"]))


def _metric(words: Sequence[Word], at: int) -> tuple[tuple[Read, Read] | None, int]:
    """Return the metric amount and its unit at a word, and how many words they take ("28 g" takes two)."""
    word = words[at]
    bare = word.text.strip(f"()[]{{}},;:/{_QUOTES}")
    following = words[at + 1].text.strip("()[],.;/") if at + 1 < len(words) else ""
    match = _METRIC.match(bare)
    # "(159 g)" has its unit in the next word, so that its 9 is no g.
    if re.fullmatch(r"\d{1,4}(\.\d{1,2})?", bare) and _is_metric_unit(following):
        digits, sign, used = bare, following, 2
    elif match is not None and (match[2] != "9" or word.text.startswith("(")):
        digits, sign, used = match[1], match[2], 1
    else:
        return None, 0
    figures, cost = as_figures(digits.replace(",", "."))
    unit, price = _METRIC_SIGNS.get(sign, ("g" if sign.lower().startswith("g") else "ml", 0.0))
    if sign in ("9", "q"):
        # A g reaches below the line: when the shape says so it was read as 9 or q, and nothing was lost.
        cost += {True: 0.1, False: cost_of("nine_by_shape"), None: 0.6}[word.descends]
    amount = Read(float(figures), cost + price, word.confidence, word.box)
    return (amount, Read(unit, price, word.confidence, word.box)), used


def _is_metric_unit(text: str) -> bool:
    return text.lower() in {name for names in panel_words()["metric"].values() for name in names}


def _number(words: Sequence[Word], at: int) -> tuple[Read | None, int]:
    """Return the number at a word, and how many words it takes ("1 1/2" takes two)."""
    first = _plain_number(words[at])
    second = _plain_number(words[at + 1]) if first is not None and at + 1 < len(words) else None
    if first is None:
        return None, 0
    value, cost = first
    if second is not None and value == int(value) and 0 < second[0] < 1:
        both = words[at : at + 2]
        whole = round_half_up(value + second[0], 3)
        return Read(whole, cost + second[1], min(w.confidence for w in both), union(w.box for w in both)), 2
    return Read(value, cost, words[at].confidence, words[at].box), 1


def _plain_number(word: Word) -> tuple[float, float] | None:
    """Return the number that a word is, such as "2", "2.5", "2/3" or "1½", with its cost."""
    text = word.text.strip(f"()[]{{}},;:{_QUOTES}").rstrip(".")
    for glyph, fraction in FRACTION_SIGNS.items():
        if text.endswith(glyph) and (text[:-1].isdigit() or text == glyph):
            return round_half_up(int(text[:-1] or 0) + float(Fraction(fraction)), 3), 0.0
    match = _NUMBER.match(text)
    if match is None or match[1] is None:
        return None if match is None or not float(text) else (float(text), 0.0)
    return _fraction(match[1], int(match[2]))


def _fraction(over: str, under: int) -> tuple[float, float] | None:
    """Return a fraction's value, to three decimals, and its cost.

    "11/2" is "1 1/2" closed up: no label prints more parts than a whole has.
    """
    whole, parts = (0, int(over)) if len(over) == 1 else (int(over[:-1]), int(over[-1]))
    if not parts > 0 or not under:
        return None
    lawful = parts < under and under in _LAWFUL_PARTS
    cost = cost_of("closed_up_fraction") if whole else 0.0
    return round_half_up(whole + parts / under, 3), cost + (0.0 if lawful else cost_of("unlawful_fraction"))


def _servings(lines: Sequence[Line]) -> Read | None:
    """Return the servings per container; two languages must say the same."""
    found = []
    for line in lines:
        words = (*line.before, *line.columns[0][:3])
        about = any(_says_about(word) for word in words)
        number = next((read for at in range(len(words)) if (read := _number(words, at)[0]) is not None), None)
        if number is not None:
            found.append(replace(number, about=about))
    if not found:
        return None
    differ = len({read.value for read in found}) > 1
    best = max(found, key=lambda read: read.confidence)
    cost = best.cost + (cost_of("languages_differ") if differ else 0.0)
    return replace(best, cost=cost, about=any(read.about for read in found))
