"""Second looks: fractions that several looks agree on, numbers left of a line, servings under a title."""

from __future__ import annotations

import re

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from shelfcheck.reading.looks import _agreed, _begun_by_a_number, under_the_title
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.strips import Letter, cut, read
from shelfcheck.reading.strokes import Strokes

TITLE, TITLE_SIZE, SERVINGS_SIZE = "Nutrition Facts", 60, 30
LEFT, TOP, WIDTH, HEIGHT = 40, 40, 440, 84
"""The title and the line under it, drawn as close as packs print them; the box is of both."""


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


@pytest.mark.parametrize(
    ("seen", "is_number"),
    [
        ("8 servings per", True),
        ("about 13 servings per", True),
        ("10 servings per", True),
        ("3.5 servings per", True),
        ("0 servings per", False),
        ("00 servings per", False),
        ("servings per", False),
    ],
)
def test_the_edge_of_a_pack_is_no_number_of_servings(seen: str, *, is_number: bool) -> None:
    """Paper's edge left of the line reads as 0; no pack holds no servings."""
    assert (re.match(_begun_by_a_number("servings per"), seen) is not None) is is_number


def drawn(servings: str) -> Gray:
    image = Image.new("L", (600, 180), 235)
    draw = ImageDraw.Draw(image)
    draw.text((LEFT, TOP), TITLE, fill=15, font=ImageFont.load_default(TITLE_SIZE), anchor="lt")
    draw.text((LEFT, TOP + 54), servings, fill=15, font=ImageFont.load_default(SERVINGS_SIZE), anchor="lt")
    return np.asarray(image, np.uint8)


def stroke(left: float, top: float, wide: float, tall: float) -> Strokes:
    middle = np.array([[left + wide / 2, top + tall / 2]])
    ends, high = np.array([[-wide / 2, wide / 2]]), np.array([[tall, 0.0]])
    return Strokes(middle, np.array([[1.0, 0.0]]), np.zeros((1, 3)), ends, high)


def said(lines: list[tuple[Letter, ...]]) -> list[str]:
    return ["".join(letter.text for letter in line).strip() for line in lines]


@pytest.mark.parametrize("servings", ["8 servings per container", "12 raciones por envase"])
@pytest.mark.parametrize("tall", [58, HEIGHT], ids=["title", "both-lines-as-one"])
def test_servings_lost_in_the_line_of_the_title_are_found_under_it(servings: str, tall: float) -> None:
    gray = drawn(servings)
    strokes = stroke(LEFT, TOP - 4, WIDTH, tall)

    found, lines = under_the_title(gray, strokes, [tuple(Letter(sign, 0, 0, 1.0) for sign in TITLE)])

    assert said(lines) == [TITLE, servings]
    assert said(read(cut(gray, found))) == [TITLE, servings]


def test_a_line_that_was_read_stays_as_it_is() -> None:
    gray = drawn("8 servings per container")
    strokes = stroke(LEFT, TOP - 4, WIDTH, 58).and_also(stroke(LEFT, TOP + 52, WIDTH, 32))
    lines = read(cut(gray, strokes))
    assert said(lines)[1] == "8 servings per container"

    assert under_the_title(gray, strokes, lines) == (strokes, lines)


def test_nothing_under_a_title_stays_nothing() -> None:
    strokes = stroke(LEFT, TOP - 4, WIDTH, 58)
    lines = [tuple(Letter(sign, 0, 0, 1.0) for sign in TITLE)]

    assert under_the_title(drawn("Calories 230"), strokes, lines) == (strokes, lines)
