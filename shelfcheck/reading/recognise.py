"""The sheet on which a recogniser of lines reads best, and two looks at it compared."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageDraw

from shelfcheck.panel import Box
from shelfcheck.reading.ink import find_marks
from shelfcheck.reading.page import Word, middle, right
from shelfcheck.reading.photo import Gray
from shelfcheck.reading.segments import Fraction, Segment, descends

_MARGIN = 16
_EDGE = 0.12
"""Room left around a segment, as a share of its letters: the soft edge of print lies outside its ink."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A segment on the sheet, there at ``target``."""

    segment: Segment
    target: Box
    number: int

    def word(self, word: Word) -> Word:
        """Return a word of the sheet on the panel picture.

        Top and height are the segment's own: a word without tall letters is still part of its line.
        """
        start, _, wide, _ = _with_edge(self.segment)
        scale = wide / self.target[2]
        left = round(start + (word.box[0] - self.target[0]) * scale)
        box = (left, self.segment.box[1], max(1, round(word.box[2] * scale)), self.segment.box[3])
        return Word(word.text, box, word.confidence, descends(self.segment, box, word.text), self.number)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Segments one under the other on white, their letters all of one height."""

    image: Image.Image
    placed: tuple[Placed, ...]

    def words(self, found: Sequence[Word]) -> Iterator[Word]:
        """Yield words of the sheet with boxes on the panel picture; what is on no segment is dropped."""
        for word in found:
            home = min(
                self.placed, key=lambda placed: abs(middle(placed.target) - middle(word.box)), default=None
            )
            if home is not None and abs(middle(home.target) - middle(word.box)) <= home.target[3]:
                yield home.word(word)


def lay_out(gray: Gray, segments: Sequence[Segment], numbers: Sequence[int], letter: int) -> Sheet:
    """Return a sheet with the numbered segments scaled so that their capitals are ``letter`` pixels high."""
    strips = [(number, _strip(gray, segments[number], letter)) for number in numbers]
    width = max((strip.width for _, strip in strips), default=1) + 2 * _MARGIN
    height = sum(strip.height + _MARGIN for _, strip in strips) + 2 * _MARGIN
    sheet = Image.new("L", (width, height), 255)
    placed, down = [], _MARGIN
    for number, strip in strips:
        sheet.paste(strip, (_MARGIN, down))
        placed.append(Placed(segments[number], (_MARGIN, down, strip.width, strip.height), number))
        down += strip.height + _MARGIN
    return Sheet(sheet, tuple(placed))


def compared(first: Sequence[Word], second: Sequence[Word], looked_at: set[int]) -> Iterator[Word]:
    """Yield the words of the first look, each with what the second look read there, if that differs.

    Both looks have the better confidence. Where the second look found nothing, the first stands alone.
    """
    for word in first:
        there = [other for other in second if other.segment == word.segment and _same_place(word, other)]
        if word.segment not in looked_at or not there:
            yield word
            continue
        text = " ".join(other.text for other in there) if len(there) > 1 else there[0].text
        confidence = min(other.confidence for other in there)
        if _bare(text) == _bare(word.text):
            yield replace(word, confidence=max(word.confidence, confidence))
        else:
            yield replace(word, also=text.replace(" ", ""), confidence=max(word.confidence, confidence))


def _same_place(word: Word, other: Word) -> bool:
    center = other.box[0] + other.box[2] / 2
    return word.box[0] - 2 <= center <= right(word.box) + 2


def _bare(text: str) -> str:
    return text.strip(".,;:*'‘’()")


def _strip(gray: Gray, segment: Segment, letter: int) -> Image.Image:
    """Return a segment scaled, its fractions set anew as "2/3" in full height, which engines read better."""
    scale = letter / max(segment.letter, 1.0)
    whole = _alone_on_paper(gray, segment)
    left, _, _, high = _with_edge(segment)
    tiles: list[tuple[Image.Image, int]] = []
    start = 0
    for fraction in segment.fractions:
        begin = fraction.box[0] - left
        tiles.append((_scaled(whole, (start, max(start + 1, begin)), scale), 0))
        down = round((fraction.stroke[1] - segment.box[1]) * scale)
        tiles += [(tile, down) for tile in _set_anew(gray, fraction, letter)]
        start = begin + fraction.box[2]
    tiles.append((_scaled(whole, (start, max(start + 1, whole.shape[1])), scale), 0))
    if len(tiles) == 1:
        return tiles[0][0]
    strip = Image.new("L", (sum(tile.width for tile, _ in tiles), round(high * scale) + letter // 2), 255)
    across = 0
    for tile, down in tiles:
        strip.paste(tile, (across, down))
        across += tile.width
    return strip


def _alone_on_paper(gray: Gray, segment: Segment) -> Gray:
    """Return the segment's print with room around it, and nothing of the lines above and below."""
    left, top, wide, high = _with_edge(segment)
    edge = segment.box[0] - left
    paper = np.full((high, wide), 255, np.uint8)
    for mark in segment.marks:
        columns = slice(max(0, mark[0] - edge), mark[0] + mark[2] + edge)
        rows = slice(max(0, mark[1] - edge), mark[1] + mark[3] + edge)
        cut = gray[rows, columns]
        paper[
            rows.start - top : rows.start - top + cut.shape[0],
            columns.start - left : columns.start - left + cut.shape[1],
        ] = cut
    return paper


def _with_edge(segment: Segment) -> Box:
    edge = max(1, round(_EDGE * segment.letter))
    left, top, wide, high = segment.box
    return left - edge, top - edge, wide + 2 * edge, high + 2 * edge


def _set_anew(gray: Gray, fraction: Fraction, letter: int) -> Iterator[Image.Image]:
    space = Image.new("L", (letter // 6, letter), 255)
    yield Image.new("L", (letter // 4, letter), 255)
    yield _figure(gray, fraction.above, letter)
    yield space
    stroke = Image.new("L", (letter // 2, letter), 255)
    ImageDraw.Draw(stroke).line((1, letter - 1, letter // 2 - 2, 0), fill=0, width=max(2, letter // 9))
    yield stroke
    yield space
    yield _figure(gray, fraction.below, letter)


def _figure(gray: Gray, box: Box, letter: int) -> Image.Image:
    """Return the largest mark in a box, without the ends of its neighbours, ``letter`` pixels high."""
    left, top, wide, high = box
    cut = gray[top : top + high, left : left + wide].copy()
    marks = find_marks(cut < 140)
    for index in np.argsort(marks.area)[:-1]:
        cut[marks.top[index] : marks.bottom[index], marks.left[index] : marks.right[index]] = 255
    return Image.fromarray(cut).resize(
        (max(1, round(wide * letter / high)), letter), Image.Resampling.BICUBIC
    )


def _scaled(paper: Gray, columns: tuple[int, int], scale: float) -> Image.Image:
    cut = Image.fromarray(paper[:, columns[0] : columns[1]])
    size = max(1, round(cut.width * scale)), max(1, round(cut.height * scale))
    return cut.resize(size, Image.Resampling.LANCZOS if scale < 1 else Image.Resampling.BICUBIC)


def blank(gray: Gray) -> bool:
    """Tell whether a picture is of one tone, so that there is nothing to read."""
    return bool(np.ptp(gray) < 40) if gray.size else True
