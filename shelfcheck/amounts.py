"""Amounts as people say them: "2 fists", "a thumb and a half", "1 1/2 cups", "28g", "medio puño".

The grammar is small and the same in English and Spanish: numbers, a measure, "and a half", and
perhaps the food or "cooked", which may stand anywhere. Units that our table does not know ("1 pint",
"0.5 lb") go to ``units.py``; any other word is taken as the label's own unit ("3 crackers").
Source of the words: ``data/amount_words.json``.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import NamedTuple

from shelfcheck import data
from shelfcheck.errors import AmountError
from shelfcheck.measures import measures, vocabulary
from shelfcheck.numbers import as_fraction
from shelfcheck.words import DEFAULT, say

MOST = 10_000.0
_TABLE = "amount_words.json"
_GLYPHS = str.maketrans(
    {
        "½": " 1/2",
        "⅓": " 1/3",
        "⅔": " 2/3",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
    | {"⁄": "/", "-": " ", "_": " ", ";": " ", "(": " ", ")": " ", "\u2019": "'"}
)
_TOKEN = re.compile(r"\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+|&|[^\W\d]+\.?")
_MISREAD = re.compile(
    r"\d\s*[^\W\d]+\d|(?<![\w/])[-\u2212+]\s*[\d.,]|\d[.,]\d+[.,]\d|/\s*[^\d\s]|[^\d\s]\s*/"
)
_SLASH = re.compile(r"(?<=\d)\s*/\s*(?=\d)")
_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_LONGEST_TEXT = 120
_LONGEST_MEASURE = 4


class Amount(NamedTuple):
    """So many of a measure; ``cooked`` when a food that is sold dry is meant as eaten.

    ``measure`` is a measure's id, or the label's own printed unit ("cracker", "bar").
    """

    count: float  # type: ignore[assignment]  # hides tuple.count, which nothing calls
    measure: str
    cooked: bool = False

    def text(self, lang: str = DEFAULT) -> str:
        """Return the amount in words that ``parse_amount`` reads back as the same amount."""
        known = measures().get(self.measure)
        number = as_fraction(self.count)
        if _sum_of(number.split()) != self.count:
            from decimal import Decimal

            number = format(Decimal(repr(self.count)), "f")
        words = f"{number} {known.name(self.count, lang) if known else self.measure}"
        return f"{words} {say('amount.cooked', lang)}" if self.cooked else words


def parse_amount(text: str, lang: str = DEFAULT) -> Amount:
    """Return the amount that ``text`` says.

    Raises:
        AmountError: with what to write instead, when no measure is in it or the number is absurd.
    """
    text = _SLASH.sub("/", text)
    if len(text) > _LONGEST_TEXT or _MISREAD.search(text):
        raise _unread(text, lang)
    tokens = _tokens(_THOUSANDS.sub("", text))
    cooked = not _words("cooked").isdisjoint(tokens)
    told = _words("cooked") | _words("dry")
    tokens = [token for token in tokens if token not in told]
    start, stop, measure = _find_measure(tokens)
    if measure is None:
        start, stop, measure = _find_noun(tokens)
    if measure is None:
        raise _unread(text, lang)
    before, after = tokens[:start], tokens[stop:]
    tail = _tail(after)
    if any(token[0].isdigit() for token in after[len(tail) :]):
        raise _unread(text, lang)
    count = _count(before) + (_product(tail[1:]) if tail else 0.0)
    if measure not in measures() and measure not in _nouns().values():
        count, measure = _other_unit(count, measure)
    return Amount(check_count(count, lang), measure, cooked)


def amount_from(count: float, measure: str, lang: str = DEFAULT, *, cooked: bool = False) -> Amount:
    """Return the amount of so many of a measure, named by its id, its words or the label's own unit.

    Raises:
        AmountError: when the count is not above 0, or beyond ``MOST``.
    """
    known = _measure_words().get(" ".join(_tokens(measure[:_LONGEST_TEXT])))
    return Amount(check_count(count, lang), known or label_noun(measure[:_LONGEST_TEXT]), cooked)


def check_count(count: float, lang: str = DEFAULT) -> float:
    """Return ``count`` if it can be an amount.

    Raises:
        AmountError: when it is not above 0, or beyond ``MOST``.
    """
    if not 0 < count <= MOST:
        message = say("error.amount_size", lang, most=int(MOST))
        raise AmountError(message, {"amount.count": message})
    return count


def label_noun(word: str) -> str:
    """Return a printed unit in the singular: "Crackers" is "cracker", "slices" is "slice"."""
    word = word.strip().lower().rstrip(".")
    known = _nouns().get(word)
    if known:
        return known
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def is_container(word: str) -> bool:
    """Tell whether a label's unit, in the singular, is a package of some kind ("can", "package")."""
    return word in data.load(_TABLE)["containers"]


def _tokens(text: str) -> list[str]:
    return _TOKEN.findall(text.lower().translate(_GLYPHS))


def _unread(text: str, lang: str) -> AmountError:
    message = say("error.amount_unread", lang, text=text[:40])
    return AmountError(message, {"amount": message})


def _find_measure(tokens: list[str]) -> tuple[int, int, str | None]:
    """Return where the longest, then first, measure stands in ``tokens``, and its id."""
    for length in range(_LONGEST_MEASURE, 0, -1):
        for start in range(len(tokens) - length + 1):
            words = " ".join(tokens[start : start + length])
            found = _measure_words().get(words)
            if found:
                return start, start + length, found
    return 0, 0, None


def _find_noun(tokens: list[str]) -> tuple[int, int, str | None]:
    """Return where the first word that is neither a number nor a filler stands, as a label's unit."""
    fillers = _words("skip") | _words("and")
    for place, token in enumerate(tokens):
        if token[0].isalpha() and token not in fillers and token not in _numbers():
            return place, place + 1, label_noun(token)
    return 0, 0, None


def _count(before: list[str]) -> float:
    """Return the number said before the measure; a bare "fist" is one."""
    said = [token for token in before if token not in _words("skip")]
    return sum(_product(group) for group in _split(said)) if said else 1.0


def _tail(after: list[str]) -> list[str]:
    """Return the "and a half" right after the measure, or nothing."""
    if not after or after[0] not in _words("and"):
        return []
    tail = [after[0]]
    for token in after[1:3]:
        if _value(token) is None:
            break
        tail.append(token)
    return tail if len(tail) > 1 and _product(tail[1:]) < 1 else []


def _split(tokens: list[str]) -> list[list[str]]:
    groups: list[list[str]] = [[]]
    for token in tokens:
        if token in _words("and"):
            groups.append([])
        else:
            groups[-1].append(token)
    return [group for group in groups if group]


def _product(tokens: list[str]) -> float:
    """Return the number that ``tokens`` say: "1 1/2" adds, "three quarters" and "half a" multiply."""
    if any("/" in token for token in tokens) and len(tokens) > 1:
        return _sum_of(tokens)
    values = [value for value in map(_value, tokens) if value is not None]
    return math.prod(values) if values else 1.0


def _sum_of(tokens: list[str]) -> float:
    return sum(value for value in map(_value, tokens) if value is not None)


def _value(token: str) -> float | None:
    if "/" in token:
        top, bottom = token.split("/")
        return int(top) / int(bottom) if int(bottom) else math.inf
    if token[0].isdigit() or token[0] in ".,":
        return float(token.replace(",", "."))
    return _numbers().get(token)


def _other_unit(count: float, word: str) -> tuple[float, str]:
    """Return the amount in grams or millilitres when ``word`` is a unit of either, else as it stands."""
    from shelfcheck.units import to_label_unit

    return to_label_unit(count, word) or (count, word)


@cache
def _measure_words() -> dict[str, str]:
    known = {}
    for word, measure in vocabulary().items():
        known[" ".join(_tokens(word))] = measure
    return known


@cache
def _nouns() -> dict[str, str]:
    table = data.load(_TABLE)
    return {
        form: noun
        for kind in ("nouns", "containers")
        for noun, forms in table[kind].items()
        for form in (noun, *forms)
    }


@cache
def _words(kind: str) -> frozenset[str]:
    return frozenset(data.load(_TABLE)[kind])


def _numbers() -> dict[str, float]:
    numbers: dict[str, float] = data.load(_TABLE)["numbers"]
    return numbers
