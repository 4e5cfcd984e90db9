"""What there is to say of each field of a reading: its value and state, why it is in doubt, where it stands.

``explain.py`` draws these notes beside the photo.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import dist, hypot

from shelfcheck.numbers import as_fraction, decimals
from shelfcheck.panel import MANDATORY, STATES, Box, Declared, Doubt, Serving, State
from shelfcheck.panel_json import doubt_to_json
from shelfcheck.reading.leaf import Leaf, Quad
from shelfcheck.reading.page import Word, overlap_across, overlap_down, right
from shelfcheck.reading.reader import Reading
from shelfcheck.rules import nutrients
from shelfcheck.words import DEFAULT, nutrient_name, say

_SIZE = ("household_amount", "household_unit", "metric_amount", "metric_unit", "pieces")
_SHARED = 0.5
"""A word of the leaf that shares this much of its place with one of the page is that word. Judgement."""


@dataclass(frozen=True, slots=True)
class Part:
    """What stands in one column, ``beside``; ``spots`` are the quads of its print on the picture."""

    value: str
    state: State
    spots: tuple[Quad, ...] = ()
    beside: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """One field; ``heads`` are the quads of its printed name on the picture."""

    name: str
    parts: tuple[Part, ...]
    why: tuple[str, ...] = ()
    heads: tuple[Quad, ...] = ()

    @property
    def state(self) -> State:
        """The worst state of its parts."""
        return max((part.state for part in self.parts), key=STATES.index)

    @property
    def anchor(self) -> tuple[float, float] | None:
        """The middle of the right end of the first value, or of the name where none was read, if any.

        Where a page's line has figures elsewhere too, those that stand level with the name are the value.
        """
        spots = self.parts[0].spots
        level = [spot for spot in spots if any(_level(spot, head) for head in self.heads)]
        return max((between(quad[1], quad[2], 0.5) for quad in level or spots or self.heads), default=None)


def find_notes(reading: Reading, lang: str = DEFAULT) -> list[Note]:
    """Return the notes on a reading in the order of a panel: the photo, the serving, each nutrient."""
    doubts = reading.panel.doubts
    photo = [doubt for doubt in doubts if doubt.field == "photo"]
    notes = [Note(_title(say("field.photo", lang)), (Part("", "check"),), _why(photo, lang))] if photo else []
    notes += sorted(_serving(reading, lang), key=_height)
    absent = {doubt.field.removeprefix("nutrients.") for doubt in doubts if doubt.code == "not_found"}
    for key in nutrients():
        if any(key in table for table in (reading.panel.nutrients, *reading.panel.columns.values())):
            notes.append(_nutrient(reading, key, lang))
        elif key in absent and key in MANDATORY:
            why = _why((doubt for doubt in doubts if doubt.field == f"nutrients.{key}"), lang)
            notes.append(Note(_title(nutrient_name(key, lang)), (Part("", "missing"),), why))
    return notes


def _nutrient(reading: Reading, key: str, lang: str) -> Note:
    """Return the note on a nutrient, with a part for each column that names it."""
    panel, page = reading.panel, reading.page
    lines = [line for line in page.lines if line.id == key]
    tables = [("nutrients", panel.nutrients), *((f"columns.{k}", panel.columns[k]) for k in page.columns)]
    parts, doubts = [], []
    for number, (path, table) in enumerate(tables):
        if key in table:
            words = [
                word for line in lines for column in line.columns[number : number + 1] for word in column
            ]
            beside = say(f"explain.{page.columns[number - 1]}", lang) if number else ""
            spots = _spots(reading.leaf, words)
            parts.append(Part(_amount(table[key]), table[key].state, spots, beside))
            doubts += [doubt for doubt in panel.doubts if doubt.field == f"{path}.{key}"]
    heads = _quads(reading.leaf, [word for line in lines for word in line.name])
    return Note(_title(nutrient_name(key, lang)), tuple(parts), _why(doubts, lang), heads)


def _serving(reading: Reading, lang: str) -> Iterator[Note]:
    """Yield the serving size as one note, and the servings per container."""
    serving, found = reading.panel.serving, reading.serving
    count = found.servings_box if found.per_container is None else found.per_container.box
    for name, keys, value, id_, place in (
        ("serving", _SIZE, _size(serving), "serving_size", found.box),
        ("servings_per_container", ("servings_per_container",), _count(serving), "servings", count),
    ):
        doubts = [
            doubt for doubt in reading.panel.doubts if doubt.field in {f"serving.{key}" for key in keys}
        ]
        sure = not doubts and all(getattr(serving, key).state != "check" for key in keys)
        state: State = "missing" if not value else "sure" if sure else "check"
        own = [line for line in reading.page.lines if line.id == id_ and _meets(line.box, place)]
        words = [word for line in own for word in (*line.before, *line.columns[0])]
        heads = _quads(reading.leaf, [word for line in own for word in line.name])
        part = Part(value, state, _spots(reading.leaf, words))
        yield Note(_title(say(f"field.{name}", lang)), (part,), _why(doubts, lang), heads)


def _height(note: Note) -> float:
    return min((y for quad in (*note.heads, *note.parts[0].spots) for _, y in quad), default=0.0)


def _meets(box: Box, place: Box | None) -> bool:
    return place is not None and overlap_down(box, place) > _SHARED and overlap_across(box, place) > 0


def _size(serving: Serving) -> str:
    parts = []
    for amount, unit in (
        (serving.household_amount, serving.household_unit),
        (serving.metric_amount, serving.metric_unit),
    ):
        if amount.value is not None:
            parts.append(f"{as_fraction(amount.value)} {(unit.value or '').replace('_', ' ')}".strip())
    return ", ".join(parts)


def _count(serving: Serving) -> str:
    count = serving.servings_per_container
    return "" if count.value is None else ("~" if count.about else "") + as_fraction(count.value)


def _amount(declared: Declared) -> str:
    parts = []
    if declared.value is not None:
        unit = "" if declared.unit == "kcal" else f" {declared.unit}"
        parts.append(f"{'<' if declared.less_than else ''}{decimals(declared.value)}{unit}")
    if declared.percent_dv is not None:
        parts.append(f"{decimals(declared.percent_dv)} %")
    return "   ".join(parts)


def _why(doubts: Iterable[Doubt], lang: str) -> tuple[str, ...]:
    """Return the reasons in short: of each its first sentence, which tells what is wrong."""
    reasons = [str(doubt_to_json(doubt, lang)["reason"]) for doubt in doubts]
    return tuple(dict.fromkeys(f"{reason.partition('. ')[0].rstrip('.')}." for reason in reasons))


def _title(name: str) -> str:
    return name[:1].upper() + name[1:]


def _spots(leaf: Leaf, words: Sequence[Word]) -> tuple[Quad, ...]:
    """Return the quads of the lines of print that hold a figure; the rest of a page's line says no amount."""
    telling = {word.segment for word in words if any(letter.isdigit() for letter in word.text)}
    return _quads(leaf, [word for word in words if word.segment in telling])


def _quads(leaf: Leaf, words: Sequence[Word]) -> tuple[Quad, ...]:
    """Return for each line of print that words stand in the quad around them on the picture."""
    found = [
        (own.segment, _part(quad, own, word))
        for word in words
        for own, quad in zip(leaf.words, leaf.quads, strict=True)
        if _is_in(word, own)
    ]
    found.sort(key=lambda one: one[0])
    return tuple(around([quad for _, quad in group]) for _, group in groupby(found, lambda one: one[0]))


def _is_in(word: Word, own: Word) -> bool:
    """Tell whether a word of the page is a word of the leaf, or a part of one."""
    shared = min(right(word.box), right(own.box)) - max(word.box[0], own.box[0])
    beside = shared > _SHARED * min(word.box[2], own.box[2])
    return word.segment == own.segment and beside and overlap_down(word.box, own.box) > _SHARED


def _part(quad: Quad, own: Word, word: Word) -> Quad:
    """Return the part of a word's quad that a part of the word fills."""
    shares = [min(1.0, max(0.0, (at - own.box[0]) / own.box[2])) for at in (word.box[0], right(word.box))]
    first, second, third, fourth = quad
    top, low = ([between(*edge, at) for at in shares] for edge in ((first, second), (fourth, third)))
    return top[0], top[1], low[1], low[0]


def _level(quad: Quad, head: Quad) -> bool:
    """Tell whether the middle of a quad lies about on the line through another."""
    (sx, sy), (ex, ey) = between(head[0], head[3], 0.5), between(head[1], head[2], 0.5)
    x, y = between(quad[0], quad[2], 0.5)
    off = abs((y - sy) * (ex - sx) - (x - sx) * (ey - sy)) / max(1e-6, hypot(ex - sx, ey - sy))
    return off < max(dist(one[0], one[3]) for one in (quad, head))


def between(one: tuple[float, float], other: tuple[float, float], share: float) -> tuple[float, float]:
    """Return the point this far on the way from one point to another."""
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def around(quads: Sequence[Quad]) -> Quad:
    """Return the smallest quad around ``quads``, which stand in one line, turned as they are."""
    across = sum(quad[1][0] - quad[0][0] for quad in quads), sum(quad[1][1] - quad[0][1] for quad in quads)
    length = max(1e-6, hypot(*across))
    x, y = across[0] / length, across[1] / length
    along = [px * x + py * y for quad in quads for px, py in quad]
    down = [py * x - px * y for quad in quads for px, py in quad]
    left, far, top, low = min(along), max(along), min(down), max(down)
    return tuple(
        (a * x - d * y, a * y + d * x) for a, d in ((left, top), (far, top), (far, low), (left, low))
    )
