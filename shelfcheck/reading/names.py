"""Finding the printed names of a panel in words that an engine may have misread."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from shelfcheck import data
from shelfcheck.rules import nutrients

WORDS = "panel_words.json"
_ALIKE = str.maketrans({"1": "l", "|": "l", "!": "l", "i": "l", "0": "o", "5": "s"})
_EDGE = re.compile(r"^[|\[/!]+(?=\w{3})")
"""A rule of the table that stands close to a word is read as a stroke before it."""
_LETTERS_PER_SLIP = 7
_LONGEST = 6
_NUMBER = re.compile(r"^\W*[\d.,]+\W*(g|q|y|a|m.{1,2}|%)?\W*$")


@dataclass(frozen=True, slots=True)
class Name:
    """A printed name found at words ``start`` (included) to ``stop`` (excluded); ``slips`` letters differ."""

    id: str
    start: int
    stop: int
    slips: int


@cache
def panel_words() -> dict[str, Any]:
    """Return the words of a panel, ``data/panel_words.json``."""
    found: dict[str, Any] = data.load(WORDS)
    return found


@cache
def known_nouns() -> frozenset[str]:
    """Return every word that a serving size is counted in, in plain letters: "cups", "mlnt"."""
    nouns = panel_words()["nouns"]
    spellings = {word for words in panel_words()["units"].values() for word in words}
    return frozenset(map(plain, {*spellings, *nouns, *(f"{noun}s" for noun in nouns)}))


@cache
def plain_words(table: str) -> frozenset[str]:
    """Return a list of ``panel_words`` in plain letters, such as the words of a "footnote"."""
    return frozenset(map(plain, panel_words()[table]))


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Return ``text`` in small letters without accents or marks; letters read for each other are made one.

    >>> plain("Iron"), plain("lron,")
    ('lron', 'lron')
    """
    flat = unicodedata.normalize("NFKD", _EDGE.sub("", text.lower()))
    return re.sub(r"[^a-z%]", "", flat.translate(_ALIKE))


@cache
def _phrases() -> tuple[tuple[str, str, bool], ...]:
    """Return each name as (id, plain text, whether a lone capital ends it, as in "Vitamin D")."""
    printed = {key: nutrient.names for key, nutrient in nutrients().items()}
    pairs = [(key, name) for key, names in printed.items() for group in names.values() for name in group]
    pairs += [(key, name) for key, names in panel_words()["phrases"].items() for name in names]
    return tuple((key, plain(name), len(name.split()[-1]) == 1) for key, name in pairs)


def name_at(texts: Sequence[str], start: int) -> Name | None:
    """Return the name that starts at word ``start``, the longest and closest one, or None."""
    best = _longest_at(texts, start)
    if best is None or not best.slips or best.stop - start < 2:
        return best
    later = _longest_at(texts, start + 1)
    return None if later is not None and later.id == best.id and later.slips < best.slips else best


def _longest_at(texts: Sequence[str], start: int) -> Name | None:
    best, best_worth, joined = None, 0, ""
    for stop in range(start + 1, min(start + _LONGEST, len(texts)) + 1):
        last = texts[stop - 1]
        if _NUMBER.match(last) or (stop == start + 1 and not plain(last)):
            break
        joined += plain(last)
        for key, slips, length in _likely(joined, capital=_ends_in_capital(last)):
            worth = length - 3 * slips
            if worth > best_worth:
                best, best_worth = Name(key, start, stop, slips), worth
    return best


_letters = cache(frozenset[str])


@lru_cache(maxsize=16384)
def _likely(joined: str, *, capital: bool) -> tuple[tuple[str, int, int], ...]:
    """Return the names that ``joined`` may be: each id with the letters that differ and the name's length."""
    letters = frozenset(joined)
    found = (
        (key, _slips(joined, phrase), len(phrase), alone)
        for key, phrase, alone in _phrases()
        # One slip changes two letters of the set at most; most phrases need no closer look.
        if len(letters ^ _letters(phrase)) <= 2 * (len(phrase) // _LETTERS_PER_SLIP)
    )
    return tuple(
        (key, slips, length)
        for key, slips, length, alone in found
        if slips is not None and (capital or not alone)
    )


def find_names(texts: Sequence[str]) -> list[Name]:
    """Return the names in a stream of words, in order, none overlapping."""
    found, at = [], 0
    while at < len(texts):
        name = name_at(texts, at)
        if name is None:
            at += 1
        else:
            found.append(name)
            at = name.stop
    return found


def _ends_in_capital(text: str) -> bool:
    return bool(re.search(r"[A-Z0]\W*$", text))


def _slips(read: str, phrase: str) -> int | None:
    """Return how many letters differ (Levenshtein), or None when too many for the phrase's length."""
    most = len(phrase) // _LETTERS_PER_SLIP
    if read == phrase:
        return 0
    if abs(len(read) - len(phrase)) > most or not most:
        return None
    row = list(range(len(phrase) + 1))
    for number, letter in enumerate(read, 1):
        above, row[0] = row[0], number
        for column, other in enumerate(phrase, 1):
            above, row[column] = (
                row[column],
                min(row[column] + 1, row[column - 1] + 1, above + (letter != other)),
            )
    return row[-1] if row[-1] <= most else None
