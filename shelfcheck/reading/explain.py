"""A picture of what the reader saw: the words it found, each field's place by state, and why it doubts.

The photo stands on the left; beside it is a label for each field, tied to its place by a line. States are
told apart by colour, by mark (tick, exclamation mark, bar) and by line (a missing field's is broken).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, hypot, pi

import numpy as np
from PIL import Image

from shelfcheck.errors import InvalidInputError
from shelfcheck.panel import STATES
from shelfcheck.reading.labels import GAP, WIDTH, Label, lay_out
from shelfcheck.reading.leaf import Quad
from shelfcheck.reading.notes import Note, find_notes
from shelfcheck.reading.pen import COLOURS, INK, Pen, Point, width_of
from shelfcheck.reading.reader import Reading
from shelfcheck.words import DEFAULT, say

LONGEST = 1600
"""The picture's longer side is no longer than this, in pixels, unless very many reasons make it higher."""
_WORD, _PAPER = "#56B4E9", "#EEF0F3"
_MOST_LARGER = 4.0
"""A small picture is drawn larger, up to this."""
_HEAD, _TITLE, _KEY = 112, 24, 17
_AROUND = 3
"""Pixels between a value's print and its frame."""


def draw(reading: Reading, lang: str = DEFAULT) -> Image.Image:
    """Return the picture of a reading, RGB, at most ``LONGEST`` pixels on its longer side.

    The photo is turned by quarters so that the print on it reads upright.
    """
    gray, quads = reading.picture.gray, reading.leaf.quads
    turns = _turns(quads)
    photo = Image.fromarray(np.ascontiguousarray(np.rot90(gray, turns)))
    scale = min((LONGEST - WIDTH) / photo.width, LONGEST / photo.height, _MOST_LARGER)
    wide, high = (max(1, round(side * scale)) for side in photo.size)

    def placed(quads: Sequence[Quad]) -> tuple[Quad, ...]:
        return tuple(tuple(_turned(corner, gray.shape, turns, scale) for corner in quad) for quad in quads)

    notes = [
        replace(
            note,
            parts=tuple(replace(part, spots=placed(part.spots)) for part in note.parts),
            heads=placed(note.heads),
        )
        for note in find_notes(reading, lang)
    ]
    labels, low = lay_out(notes, _HEAD, max(high, _HEAD), LONGEST)
    pen = Pen((wide + WIDTH, max(high, low)), _PAPER)
    pen.photo(photo, (wide, high))
    for quad in placed(quads):
        pen.outline(quad, f"{_WORD}A0", 1)
    for label in labels:
        _mark(pen, label, wide + GAP)
    for label in labels:
        label.write(pen, wide)
    _key(pen, wide + GAP + 2, notes, reading, lang)
    return pen.finish()


def keep(reading: Reading, path: str, lang: str = DEFAULT) -> None:
    """Write the picture of a reading to a file, its kind told by the name's ending.

    Raises:
        InvalidInputError: when there can be no such file.
    """
    try:
        draw(reading, lang).save(path)
    except ValueError as unknown:  # Pillow knows no kind of picture by this ending
        raise InvalidInputError(say("error.explain_kind", lang, name=path)) from unknown
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise InvalidInputError(say("error.explain_file", lang, name=path, why=why)) from error


def _turns(quads: Sequence[Quad]) -> int:
    """Return by how many quarters against the clock the picture is turned to make most of the print level."""
    across = sum(quad[1][0] - quad[0][0] for quad in quads)
    down = sum(quad[1][1] - quad[0][1] for quad in quads)
    return round(atan2(down, across) / (pi / 2)) % 4


def _turned(point: Point, shape: tuple[int, ...], turns: int, scale: float) -> Point:
    """Return where a point of a picture of this shape is after so many quarter turns, and then larger."""
    (x, y), (high, wide) = point, shape
    for _ in range(turns):
        (x, y), (high, wide) = (y, wide - x), (wide, high)
    return x * scale, y * scale


def _mark(pen: Pen, label: Label, edge: int) -> None:
    """Mark a field on the photo: its name shaded, each value in a frame, a line to its label."""
    note = label.note
    own = COLOURS[note.parts[0].state]
    if note.anchor:
        start, sure = (note.anchor[0] + _AROUND, note.anchor[1]), note.state == "sure"
        faint = "C0" if sure else ""
        pen.line(start, (edge, label.top + label.first), COLOURS[note.state] + faint, 1 if sure else 2)
        pen.dot(start, 4, own)
    for quad in note.heads:
        pen.fill(quad, f"{own}38")
    for part in note.parts:
        for quad in part.spots:
            pen.outline(_wider(quad, _AROUND), COLOURS[part.state], 3, broken=part.state == "missing")


def _wider(quad: Quad, by: float) -> Quad:
    """Return a quad ``by`` pixels larger on each side."""
    (ax, ay), (bx, by_), *_ = quad
    length = max(1e-6, hypot(bx - ax, by_ - ay))
    x, y = (bx - ax) / length * by, (by_ - ay) / length * by
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return tuple(
        (px + a * x - d * y, py + a * y + d * x) for (px, py), (a, d) in zip(quad, signs, strict=True)
    )


def _key(pen: Pen, left: int, notes: Sequence[Note], reading: Reading, lang: str) -> None:
    """Write above the labels what the colours mean and how many fields have each."""
    pen.text((left, 12), say("explain.title", lang), _TITLE, INK, bold=True)
    across = float(left)
    for state in STATES:
        words = say(f"explain.{state}", lang, count=sum(note.state == state for note in notes))
        pen.sign((across + 9, 60), 9, state)
        pen.text((across + 24, 50), words, _KEY, INK)
        across += width_of(words, _KEY) + 42
    pen.outline(((left, 80), (left + 18, 80), (left + 18, 94), (left, 94)), _WORD, 1.5)
    pen.text((left + 24, 77), say("explain.words", lang, count=len(reading.leaf.words)), _KEY, INK)
