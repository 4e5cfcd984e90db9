"""Figures held against their likes on the same panel."""

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from shelfcheck.reading.figures import with_likes
from shelfcheck.reading.page import Word
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.segments import Segment, find_segments

PRINT = ("10g", "17g", "71g", "38g", "83g", "60g", "86g")


def sheet() -> tuple[Gray, list[Segment]]:
    image = Image.new("L", (300, 400), 255)
    for row, text in enumerate(PRINT):
        ImageDraw.Draw(image).text((20, 20 + 50 * row), text, fill=0, font=ImageFont.load_default(32))
    gray = np.asarray(image)
    return gray, find_segments(gray)


def words_of(texts: tuple[str, ...], segments: list[Segment]) -> list[Word]:
    return [
        Word(text, segment.box, 0.95, None, number)
        for number, (text, segment) in enumerate(zip(texts, segments, strict=True))
    ]


def test_figures_that_are_like_their_likes_are_left_alone() -> None:
    gray, segments = sheet()
    words = words_of(PRINT, segments)

    assert with_likes(gray, segments, words) == words


def test_a_seven_read_as_one_is_given_its_second_reading() -> None:
    gray, segments = sheet()
    words = words_of(("10g", "11g", *PRINT[2:]), segments)

    assert with_likes(gray, segments, words)[1].also == "17g"


def test_a_fraction_in_one_sign_is_no_figure() -> None:
    gray, segments = sheet()
    wide = Segment((20, 20, 40, 32), 32.0, ((20, 20, 40, 32),))

    found = with_likes(gray, [wide, *segments], [Word("2", wide.box, 0.95, None, 0)])

    assert found[0].confidence < 0.5


def test_words_of_an_engine_that_finds_its_own_print_pass_through() -> None:
    gray, segments = sheet()
    words = [Word("12g", (0, 0, 9, 9), 0.9)]

    assert with_likes(gray, segments, words) == words
