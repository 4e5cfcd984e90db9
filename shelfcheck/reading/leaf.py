"""What an engine is, and what it hands on: words on a level page, each with its place on the picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from shelfcheck.panel import Box
from shelfcheck.reading.page import Word, bottom, right

if TYPE_CHECKING:
    from shelfcheck.reading.photo import Picture

Quad = tuple[tuple[float, float], ...]
"""Four corners on the picture: top left, top right, bottom right, bottom left of the print as it is read."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """Words on a level page, and for each of them its quad on the picture."""

    words: tuple[Word, ...] = ()
    quads: tuple[Quad, ...] = ()

    def on_picture(self, box: Box) -> Box:
        """Return the box on the picture around the words that stand in ``box`` on the page."""
        corners = [
            corner
            for word, quad in zip(self.words, self.quads, strict=True)
            if _meets(word.box, box)
            for corner in quad
        ]
        if not corners:
            return box
        left, top = (int(min(corner[axis] for corner in corners)) for axis in (0, 1))
        wide, high = (
            round(max(corner[axis] for corner in corners)) - start for axis, start in ((0, left), (1, top))
        )
        return left, top, max(1, wide), max(1, high)


class Engine(Protocol):
    """Something that reads print."""

    @property
    def name(self) -> str:
        """A short name for people."""

    def read(self, picture: Picture) -> Leaf:
        """Return the words on the picture; none where there is no print.

        Raises:
            ReaderMissingError: when the program behind the engine is not installed.
            ReaderFailedError: when it fails or takes too long.
        """

    def read_wider(self, picture: Picture) -> Iterator[Leaf]:
        """Yield the words of wider and wider looks, where ``read`` may have left some of the panel out."""


def quad_of(box: Box) -> Quad:
    """Return the corners of an upright box."""
    left, top = box[:2]
    return (left, top), (right(box), top), (right(box), bottom(box)), (left, bottom(box))


def _meets(one: Box, other: Box) -> bool:
    return (
        one[0] < right(other) and other[0] < right(one) and one[1] < bottom(other) and other[1] < bottom(one)
    )
