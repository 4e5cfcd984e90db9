"""Words to lines along the panel: each name with the words and cells that belong to it, parted by column."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from shelfcheck.panel import Box
from shelfcheck.reading.columns import Split, find_split, second_column
from shelfcheck.reading.flows import find_flows
from shelfcheck.reading.names import Name, find_names, panel_words, plain, plain_words
from shelfcheck.reading.page import Word, middle, overlap_across, union
from shelfcheck.reading.parting import parted
from shelfcheck.reading.pieces import Flow, Piece, find_pieces
from shelfcheck.reading.prose import SENTENCE, telling, without_prose
from shelfcheck.rules import nutrients

_BEGUN = 4
"""So many nutrients' names stand above what ends a panel, or all of them. Judgement."""


@dataclass(frozen=True, slots=True)
class Line:
    """What a panel says under one name, by column; ``id`` is that of a nutrient or of a phrase.

    ``before`` holds the words that stand before the name: "about 8" before "servings per container".
    """

    id: str
    name: tuple[Word, ...]
    before: tuple[Word, ...]
    columns: tuple[tuple[Word, ...], ...]

    @property
    def box(self) -> Box:
        """The box of the name and everything that belongs to it."""
        return union(word.box for word in (*self.name, *self.before, *(w for c in self.columns for w in c)))


@dataclass(frozen=True, slots=True)
class Page:
    """The lines of a panel and the kinds of its columns beyond the first, such as ``("per_container",)``."""

    lines: tuple[Line, ...]
    columns: tuple[str, ...] = ()


def find_lines(words: Sequence[Word]) -> Page:
    """Return the lines of a panel from its words in any order."""
    pieces = find_pieces(telling(parted(words)))
    flows = find_flows(pieces)
    drafts = _outside_footnotes([draft for flow in flows for draft in _drafts(flow)], pieces)
    _give_calories(drafts)
    split = find_split(draft.words for draft in drafts if draft.id in nutrients() and draft.id != "energy")
    calories = next((draft.words for draft in drafts if draft.id == "energy"), [])
    kinds = () if split is None else (second_column(calories, pieces, split),)
    return Page(tuple(draft.line(split) for draft in drafts), kinds)


@dataclass(slots=True)
class _Draft:
    """A line being put together."""

    id: str
    name: list[Word]
    before: list[Word]
    words: list[Word]

    def line(self, split: Split | None) -> Line:
        """Return it as a line, its words parted at ``split``."""
        columns = [self.words]
        if self.id in nutrients():
            words = without_prose(self.words)
            columns = [words]
            if split is not None:
                columns = [[w for w in words if (split.is_left(w)) is first] for first in (True, False)]
        return Line(self.id, tuple(self.name), tuple(self.before), tuple(map(tuple, columns)))


def _drafts(flow: Flow) -> list[_Draft]:
    """Cut a flow at its names and give each the words up to the next, and the cells beside those.

    "Not a significant source of ..." ends it, since it names what is not there.
    """
    words = [word for piece in flow.pieces for word in piece.words]
    owner: dict[int, _Draft] = {}
    drafts: list[_Draft] = []
    loose: list[Word] = []
    names = _merged(find_names([word.text for word in words]))
    end = next((name.start for name in names if name.id in panel_words()["ends_the_panel"]), len(words))
    starts = {name.start: name for name in names}
    at = 0
    while at < end:
        name = starts.get(at)
        if name is not None:
            taken = words[name.start : name.stop]
            previous = drafts[-1] if drafts else None
            if previous is None or previous.id != name.id:
                drafts.append(_Draft(name.id, [], [], []))
                if name.id == "servings":
                    drafts[-1].before, loose = (loose if previous is None else []), []
            drafts[-1].name += taken
            at = name.stop
        else:
            taken = [words[at]]
            (drafts[-1].words if drafts else loose).append(words[at])
            at += 1
        if drafts:
            owner |= {id(word): drafts[-1] for word in taken}
    for cell, beside in flow.cells:
        home = owner.get(id(beside.words[-1]), drafts[-1] if drafts else None)
        if home is not None:
            taken = cell.words[: _own_part(cell)]
            home.words += taken
            owner |= {id(word): home for word in taken}
    return drafts


def _own_part(cell: Piece) -> int:
    """Return how many words of a cell stand before another nutrient's name: "DV), Iron 0.1 mg"."""
    named = (name.start for name in find_names(cell.texts) if name.id in nutrients())
    return next(named, len(cell.words))


def _merged(names: list[Name]) -> list[Name]:
    """Return the names with "Includes ... Sugars" as added sugars, in whichever words."""
    out: list[Name] = []
    includes = False
    for name in names:
        sugars = name.id in ("total_sugars", "added_sugars")
        if name.id == "includes" or (sugars and includes):
            out.append(Name("added_sugars", name.start, name.stop, name.slips))
        else:
            out.append(name)
        includes = name.id == "includes" or (includes and name.id == "added_sugars")
    return out


def _give_calories(drafts: list[_Draft]) -> None:
    """Give "Calories" the figures that stand beside or under its "per serving"."""
    energy = next((draft for draft in drafts if draft.id == "energy" and not draft.words), None)
    for draft in drafts:
        figures = list(takewhile(lambda word: word.text.isdigit(), draft.words))
        if energy and draft.id == "amount" and figures:
            energy.words, draft.words = figures, draft.words[len(figures) :]
            return


def _outside_footnotes(drafts: list[_Draft], pieces: list[Piece]) -> list[_Draft]:
    """Leave out what stands in or under a footnote: "2,000 calories", the old table of limits."""
    wanted = plain_words("footnote")
    ends = set(panel_words()["ends_the_panel"])
    closed = [piece.box for piece in pieces if _is_note(piece, wanted)]
    # Ingredients above the panel, as on the side of a pack, end none; a claim may name a nutrient above them.
    named = sorted(middle(draft.name[0].box) for draft in drafts if draft.id in nutrients())
    begun = named[min(_BEGUN, len(named)) - 1] if named else 0.0
    closed += [piece.box for piece in pieces if piece.starts_with(ends) and middle(piece.box) > begun]
    out = []
    for draft in drafts:
        box = union(word.box for word in draft.name)
        if not any(
            overlap_across(box, note) > 0.3 and middle(box) >= middle(note) - note[3] * 0.3 for note in closed
        ):
            out.append(draft)
    return out


def _is_note(piece: Piece, wanted: frozenset[str]) -> bool:
    """Tell whether a piece is of a footnote; one of its words alone may head a table: "Nutrient"."""
    found = wanted & {plain(text) for text in piece.texts}
    return len(found) > 1 or (bool(found) and len(piece.words) >= SENTENCE)
