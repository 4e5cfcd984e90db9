"""A column of labels beside a photo: each as high as its words need, near its place, none over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shelfcheck.reading.notes import Note
from shelfcheck.reading.pen import COLOURS, INK, SOFT, Pen, Point, width_of, wrapped

WIDTH = 440
"""The column's width in pixels; a card is ``GAP`` narrower at each side and has a bar of colour."""
GAP = 8
_PAD, _BAR = 12, 8
_SIZES = (21, 19, 17, 15, 13, 11)
"""Heights of print; the largest is taken with which all labels fit. Judgement."""
_GOOD = 17
"""Print is made smaller than this only where the picture can't be made higher. Judgement."""
_ROW, _REASON, _MARK = 1.3, 0.82, 1.5
"""A row's height, the height of a reason's print and the room for the mark, as shares of the print's."""


@dataclass(frozen=True, slots=True)
class Label:
    """A note laid out: rows of name and value, then lines of reasons; ``top`` is where its card begins."""

    note: Note
    size: int
    rows: tuple[tuple[str, str], ...]
    why: tuple[str, ...]
    height: int
    top: int = 0

    @property
    def first(self) -> float:
        """How far below its top the middle of its first row is: where its mark stands and its line ends."""
        return _PAD / 2 + self.size * _ROW / 2

    def write(self, pen: Pen, left: int) -> None:
        """Draw the label in the column that starts at ``left``."""
        state, size, y = self.note.state, self.size, self.top + _PAD / 2
        pen.card((left + GAP, self.top), (WIDTH - 2 * GAP, self.height), _BAR, COLOURS[state])
        start, stop = float(left + GAP + _BAR + _PAD), left + WIDTH - GAP - _PAD
        pen.sign((start + size * 0.5, self.top + self.first), size * 0.52, state)
        start += size * _MARK
        for number, (name, value) in enumerate(self.rows):
            pen.text((start, y), name, size, SOFT if number else INK)
            pen.text((stop - width_of(value, size, bold=True), y), value, size, INK, bold=True)
            y += size * _ROW
        for line in self.why:
            pen.text((start, y), line, size * _REASON, SOFT)
            y += size


def lay_out(notes: Sequence[Note], head: int, usual: int, most: int) -> tuple[list[Label], int]:
    """Return the labels in their places below ``head``, and how far down they may reach.

    That is ``usual`` where they fit in good print, else up to ``most``, else whatever they take.
    """
    sizes = [(size, usual) for size in _SIZES if size >= _GOOD] + [(size, most) for size in _SIZES]
    for size, limit in sizes:
        labels = [_label(note, size) for note in notes]
        low = head + sum(label.height + GAP for label in labels)
        if low <= limit:
            break
    limit = max(usual, low)
    return _placed(labels, head, limit), limit


def _label(note: Note, size: int) -> Label:
    room = WIDTH - 2 * GAP - _BAR - 2 * _PAD - size * _MARK
    rows: list[tuple[str, str]] = []
    for number, part in enumerate(note.parts):
        name = part.beside if number else ", ".join(filter(None, (note.name, part.beside)))
        taken = width_of(name, size) + size + width_of(part.value, size, bold=True)
        rows += [(name, part.value)] if taken <= room else [(name, ""), ("", part.value)]
    why = tuple(line for reason in note.why for line in wrapped(reason, size * _REASON, room))
    return Label(note, size, tuple(rows), why, round(len(rows) * size * _ROW + len(why) * size + _PAD))


def _placed(labels: Sequence[Label], head: int, limit: int) -> list[Label]:
    """Return the labels in their order, each as near to its anchor's height as the others let it.

    Labels that touch form a group, and a group stands where its labels' wishes lie on the mean. A label
    without an anchor wishes to stand right below the one before it.
    """
    groups: list[list[float]] = []  # the wishes for the top of the column's first label
    wish, above, starts = 0.0, 0, []
    for label in labels:
        anchor: Point | None = label.note.anchor
        wish = anchor[1] - label.first - above if anchor else wish
        groups.append([wish])
        while len(groups) > 1 and _mean(groups[-2]) > _mean(groups[-1]):
            groups[-2:] = [groups[-2] + groups[-1]]
        starts.append(above)
        above += label.height + GAP
    tops = [min(max(_mean(group), head), limit - above) for group in groups for _ in group]
    return [
        replace(label, top=round(top) + start) for label, top, start in zip(labels, tops, starts, strict=True)
    ]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
