"""Second looks at single lines: under a title, further left for a number not found, again at fractions."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from shelfcheck.numbers import FRACTION_SIGNS
from shelfcheck.reading.names import known_nouns, panel_words, plain
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.strips import Letter, cut, read
from shelfcheck.reading.strokes import Strokes

Line = tuple[Letter, ...]
_SERVINGS = r"(serving|raci|porci)\w* (per|por)\b"
_FURTHER = 2.5
"""How far left of such a line its number may begin, as a share of the height. Judgement."""
_UNDER = ((0.4, 0.3), (0.45, 0.35), (0.5, 0.4), (0.4, 0.65), (0.45, 0.7), (0.55, 0.75))
"""How high, and how far down, each look under a title takes the servings to be, as shares of its height."""
_INSIDE, _AGREE = 0.5, 2
_CLEAR = 0.95
"""The mean confidence that such a look needs. Measured: no look that missed the line had it."""
_LOOKS = ((1.0, 0.0), (0.88, 0.0), (1.12, 0.0), (1.25, 0.0), (1.0, 0.06), (1.0, -0.06))
"""How high, and how far down, each look takes the line to be, as shares of its height."""
_RAISED = 0.4
"""How much further left, likewise, a line that a fraction begins is looked at: a raised figure is often
missed when the line is found."""
_AGAINST, _ENOUGH, _FEWEST = 0.6, 0.7, 3
"""A fraction is sure when no look says another with this confidence, and so many say it with so much in the
mean. Measured: of 52 fractions on drawn photographs it passes 47, all right, and stops all 6 wrong ones."""


def under_the_title(gray: Gray, strokes: Strokes, lines: list[Line]) -> tuple[Strokes, list[Line]]:
    """Look for "8 servings per container" right under the title, where it was lost in the title's own line.

    Two looks must say the same, and none another number. What else was read at that place goes.
    """
    texts = [_text(line) for line in lines]
    titles = [number for number, text in enumerate(texts) if plain(text) in _titles()]
    if len(titles) != 1 or any(re.search(_SERVINGS, text, re.IGNORECASE) for text in texts):
        return strokes, lines
    title = strokes.only(np.array(titles))
    looks = [_shifted(title, *look) for look in _UNDER]
    seen = [read(cut(gray, look))[0] for look in looks]
    counts = {at: count for at, line in enumerate(seen) if (count := _count_of(line))}
    if len(counts) < _AGREE or len(set(counts.values())) > 1:
        return strokes, lines
    found = max(counts, key=lambda at: _mean(seen[at]))
    high, down = _UNDER[found]
    if down < _INSIDE:  # what was taken for the title is both lines, one on the other
        title = _shifted(title, 1 - high, -high / 2)
    stays = ~looks[found].covers(strokes)
    stays[titles] = False
    kept = [line for line, stay in zip(lines, stays, strict=True) if stay]
    whole = strokes.only(stays).and_also(title).and_also(looks[found])
    return whole, [*kept, lines[titles[0]], seen[found]]


def _shifted(strokes: Strokes, high: float, down: float) -> Strokes:
    """Return strokes at ``high`` times their height, moved down by a share of it."""
    bend = strokes.bend + down * strokes.tall[:, :1] * np.array([1.0, 0.0, 0.0])
    return replace(strokes, tall=strokes.tall * high, bend=bend)


def _count_of(line: Line) -> str:
    """Return the number of "8 servings per"; nothing where a line says something else or is not clear."""
    text = _text(line)
    match = re.match(rf"(?:[^\W\d]+ )?([1-9][\d.,]*) ?{_SERVINGS}", text, re.IGNORECASE)
    return match[1] if match and _mean(line) > _CLEAR else ""


def _text(line: Line) -> str:
    return "".join(letter.text for letter in line)


def _mean(line: Line) -> float:
    return sum(letter.confidence for letter in line) / max(1, len(line))


@cache
def _titles() -> frozenset[str]:
    return frozenset(map(plain, panel_words()["phrases"]["title"]))


def from_the_number(gray: Gray, strokes: Strokes, lines: list[Line]) -> tuple[Strokes, list[Line]]:
    """Look again, from further left, at lines that begin with "servings per" or "cup (" and no number."""
    texts = [_text(line) for line in lines]
    lonely = strokes.only(np.array([text.strip().isdigit() for text in texts], bool))
    numbers = [
        number
        for number, text in enumerate(texts)
        if _lacks_number(text) and not _is_before(lonely, strokes.only(np.array([number])))
    ]
    if not numbers:
        return strokes, lines
    ends = strokes.ends.copy()
    ends[numbers, 0] -= _FURTHER * strokes.tall[numbers, 0]
    longer = replace(strokes, ends=ends)
    for number, line in zip(numbers, read(cut(gray, longer.only(np.array(numbers)))), strict=True):
        if re.match(_begun_by_a_number(texts[number]), _text(line)):
            lines[number] = line
        else:
            ends[number] = strokes.ends[number]
    return longer, lines


def _lacks_number(text: str) -> bool:
    """Tell whether a line says what is counted, and not how many."""
    noun, _, rest = text.partition(" ")
    unit = rest.startswith("(") and plain(noun) in known_nouns()
    return unit or re.match(_SERVINGS, text, re.IGNORECASE) is not None


def _begun_by_a_number(text: str) -> str:
    """Return the pattern of a line like ``text`` with a number before it, which is never 0."""
    return (
        rf"(\S+ )?(?!0+\b)(\d+([.,/]\d)?|[\d {''.join(FRACTION_SIGNS)}]+) ?"
        rf"{re.escape(text.split(maxsplit=1)[0][:4])}"
    )


def _is_before(numbers: Strokes, line: Strokes) -> bool:
    """Tell whether one of the lone numbers stands just left of a line."""
    tall, start = line.tall[0, 0], line.points(line.ends[:, :1])[0, 0]
    away = numbers.origin - start
    return bool((np.linalg.norm(away, axis=1) < (_FURTHER + 0.5) * tall).any())


def with_fractions(gray: Gray, strokes: Strokes, lines: Sequence[Line]) -> list[Line]:
    """Return the lines, the fractions in them as several looks see them: their figures are very small.

    What they agree on is sure; where they differ, the likeliest fraction has no confidence.
    """
    out = list(lines)
    numbers = [number for number, line in enumerate(lines) if _fractions(line)]
    if not numbers:
        return out
    own = strokes.only(np.array(numbers))
    ends = own.ends.copy()
    begun = [lines[number][0].text in FRACTION_SIGNS for number in numbers]
    ends[begun, 0] -= _RAISED * own.tall[begun, 0]
    own = replace(own, ends=ends)
    looks = [read(cut(gray, _shifted(own, *look))) for look in _LOOKS]
    for number, seen in zip(numbers, zip(*looks, strict=True), strict=True):
        out[number] = _settled(lines[number], seen)
    return out


def _fractions(line: Line) -> list[Letter]:
    return [letter for letter in line if letter.text in FRACTION_SIGNS]


def _settled(first: Line, looks: Sequence[Line]) -> Line:
    """Return a line with its fractions settled by the looks that see as many."""
    count = len(_fractions(first))
    alike = [_fractions(look) for look in looks if len(_fractions(look)) == count]
    places = [at for at, letter in enumerate(first) if letter.text in FRACTION_SIGNS]
    line = list(first)
    for at, place in enumerate(places):
        line[place] = _agreed(line[place], [look[at] for look in alike])
    return tuple(line)


def _agreed(letter: Letter, votes: Sequence[Letter]) -> Letter:
    if not votes:
        return replace(letter, confidence=0.0)
    said: dict[str, list[float]] = defaultdict(list)
    for vote in votes:
        said[vote.text].append(vote.confidence)
    best = max(said, key=lambda text: sum(said[text]))
    against = max((max(others) for text, others in said.items() if text != best), default=0.0)
    mean = sum(said[best]) / len(said[best])
    sure = against < _AGAINST and mean >= _ENOUGH and len(said[best]) >= _FEWEST
    return replace(letter, text=best, confidence=1.0 if sure else 0.0)
