"""Words to pieces: stretches of print without gaps, and cells that hold a number alone."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from statistics import median

from shelfcheck.panel import Box
from shelfcheck.reading.names import find_names, name_at, plain
from shelfcheck.reading.page import Word, middle, overlap_down, right, union
from shelfcheck.rules import nutrients

_SPACE = 0.6
"""A gap wider than this share of the print's height parts pieces. Judgement."""
_DOT = 0.4
_A_LITTLE = 0.3
_SMALLER = 0.55
"""A number is no smaller than this share of its name's print. Judgement."""
_ALIGNED, _CLOSE, _MORE_LINES = 0.7, 2.9, 2
"""Lines of one text begin within this share of their height, and two more stand this near. Judgement."""
_FIGURES = "0-9OoQDlI|!iSsBZztA"
_UNITS = r"(g|q|y|Y|a|m[gqy9a]|rng|m[ceo]?[gq9a]|mcg|%|°/[o0])"
_NUMBER = re.compile(rf"^[<(«]?(?=.*\d|.*[gq9%yY]\W*$)[{_FIGURES}]+([.,][{_FIGURES}]+)?\s?{_UNITS}?[),.*;]*$")
_BESIDE_NUMBER = re.compile(r"^(less|than|menos|de|<|g|y|Y|mg|mcg|%|[(]?DV[),.]*|[•*+/|[-])$", re.IGNORECASE)
_RUN_IN = ("title", "servings", "serving_size")
"""Names besides the nutrients' that follow each other in one line only where all the panel is one text."""


@dataclass(eq=False, slots=True)
class Piece:
    """Words of one stretch of print; ``left`` is the piece beside it, ``flow`` the text it is part of."""

    words: list[Word]
    box: Box
    left: Piece | None = None
    flow: Flow | None = None

    @property
    def texts(self) -> list[str]:
        """The words' texts."""
        return [word.text for word in self.words]

    @property
    def starts_with_name(self) -> bool:
        """Whether a printed name opens it, or it says "8 servings per container"."""
        texts = self.texts
        first = next((at for at, text in enumerate(texts) if plain(text)), 0)
        return name_at(texts, first) is not None or "servings" in {name.id for name in find_names(texts)}

    def starts_with(self, ids: set[str]) -> bool:
        """Tell whether one of these names opens it."""
        name = name_at(self.texts, 0)
        return name is not None and name.id in ids

    @property
    def is_cell(self) -> bool:
        """Whether it holds a number and what belongs to one, and nothing else."""
        return any(is_number(text) for text in self.texts) and all(
            is_number(text) or _BESIDE_NUMBER.match(text) for text in self.texts
        )


@dataclass(eq=False, slots=True)
class Flow:
    """Pieces that read on from one to the next, with the cells that stand right of each."""

    pieces: list[Piece] = field(default_factory=list)
    cells: list[tuple[Piece, Piece]] = field(default_factory=list)

    def prose(self) -> bool:
        """Tell whether several names follow each other in its last line of print."""
        last = self.pieces[-1]
        beside = [piece for piece in self.pieces if overlap_down(piece.box, last.box) > 0.5]
        names = find_names([text for piece in beside for text in piece.texts])
        return len({name.id for name in names if name.id in nutrients() or name.id in _RUN_IN}) > 1

    def unnamed(self) -> bool:
        """Tell whether it holds no name yet, as "aprox." before "10 raciones por envase"."""
        return not find_names([text for piece in self.pieces for text in piece.texts])

    def waits_for(self, piece: Piece) -> bool:
        """Tell whether it breaks off in "Includes 1g Added" or "about 8", and the piece brings the rest."""
        texts = [text for other in self.pieces for text in other.texts]
        names, coming = find_names(texts), name_at(piece.texts, 0)
        if coming is None or not names:
            return coming is not None and coming.id == "servings" and texts[-1].rstrip(".").isdigit()
        return names[-1].id == "includes" and coming.id in ("total_sugars", "added_sugars")


def is_number(text: str) -> bool:
    """Tell whether a word reads as a number, with or without a unit, misread letters allowed."""
    return _NUMBER.match(text) is not None


def is_prose(text: str, shortest: int = 3) -> bool:
    """Tell whether a word is one of a sentence: it is no number and none of the words beside numbers."""
    return len(plain(text)) >= shortest and not is_number(text) and _BESIDE_NUMBER.match(text) is None


def find_pieces(words: Sequence[Word]) -> list[Piece]:
    """Chain words that stand side by side, then note for each piece the one to its left."""
    pieces: list[Piece] = []
    for word in sorted(words, key=lambda word: word.box[0]):
        best, least = None, 1e9
        for piece in pieces:
            last = piece.words[-1]
            if 0 <= word.segment == last.segment:
                best = piece
                break
            gap = word.box[0] - right(last.box)
            beside = overlap_down(last.box, word.box) >= 0.5 and word.box[0] > last.box[0]
            lower = _lower(piece.words, word)
            if beside and -_SPACE * lower <= gap < min(least, _SPACE * lower):
                best, least = piece, gap
        if best is None:
            pieces.append(Piece([word], word.box))
        else:
            best.words.append(word)
            best.box = union((best.box, word.box))
    # At the left edge a percent goes on a running text, whose next name follows it as in any line.
    pieces = [
        part
        for piece in pieces
        for part in (_cut(piece) if any(map(_of_a_panel, _to_the_left(piece, pieces))) else [piece])
    ]
    for piece in pieces:
        # On a page that is not quite level a piece stands a little higher or lower than what it belongs to.
        beside_it = _to_the_left(piece, pieces) or _to_the_left(piece, pieces, _A_LITTLE)
        beside_it = [] if _begins_column(piece, pieces) else beside_it
        piece.left = max(beside_it, key=lambda other: right(other.box), default=None)
    return sorted(pieces, key=lambda piece: (middle(piece.box), piece.box[0]))


def _to_the_left(piece: Piece, pieces: Sequence[Piece], least: float = 0.5) -> list[Piece]:
    """Return the pieces that stand in the same line of print, left of this one."""
    high = median(word.box[3] for word in piece.words)
    return [
        other
        for other in pieces
        if other is not piece
        and right(other.box) <= piece.box[0] + 2
        and overlap_down(other.box, piece.box) > least
        and not (piece.is_cell and high < _SMALLER * median(word.box[3] for word in other.words))
    ]


def _of_a_panel(piece: Piece) -> bool:
    return piece.is_cell or bool(find_names(piece.texts))


def _begins_column(piece: Piece, pieces: Sequence[Piece]) -> bool:
    """Tell whether a piece is of a text that stands in a column of its own, such as a note beside the panel.

    Its lines follow each other closely and begin at one edge; a number's lines do not, for they end at one.
    """
    if piece.is_cell:
        return False
    high = piece.box[3]
    aligned = [
        other
        for other in pieces
        if other is not piece
        and not other.is_cell
        and abs(other.box[0] - piece.box[0]) < _ALIGNED * high
        and abs(middle(other.box) - middle(piece.box)) < _CLOSE * high
        and 0.6 < other.box[3] / high < 1.6
    ]
    return len(aligned) >= _MORE_LINES


def _cut(piece: Piece) -> list[Piece]:
    """Return the piece as two where a percent runs into the next name: "0% • Calcium 20mg"."""
    for at in range(1, len(piece.words)):
        head, tail = piece.words[:at], piece.words[at:]
        first = Piece(head, union(word.box for word in head))
        if not first.is_cell:
            return [piece]
        name = name_at([word.text for word in tail], 0)
        if name is not None and name.id in nutrients() and any("%" in word.text for word in head):
            return [first, Piece(tail, union(word.box for word in tail))]
    return [piece]


def _lower(words: Sequence[Word], word: Word) -> float:
    """Return the height of the smaller print of two; a dot or dash has none of its own."""
    usual = median(other.box[3] for other in words)
    return min(usual, word.box[3]) if word.box[3] > _DOT * usual else usual
