"""Pieces to flows: which piece goes on from which, and which cells stand beside what."""

from __future__ import annotations

from shelfcheck.reading.names import find_names
from shelfcheck.reading.page import bottom, middle, overlap_across, right
from shelfcheck.reading.pieces import Flow, Piece, is_number
from shelfcheck.rules import nutrients

_NEAR = 1.3
_LEADING = 0.9
_FAR = 2.0
"""Gaps as shares of the print's height: between parts of one line, and between lines. Judgement."""


def find_flows(pieces: list[Piece]) -> list[Flow]:
    """Join pieces that read on, and hang the cells on the flows that they stand beside."""
    flows: list[Flow] = []
    for piece in _reading_order(pieces):
        if _is_stranger(piece.left, piece):
            piece.left = None
        target = _reads_on_from(piece, pieces)
        if target is not None:
            target.pieces.append(piece)
            piece.flow = target
        elif piece.left is not None and piece.left.flow is not None and not piece.starts_with_name:
            piece.flow = piece.left.flow
            piece.flow.cells.append((piece, piece.left))
        else:
            piece.flow = Flow([piece])
            flows.append(piece.flow)
    return flows


def _is_stranger(left: Piece | None, piece: Piece) -> bool:
    """Tell whether what stands left of a piece is far off, and of a text that names nothing of a panel."""
    far = left is not None and piece.box[0] - right(left.box) > _FAR * piece.box[3]
    return far and left is not None and left.flow is not None and left.flow.unnamed()


def _reading_order(pieces: list[Piece]) -> list[Piece]:
    """Return the pieces so that each comes after those to its left and above."""
    order: list[Piece] = []
    waiting = list(pieces)
    while waiting:
        ready = next(
            (piece for piece in waiting if piece.left is None or piece.left not in waiting), waiting[0]
        )
        order.append(ready)
        waiting.remove(ready)
    return order


def _reads_on_from(piece: Piece, pieces: list[Piece]) -> Flow | None:
    """Return the flow that the piece goes on with: close to its left, or in the line above."""
    left = piece.left
    if left is not None and left.flow is not None and piece.box[0] - right(left.box) <= _NEAR * piece.box[3]:
        goes_on = not piece.starts_with_name or left.flow.prose() or left.flow.unnamed()
        return left.flow if goes_on and not _is_cell_of(left, left.flow) else None
    above = _above(piece, pieces)
    if above is not None and above.flow is not None and piece.is_cell and _lacks_amount(above, piece):
        return above.flow
    if above is None or above.flow is None or piece.texts[0].startswith("*"):
        return None
    if piece.starts_with_name:
        reads_on = above.flow.prose() or above.flow.waits_for(piece)
        return above.flow if reads_on and _aligned(piece, above) else None
    # With something to its left, a piece is a cell of that, unless it clearly goes on below its like.
    # A running text goes on at its own left edge, whatever stands far to the left of it.
    runs_on = _aligned(piece, above) and (left is None or left.flow is not above.flow) and above.flow.prose()
    beside = (
        left is not None
        and not runs_on
        and (piece.is_cell or _is_cell_of(above, above.flow) or not _aligned(piece, above))
    )
    return None if beside else above.flow


def _lacks_amount(above: Piece, cell: Piece) -> bool:
    """Tell whether a nutrient's name alone stands above a number, its line being too short for both."""
    names = {name.id for name in find_names(above.texts)} & set(nutrients())
    alone = bool(names) and not any(is_number(text) for text in above.texts)
    return alone and abs(above.box[0] - cell.box[0]) < cell.box[3]


def _is_cell_of(piece: Piece, flow: Flow) -> bool:
    return any(cell is piece for cell, _ in flow.cells)


def _aligned(piece: Piece, above: Piece) -> bool:
    """Tell whether a piece begins at the left edge of the one above, or of the text that that is part of."""
    edges = [above.box[0], above.flow.pieces[0].box[0] if above.flow else above.box[0]]
    return min(abs(edge - piece.box[0]) for edge in edges) <= 2 * piece.box[3]


def _above(piece: Piece, pieces: list[Piece]) -> Piece | None:
    """Return the last piece of the line of print just above, if it is close and of like height."""
    height = piece.box[3]
    # Big figures under a word, as the calories have, stand further off.
    leading = 2 * _LEADING if piece.is_cell and len(piece.words) == 1 else _LEADING
    close = [
        other
        for other in pieces
        if other.flow is not None
        and middle(other.box) < piece.box[1]
        and piece.box[1] - bottom(other.box) <= leading * min(height, other.box[3])
        and 0.4 < other.box[3] / height < 1.8
    ]
    under = [other for other in close if overlap_across(other.box, piece.box) > 0.3]
    if under or piece.left is not None:
        close = under
    else:  # a serving size may stand at the right margin under its name
        close = [
            other
            for other in close
            if other.box[0] <= piece.box[0]
            and "serving_size" in {name.id for name in find_names(other.texts)}
        ]
    nearest = max(close, key=lambda other: (bottom(other.box), -other.box[0]), default=None)
    while nearest is not None:
        following = [
            other
            for other in pieces
            if other.flow is nearest.flow
            and other.left is nearest
            and other.box[0] - right(nearest.box) <= _NEAR * height
        ]
        if not following:
            return nearest
        nearest = following[0]
    return None
