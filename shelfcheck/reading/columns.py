"""Columns of amounts that stand side by side: where they part, and what the second one is of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from shelfcheck.reading.names import panel_words, plain
from shelfcheck.reading.page import Word, bottom, middle, right
from shelfcheck.reading.pieces import Piece, is_number

_FEWEST, _MOST_OF_THEM = 3, 0.7
"""So many amounts under each other make a column, and so large a share of all. Judgement."""
_FAR_DOWN = 10
"""Pixels between two amounts that tell how the column leans."""


@dataclass(frozen=True, slots=True)
class Split:
    """The line between two columns of amounts: ``at`` pixels across, and ``lean`` more for each one down."""

    at: float
    lean: float

    @classmethod
    def before(cls, words: Sequence[Word]) -> Split | None:
        """Return the line left of words that stand under each other; None where most of them do not."""
        straight, lean = list(words), 0.0
        for _ in range(2):
            if len(straight) < _FEWEST:
                return None
            edges = [(middle(word.box), word.box[0]) for word in straight]
            lean = _lean(edges)
            usual = median(edge - lean * down for down, edge in edges)
            straight = [
                word
                for word in words
                if abs(word.box[0] - lean * middle(word.box) - usual) <= 2 * word.box[3]
            ]
        if len(straight) < _MOST_OF_THEM * len(words):
            return None
        return cls(min(word.box[0] - lean * middle(word.box) for word in straight) - 2, lean)

    def is_left(self, one: Word | Piece) -> bool:
        """Tell whether the middle of a word or a piece stands left of the line."""
        return one.box[0] + one.box[2] / 2 < self.at + self.lean * middle(one.box)


def _lean(edges: Sequence[tuple[float, float]]) -> float:
    """Return how far an edge moves across for each pixel down: the median of all pairs (Theil and Sen)."""
    slopes = [(x - other) / (y - above) for y, x in edges for above, other in edges if y - above > _FAR_DOWN]
    return median(slopes) if slopes else 0.0


def find_split(rows: Iterable[Sequence[Word]]) -> Split | None:
    """Return the line that parts two columns of amounts, or None when there is one column.

    ``rows`` holds the words that belong to each nutrient.
    """
    found: list[Word] = []
    for words in rows:
        amounts = [word for word in words if is_number(word.text) and "%" not in word.text]
        apart = [word for word in amounts[1:] if word.box[0] - right(amounts[0].box) > 2 * word.box[3]]
        found += apart[:1]
    return Split.before(found)


def second_column(calories: Sequence[Word], pieces: Sequence[Piece], split: Split) -> str:
    """Return the kind of the second column by the heading above its calories."""
    figures = [word for word in calories if not split.is_left(word)]
    headings = [
        piece
        for piece in pieces
        if figures and not split.is_left(piece) and middle(piece.box) < figures[0].box[1] + 2
    ]
    nearest = max(headings, key=lambda piece: bottom(piece.box), default=None)
    texts = {plain(text) for text in nearest.texts} if nearest else set()
    for kind, words in panel_words()["columns"].items():
        if texts & {plain(word) for word in words}:
            return str(kind)
    return "per_unit"
