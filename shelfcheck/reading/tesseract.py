"""Tesseract as an engine; every call to the program is made here, under a time limit."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from PIL import Image

from shelfcheck.errors import ReaderFailedError, ReaderMissingError
from shelfcheck.reading.figures import with_likes
from shelfcheck.reading.leaf import Leaf, quad_of
from shelfcheck.reading.locate import locate
from shelfcheck.reading.page import Word
from shelfcheck.reading.photo import Gray, Picture
from shelfcheck.reading.recognise import blank, compared, lay_out
from shelfcheck.reading.segments import Segment, find_segments
from shelfcheck.words import say

LETTERS = (32, 42)
"""Heights of capitals at the first and second look; Tesseract likes an x-height of 20 to 30 (28 to 42)."""
SECONDS = 20.0
_LOOKS = 2
_CERTAIN, _SHORT = 0.8, 4
_BLOCK, _SPARSE = "--psm 6 -c thresholding_method=0", "--psm 11"
_PLAIN_SIDE = 2000
_MOST_PIXELS, _HIGHEST = 40_000_000, 30_000
"""A larger sheet is of the texture of a shelf and not of a panel; Tesseract takes 32767 rows at most."""


@dataclass(frozen=True, slots=True)
class Tesseract:
    """Reads a sheet of segments in one process of the ``tesseract`` program."""

    seconds: float = SECONDS
    lang: str = "en"
    name: str = field(default="tesseract", init=False)

    def read_wider(self, picture: Picture) -> Iterator[Leaf]:  # noqa: ARG002
        """Yield nothing: all of the picture is read in the first place."""
        yield from ()

    def read(self, picture: Picture) -> Leaf:
        """Return the words on the picture; ``Engine.read`` tells what is raised."""
        located = locate(picture)
        segments = [] if blank(located.gray) else find_segments(located.gray)
        if not _is_panel(segments):
            return self._plain(picture)
        words = with_likes(located.gray, segments, self.recognise(located.gray, segments)) if segments else []
        return Leaf(tuple(words), tuple(quad_of(located.to_picture(word.box)) for word in words))

    def _plain(self, picture: Picture) -> Leaf:
        """Return the words of one pass over a picture whose print does not stand in clear stretches."""
        image = Image.fromarray(picture.gray)
        image.thumbnail((_PLAIN_SIDE, _PLAIN_SIDE))
        scale = max(picture.gray.shape) / max(image.size)
        words = [
            replace(word, box=tuple(round(side * scale) for side in word.box))
            for word in self._run(image, _SPARSE)
        ]
        return Leaf(tuple(words), tuple(quad_of(word.box) for word in words))

    def recognise(self, gray: Gray, segments: Sequence[Segment]) -> list[Word]:
        """Return the words of the segments on ``gray``, dark on white.

        What holds figures is looked at twice, at two sizes: one look's slips are seldom the other's.
        """
        words = self._look(gray, range(len(segments)), segments, LETTERS[0])
        again = sorted({word.segment for word in words if _worth_another_look(word)})
        second = self._look(gray, again, segments, LETTERS[1])
        return list(compared(words, second, set(again)))

    def _look(
        self, gray: Gray, numbers: Sequence[int], segments: Sequence[Segment], letter: int
    ) -> list[Word]:
        sheet = lay_out(gray, segments, numbers, letter)
        return list(sheet.words(self._run(sheet.image, _BLOCK)))

    def _run(self, image: Image.Image, config: str) -> list[Word]:
        import pytesseract

        # Several threads in one process only wait for each other (tesseract issue 3109).
        os.environ.setdefault("OMP_THREAD_LIMIT", "1")
        try:
            table: dict[str, list[Any]] = pytesseract.image_to_data(
                image,
                lang=_languages(self.lang),
                config=config,
                timeout=self.seconds / _LOOKS,
                output_type=pytesseract.Output.DICT,
            )
        except pytesseract.TesseractNotFoundError as missing:
            raise ReaderMissingError(say("error.reader_missing", self.lang)) from missing
        except (
            RuntimeError,
            OSError,
        ) as failed:  # a time-out is a bare RuntimeError, TesseractError one of its kind
            raise ReaderFailedError(say("error.reader_failed", self.lang)) from failed
        rows = zip(*(table[key] for key in ("text", "left", "top", "width", "height", "conf")), strict=True)
        return [
            Word(text.strip(), (left, top, wide, high), max(0.0, float(confidence)) / 100)
            for text, left, top, wide, high, confidence in rows
            if text.strip()
        ]


def _is_panel(segments: Sequence[Segment]) -> bool:
    """Tell whether the stretches, laid out at one height of letters, are no more than a panel has."""
    sides = [(one.box[2] / one.letter, one.box[3] / one.letter) for one in segments]
    high = sum(down for _, down in sides) * LETTERS[0]
    wide = max((across for across, _ in sides), default=0) * LETTERS[0]
    return high <= _HIGHEST and wide * high <= _MOST_PIXELS


def _worth_another_look(word: Word) -> bool:
    return (
        word.confidence < _CERTAIN
        or any(letter.isdigit() for letter in word.text)
        or len(word.text) <= _SHORT
    )


@cache
def _languages(lang: str) -> str:
    """Return the language data to read with: English, and Spanish where it is installed."""
    import pytesseract

    try:
        installed = pytesseract.get_languages(config="")
    except pytesseract.TesseractNotFoundError as missing:
        raise ReaderMissingError(say("error.reader_missing", lang)) from missing
    except (RuntimeError, OSError) as failed:
        raise ReaderFailedError(say("error.reader_failed", lang)) from failed
    return "eng+spa" if "spa" in installed else "eng"
