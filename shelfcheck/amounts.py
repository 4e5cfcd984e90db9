"""Amounts as people say them: "2 fists", "a thumb and a half", "1 1/2 cups", "28g", "medio puño".

The grammar is small and the same in English and Spanish: one number, a measure, "and a half", and
perhaps the food or "cooked". What could be read two ways ("2 to 3 fists", "2 cups and a thumb") is
refused, since a wrong amount is worse than a question. Units that our table does not know ("1 pint",
"0.5 lb") go to ``units.py``; any other word is taken as the label's own unit ("3 crackers").
Source of the words: ``data/amount_words.json``.
"""

from __future__ import annotations

import math
import re
from functools import cache, lru_cache
from typing import NamedTuple

from shelfcheck import data
from shelfcheck.errors import AmountError
from shelfcheck.measures import measures, vocabulary
from shelfcheck.numbers import FRACTION_SIGNS, as_fraction
from shelfcheck.words import DEFAULT, say

MOST = 10_000.0
_TABLE = "amount_words.json"
_SIGNS = str.maketrans(
    {sign: f" {fraction}" for sign, fraction in FRACTION_SIGNS.items()}
    | {"⁄": "/", "-": " ", "_": " ", ";": " ", "(": " ", ")": " ", "\u2019": "'"}
)
_TOKEN = re.compile(r"\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+|&|[^\W\d]+\.?")
_MISREAD = re.compile(
    r"\d\s*[^\W\d]+\d|(?<![\w/])[-\u2212+]\s*[\d.,]|\d[.,]\d+[.,]\d|/\s*[^\d\s]|[^\d\s]\s*/|[%*]"
)
_SLASH = re.compile(r"(?<=\d)\s*/\s*(?=\d)")
_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_LONGEST_TEXT = 120
_LONGEST_MEASURE = 4
_SHAPES = re.compile("A|[WN]|[AWN]?D|A?SD?|WSD?|[AW]?FA?D?|FW")
"""Numbers that mean one thing: A article, W whole, N decimal, S "1/2", F "half", D dozen or couple."""


class Amount(NamedTuple):
    """So many of a measure; ``cooked`` when a food that is sold dry is meant as eaten.

    ``measure`` is a measure's id, or the label's own printed unit ("cracker", "bar").
    """

    count: float  # type: ignore[assignment]  # hides tuple.count, which nothing calls
    measure: str
    cooked: bool = False

    @lru_cache(maxsize=1024)  # noqa: B019 - amounts are small, and a stepper says few of them
    def text(self, lang: str = DEFAULT) -> str:
        """Return the amount in words that ``parse_amount`` reads back as the same amount."""
        number = as_fraction(self.count)
        if _sum_of(number.split()) != self.count:
            from decimal import Decimal

            number = format(Decimal(repr(self.count)), "f")
        words = f"{number} {measure_words(self.measure, self.count, lang)}"
        return f"{words} {say('amount.cooked', lang)}" if self.cooked else words


def measure_words(measure: str, count: float, lang: str = DEFAULT) -> str:
    """Return the name of a measure, or of the label's own unit, for so many of it."""
    known = measures().get(measure)
    if known is not None:
        return known.name(count, lang)
    table = data.load(_TABLE)
    forms = table["nouns"].get(measure) or table["containers"].get(measure) or [measure]
    return measure if 0 < count <= 1 else str(forms[0])


def parse_amount(text: str, lang: str = DEFAULT) -> Amount:
    """Return the amount that ``text`` says.

    Raises:
        AmountError: with what to write instead, when no measure is in it or the number is absurd.
    """
    text = _SLASH.sub("/", text)
    if len(text) > _LONGEST_TEXT or _MISREAD.search(text):
        raise _unread(text, lang)
    tokens = _tokens(_THOUSANDS.sub("", composed(text)))
    cooked = not _words("cooked").isdisjoint(tokens)
    told = _words("cooked") | _words("dry")
    tokens = [token for token in tokens if token not in told]
    start, stop, measure = _find_measure(tokens)
    if measure is None:
        start, stop, measure = _find_noun(tokens)
    if measure is None:
        raise _unread(text, lang)
    count = _count(tokens[:start], tokens[stop:])
    if count is None:
        raise _unread(text, lang)
    if measure not in measures() and measure not in _nouns().values():
        count, measure = _other_unit(count, measure)
    return Amount(check_count(count, lang), measure, cooked)


def amount_from(count: float, measure: str, lang: str = DEFAULT, *, cooked: bool = False) -> Amount:
    """Return the amount of so many of a measure, named by its id, its words or the label's own unit.

    Raises:
        AmountError: when the count is not above 0, or beyond ``MOST``.
    """
    measure = composed(measure[:_LONGEST_TEXT])
    known = _measure_words().get(" ".join(_tokens(measure)))
    return Amount(check_count(count, lang), known or label_noun(measure), cooked)


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
    word = composed(word).strip().lower().rstrip(".")
    known = _nouns().get(word)
    if known:
        return known
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def composed(text: str) -> str:
    """Return text whose accents are one letter with what they stand on, as nearly all people type them.

    Some systems part them when text is copied: then "puño" has five signs.
    """
    if text.isascii():
        return text
    import unicodedata

    return unicodedata.normalize("NFC", text)


def is_container(word: str) -> bool:
    """Tell whether a label's unit, in the singular, is a package of some kind ("can", "package")."""
    return word in data.load(_TABLE)["containers"]


def _tokens(text: str) -> list[str]:
    return _TOKEN.findall(text.lower().translate(_SIGNS))


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
    """Return where the first noun that labels count in stands, else the first word of any other kind."""
    for length in (2, 1):
        for start in range(len(tokens) - length + 1):
            noun = _nouns().get(" ".join(tokens[start : start + length]))
            if noun:
                return start, start + length, noun
    fillers = _words("skip") | _words("and")
    for place, token in enumerate(tokens):
        if token[0].isalpha() and token not in fillers and token not in _numbers():
            return place, place + 1, label_noun(token)
    return 0, 0, None


def _count(before: list[str], after: list[str]) -> float | None:
    """Return the number said around the measure, or None when it is not clear; a bare "fist" is one."""
    tail = _tail(after)
    groups = _groups([token for token in before if token not in _words("skip")])
    if groups is None or _says_more(after[len(tail) :]):
        return None
    numbers = [_number(group) for group in groups]
    parts = [number for number in numbers if number is not None]
    if len(parts) < len(numbers) or any(part >= 1 for part in parts[1:]):
        return None
    return (sum(parts) if parts else 1.0) + (_number(tail[1:]) or 0.0)


def _says_more(after: list[str]) -> bool:
    """Tell whether what stands after the measure is more than the food's name ("... or 3", "... 2 tbsp")."""
    number = any(token[0].isdecimal() for token in after)
    return number or _find_measure(after)[2] is not None or not _words("unclear").isdisjoint(after[:1])


def _groups(said: list[str]) -> list[list[str]] | None:
    """Return the words of each number, parted by "and", or None when another word is in the way.

    The food may stand before the number ("rice, 2 cups").
    """
    first = next((place for place, token in enumerate(said) if _value(token) is not None), len(said))
    food, said = said[:first], said[first:]
    if food and (not said or said[0] in _words("articles") or not _words("unclear").isdisjoint(food)):
        return None
    groups: list[list[str]] = [[]] if said else []
    for token in said:
        if token in _words("and"):
            groups.append([])
        elif _value(token) is None:
            return None
        else:
            groups[-1].append(token)
    return groups


def _tail(after: list[str]) -> list[str]:
    """Return the "and a half" right after the measure, or nothing."""
    if not after or after[0] not in _words("and"):
        return []
    tail = [after[0]]
    for token in after[1:3]:
        if _value(token) is None:
            break
        tail.append(token)
    return tail if (_number(tail[1:]) or 1.0) < 1 else []


def _number(tokens: list[str]) -> float | None:
    """Return the number that ``tokens`` say: "1 1/2" adds, "three quarters" multiply; None if unclear."""
    shape = "".join(map(_kind, tokens))
    if not _SHAPES.fullmatch(shape):
        return None
    values = [value for value in map(_value, tokens) if value is not None]
    return math.prod([values[0] + values[1], *values[2:]]) if shape.startswith("WS") else math.prod(values)


def _kind(token: str) -> str:
    """Return the letter of ``_SHAPES`` for a number's token."""
    if "/" in token:
        return "S"
    if token in _numbers():
        kinds = {"A": _words("articles"), "D": _words("dozens")}
        named = next((kind for kind, words in kinds.items() if token in words), None)
        return named or ("F" if _numbers()[token] < 1 else "W")
    return "W" if token.isdecimal() else "N"


def _sum_of(tokens: list[str]) -> float:
    return sum(value for value in map(_value, tokens) if value is not None)


def _value(token: str) -> float | None:
    if "/" in token:
        top, bottom = token.split("/")
        return int(top) / int(bottom) if int(bottom) else math.inf
    if token[0].isdecimal() or token[0] in ".,":
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
