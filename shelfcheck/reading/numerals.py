"""Print to numbers: which words are one number with its sign, and what the number may be.

``cost`` counts slips that must have happened: 0 for clean print with its unit, 1 and more for a slip that is
seldom. The slips and their costs are in ``data/misreadings.json``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Protocol

from shelfcheck import data
from shelfcheck.panel import Box
from shelfcheck.reading.names import panel_words
from shelfcheck.reading.page import Word, union
from shelfcheck.rules import Nutrient

SLIPS = "misreadings.json"
_THOUSANDS = re.compile(r"^\d{1,3},\d{3}$")
_ILLEGIBLE, _WORD = 0.6, 3
_BARE = re.compile(r"[\dOolI|]+([.,]\d+)?")
_SIGNED = re.compile(r"^[\dOolI|iSBZtA]+([.,][\dOolI|]+)?\s?(g|9|q|y|Y|a|m.{1,2}|rng|incg|%|[0o°]/[0o])?$")
_LIKE_FIGURES = re.compile(r"\d|^[Oo]([gqyY%]|m.)|^[lI|it]+([gqyY%]|m.)|^A[gqyY%]")


_CONFIDENT = 0.85
_PER_CONFIDENCE = 4.0


class Seen(Protocol):
    """Something read: what slips it must have suffered, and how sure the engine is of the print."""

    @property
    def cost(self) -> float:
        """The slips that must have happened."""

    @property
    def confidence(self) -> float:
        """How sure the engine is, from 0 to 1."""


def weight(seen: Seen) -> float:
    """Return all that speaks against what was read: its slips, and the engine's doubt."""
    return seen.cost + max(0.0, _CONFIDENT - seen.confidence) * _PER_CONFIDENCE


@dataclass(frozen=True, slots=True)
class Candidate:
    """A value that the print may say; ``confidence`` is the engine's least, over the words it is made of."""

    value: float
    cost: float
    confidence: float
    box: Box
    less_than: bool = False


@dataclass(frozen=True, slots=True)
class Token:
    """Print that is one number with its sign, ``text`` without spaces; ``descends`` as in ``Word``."""

    text: str
    confidence: float
    box: Box
    less_than: bool
    descends: bool | None

    @property
    def percent(self) -> bool:
        """Whether a percent sign ends it; "96" may be one too, but only where a percent is looked for."""
        return any(self.text.endswith(sign) for sign in slips()["percent"] if sign not in ("", "96"))


@cache
def slips() -> dict[str, Any]:
    """Return ``data/misreadings.json``."""
    found: dict[str, Any] = data.load(SLIPS)
    return found


def cost_of(slip: str) -> float:
    """Return the cost of a slip by its name."""
    return float(slips()["costs"][slip])


def as_figures(text: str) -> tuple[str, float]:
    """Return ``text`` with letters read for figures put right, and what that costs.

    >>> as_figures("lO")
    ('10', 0.25)
    """
    letters = slips()["letters"]
    figures = "".join(letters[letter][0] if letter in letters else letter for letter in text)
    return figures, sum(letters[letter][1] for letter in text if letter in letters)


def find_tokens(words: Sequence[Word]) -> Iterator[Token]:
    """Yield the numbers among words: "<1g", "less than 1 g", "10 %", "(0%".

    A number is no surer than an illegible word before it, which may be the "less than" that belongs to it.
    """
    less, pending, murk = False, None, 1.0
    for word in words:
        text = word.text.strip("()[]{},;:*•·'‘’`´\"").rstrip(".")
        is_less = text.startswith(("<", "«")) or _is_less(text)
        text = text.lstrip("<«")
        signed = _is_sign(text) and not is_less  # what is less belongs to the number that follows
        if pending is not None and (signed or _has_figure(pending)):
            both = [pending, word] if signed else [pending]
            yield _token(both, pending.text + text * signed, murk, less=less)
            less, pending, murk = False, None, 1.0
            if signed:
                continue
        less = less or is_less
        if _is_less(text):
            continue
        pending = replace(word, text=text) if _BARE.fullmatch(text) else None
        if pending is None and _SIGNED.match(text) and _LIKE_FIGURES.search(text):
            yield _token([word], text, murk, less=less)
            less, murk = False, 1.0
        elif pending is None and word.confidence < _ILLEGIBLE and len(text) >= _WORD:
            murk = min(murk, word.confidence)
    if pending is not None and _has_figure(pending):
        yield _token([pending], pending.text, murk, less=less)


def _token(words: list[Word], text: str, murk: float, *, less: bool) -> Token:
    descends = words[0].descends if len(words) == 1 else None
    return Token(
        text, min(murk, *(word.confidence for word in words)), union(w.box for w in words), less, descends
    )


def _has_figure(word: Word) -> bool:
    """Tell whether a word without a sign is a number by itself; an "O" is not, it may be a bullet."""
    return any(letter.isdigit() for letter in word.text)


def _is_less(text: str) -> bool:
    return text.lower() in {part for phrase in panel_words()["less_than"] for part in phrase.split()}


@cache
def _is_sign(text: str) -> bool:
    signs = {sign for signs in slips()["units"].values() for sign in signs} | set(slips()["percent"])
    return text in signs - {"", "9", "96", "a"}


def amounts(token: Token, nutrient: Nutrient) -> tuple[Candidate, ...]:
    """Return what an amount may say, the sign of its unit taken off in every way it may have been misread."""
    found = []
    for sign, price in slips()["units"][nutrient.unit].items():
        for value, cost in _before(sign, token, nutrient.decimals):
            total = price + _against_shape(sign, token) + cost
            if value <= nutrient.most:
                found.append(Candidate(value, total, token.confidence, token.box, token.less_than))
    return ranked(found)


def percents(token: Token) -> tuple[Candidate, ...]:
    """Return what a percent may say."""
    return ranked(
        Candidate(value, price + cost, token.confidence, token.box)
        for sign, price in slips()["percent"].items()
        for value, cost in _before(sign, token, 0)
    )


def ranked(candidates: Iterable[Candidate]) -> tuple[Candidate, ...]:
    """Return candidates by cost, each value once."""
    best: dict[tuple[float, bool], Candidate] = {}
    for candidate in candidates:
        key = candidate.value, candidate.less_than
        if key not in best or candidate.cost < best[key].cost:
            best[key] = candidate
    return tuple(sorted(best.values(), key=lambda candidate: candidate.cost))


def _before(sign: str, token: Token, decimals: int) -> Iterator[tuple[float, float]]:
    if token.text.endswith(sign) and len(token.text) > len(sign):
        yield from numbers(token.text.removesuffix(sign), decimals)


def _against_shape(sign: str, token: Token) -> float:
    """Return what the last letter's shape says: a g reaches below the line, a 9 does not."""
    if token.descends is None:
        return 0.0
    if not token.descends:
        return cost_of("nine_by_shape") if sign == "9" else 0.0
    if sign == "9":
        return cost_of("g_by_shape")
    return 0.0 if sign[-1:] and sign[-1] in slips()["reach_below_the_line"] else cost_of("unit_against_shape")


def numbers(text: str, decimals: int) -> Iterator[tuple[float, float]]:
    """Yield the numbers that a run of figures may say, each with its cost; nothing when it is no number."""
    figures, cost = as_figures(text)
    if _THOUSANDS.match(figures):
        figures = figures.replace(",", "")
    elif "," in figures:
        figures, cost = figures.replace(",", "."), cost + cost_of("comma_for_point")
    if not re.fullmatch(r"\d{1,5}(\.\d{1,2})?", figures):
        return
    if not _led_by_nought(figures):
        yield float(figures), cost
        yield from ((value, cost + more) for value, more in _misread(figures))
    if "." not in figures and len(figures) > 1 and decimals:
        lost = "lost_point_after_nought" if _led_by_nought(figures) else "lost_point"
        yield float(f"{figures[:-1]}.{figures[-1]}"), cost + cost_of(lost)


def _misread(figures: str) -> Iterator[tuple[float, float]]:
    """Yield the numbers with one figure read for another, or with the first one lost."""
    for at, figure in enumerate(figures):
        for other in slips()["figures"].get(figure, ""):
            changed = figures[:at] + other + figures[at + 1 :]
            if not _led_by_nought(changed):
                yield float(changed), cost_of("another_figure")
    for figure in "123456789":
        yield float(figure + figures), cost_of("lost_figure")


def _led_by_nought(figures: str) -> bool:
    """Tell whether a nought stands before other figures, which no label prints: "05" has lost its point."""
    return len(figures) > 1 and figures[0] == "0" and figures[1] != "."
