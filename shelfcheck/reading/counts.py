"""Words of the serving lines to numbers: "2/3", "1 1/2", "1½", and the weight or volume "(55g)"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from shelfcheck.numbers import FRACTION_SIGNS, round_half_up
from shelfcheck.panel import Box
from shelfcheck.reading.names import panel_words
from shelfcheck.reading.numerals import as_figures, cost_of
from shelfcheck.reading.page import Word, union

QUOTES = "‘'’`\""
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


@dataclass(frozen=True, slots=True)
class Read:
    """Something read from the serving lines: a number or a word, its cost, confidence and place."""

    value: float | str
    cost: float
    confidence: float
    box: Box
    about: bool = False


def metric_at(words: Sequence[Word], at: int) -> tuple[tuple[Read, Read] | None, int]:
    """Return the metric amount and its unit at a word, and how many words they take ("28 g" takes two)."""
    word = words[at]
    bare = word.text.rstrip(".,;:").strip(f"()[]{{}},;:/{QUOTES}")
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


def number_at(words: Sequence[Word], at: int) -> tuple[Read | None, int]:
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
    text = word.text.strip(f"()[]{{}},;:{QUOTES}").rstrip(".")
    for glyph, fraction in FRACTION_SIGNS.items():
        if text.endswith(glyph) and (text[:-1].isdigit() or text == glyph):
            # Eighths are seldom printed, and halves and thirds in soft print look like them.
            cost = cost_of("eighths") if fraction.endswith("/8") else 0.0
            return round_half_up(int(text[:-1] or 0) + float(Fraction(fraction)), 3), cost
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
