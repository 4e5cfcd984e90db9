"""Fractions seen several times: what looks agree on is sure, and nothing else."""

from __future__ import annotations

import pytest

from shelfcheck.reading.looks import _agreed
from shelfcheck.reading.strips import Letter


def letter(text: str, confidence: float) -> Letter:
    return Letter(text, 0.2, 0.3, confidence)


@pytest.mark.parametrize(
    ("votes", "text", "sure"),
    [
        ([("½", 0.9), ("½", 0.8), ("½", 0.9), ("½", 0.7)], "½", True),
        ([("½", 0.9), ("½", 0.9), ("½", 0.9), ("⅓", 0.5)], "½", True),
        ([("½", 0.9), ("½", 0.9), ("½", 0.9), ("⅓", 0.7)], "½", False),
        ([("½", 0.6), ("½", 0.6), ("½", 0.6), ("½", 0.6)], "½", False),
        ([("½", 0.9), ("½", 0.9)], "½", False),
        ([("¾", 0.5), ("¼", 0.8), ("¼", 0.8), ("¼", 0.7)], "¼", True),
    ],
)
def test_a_fraction_is_what_the_looks_agree_on(
    votes: list[tuple[str, float]], text: str, *, sure: bool
) -> None:
    seen = [letter(*vote) for vote in votes]

    found = _agreed(seen[0], seen)

    assert (found.text, found.confidence == 1.0) == (text, sure)
