"""The noun of a serving size to our unit: "cups/tazas" is cup, "9 crackers/galletas" counts crackers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from functools import cache, lru_cache

from shelfcheck.reading.names import panel_words, plain
from shelfcheck.reading.numerals import cost_of
from shelfcheck.reading.page import Word

_KEEP_E = ("cookies", "brownies", "smoothies", "pies")
_ABBREVIATIONS = ("oz", "fl_oz", "tbsp", "tsp")
_OUNCE = re.compile(r"^[0oO][z2]\.?$")
_STROKE = re.compile(r"[li1|jt/]?")
_LONGEST = 4
_LONG, _ALIKE = 6, 0.88


def noun_at(words: Sequence[Word], start: int) -> tuple[Word, ...]:
    """Return the words after a number up to a bracket, a stroke or another number."""
    out: list[Word] = []
    for word in words[start : start + _LONGEST]:
        if word.text.startswith(("(", "[", "{")) or (
            re.search(r"\d", word.text) and not _OUNCE.match(word.text)
        ):
            break
        out.append(word)
        if re.search(r"[)/\],]$", word.text) and plain(word.text) != "fl":
            break
    return tuple(out)


def unit_of(noun: Sequence[Word], amount: float, *, two_languages: bool) -> tuple[str, float] | None:
    """Return the unit in our terms, else the printed noun in the singular, with its cost; None for no noun.

    On a label in two languages a noun that is none of ours must show its stroke ("crackers/galletas"):
    without it the two may have run together.
    """
    texts = ["oz" if _OUNCE.match(word.text) else re.sub(r"[^\w\s-]", "", word.text.lower()) for word in noun]
    texts = [text for text in texts if text]
    if not texts:
        return None
    for length in (2, 1):
        name = _spellings().get(plain(" ".join(texts[:length])))
        if name is not None:
            return name, _plural_missing(name, texts[0], amount)
    together = _run_together(plain(texts[0]))
    if together is not None:
        return together, cost_of("noun_run_together")
    said = " ".join([*texts[:-1], singular(texts[-1])])
    known = _nearest(said)
    if known is not None:
        return known, 0.0 if known == said else cost_of("noun_misread")
    unproven = two_languages and not noun[-1].text.endswith("/")
    return said, cost_of("looks_differ") if unproven else 0.0


@lru_cache(maxsize=1024)
def _nearest(noun: str) -> str | None:
    """Return the noun of a serving size that a word is, or that a long one nearly is; None for neither."""
    nouns = panel_words()["nouns"]
    if noun in nouns or len(noun) < _LONG:
        return noun if noun in nouns else None
    return next(iter(get_close_matches(noun, nouns, 1, _ALIKE)), None)


def singular(word: str) -> str:
    """Return an English or Spanish noun's singular.

    >>> singular("crackers"), singular("berries"), singular("cookies")
    ('cracker', 'berry', 'cookie')
    """
    if word.endswith("ies") and word not in _KEEP_E:
        return f"{word[:-3]}y"
    if word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


@cache
def _spellings() -> dict[str, str]:
    return {plain(word): unit for unit, words in panel_words()["units"].items() for word in words}


def _plural_missing(name: str, text: str, amount: float) -> float:
    """Return the cost of "2 cup": where no s stands the number may have lost its fraction."""
    return cost_of("plural_missing") if amount > 1 and name not in _ABBREVIATIONS and text[-1] != "s" else 0.0


@cache
def _run_together(text: str) -> str | None:
    """Return the unit of "cupltaza": its two names with the stroke between them read as a letter."""
    for spelling, name in _spellings().items():
        rest = text.removeprefix(spelling)
        if rest != text:
            cut = _STROKE.match(rest)
            if {_spellings().get(rest), _spellings().get(rest[cut.end() if cut else 0 :])} & {name}:
                return name
    return None
