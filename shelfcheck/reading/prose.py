"""Sentences on and beside a panel, left out: ingredients, directions, claims."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from statistics import fmean

from shelfcheck.reading.names import find_names, plain, plain_words
from shelfcheck.reading.page import Word
from shelfcheck.reading.pieces import is_number, is_prose

SENTENCE = 3
"""A stretch of print with fewer words than this is no part of a sentence. Judgement."""
_NOISE = 0.5
"""Print that names nothing and is less sure than this is no part of the panel. Judgement."""


def telling(words: Sequence[Word]) -> list[Word]:
    """Leave out the sentences that name nothing and could hardly be read, and the net weight."""
    by_segment: dict[int, list[Word]] = {}
    for word in words:
        by_segment.setdefault(word.segment, []).append(word)
    noise = {
        segment
        for segment, mine in by_segment.items()
        if segment >= 0
        and sum(is_prose(word.text) for word in mine) >= SENTENCE
        and fmean(word.confidence for word in mine) < _NOISE
        and not find_names([word.text for word in mine])
    }
    noise |= {segment for segment, mine in by_segment.items() if segment >= 0 and _is_net_weight(mine)}
    return [word for word in words if word.segment not in noise]


def _is_net_weight(words: Sequence[Word]) -> bool:
    return plain("".join(word.text for word in words[:2])) in plain_words("net_weight")


def without_prose(words: Sequence[Word]) -> list[Word]:
    """Leave out of each stretch of print what is a sentence: after the amount, or three words before it."""
    out: list[Word] = []
    for _, stretch in groupby(words, key=lambda word: word.segment):
        mine = list(stretch)
        prose = [number for number, word in enumerate(mine) if is_prose(word.text)]
        first = next((number for number, word in enumerate(mine) if is_number(word.text)), len(mine))
        before = [word for word in mine[:first] if is_prose(word.text, 1)]
        after = next((number for number in prose if number > first), len(mine))
        out += [] if len(before) >= SENTENCE else mine[:after]
    return out
