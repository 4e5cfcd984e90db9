"""Where the panel is, its polarity, and what is left when its rules are taken out."""

import json

import numpy as np
import pytest
from PIL import Image, ImageDraw

from shelfcheck.reading.ink import find_marks, flattened, long_runs, long_runs_down, otsu
from shelfcheck.reading.locate import locate
from shelfcheck.reading.photo import Picture, decode
from shelfcheck.reading.segments import find_segments
from tests.making import SAMPLES
from tests.reading.replay import NAMES


def test_marks_hang_together_over_corners_and_apart_over_gaps() -> None:
    rows = ["##..#", ".#..#", "..#..", ".....", "###.#"]
    marks = find_marks(np.array([[letter == "#" for letter in row] for row in rows]))

    boxes = sorted(zip(marks.left, marks.top, marks.right, marks.bottom, marks.area, strict=True))
    assert [tuple(int(side) for side in box) for box in boxes] == [
        (0, 0, 3, 3, 4),
        (0, 4, 3, 5, 3),
        (4, 0, 5, 2, 2),
        (4, 4, 5, 5, 1),
    ]


def test_marks_of_random_masks_cover_all_ink() -> None:
    rng = np.random.default_rng(7)
    for density in (0.1, 0.4, 0.6, 0.9):
        mask = rng.random((60, 80)) < density

        assert find_marks(mask).area.sum() == mask.sum()


def test_an_empty_mask_has_no_marks() -> None:
    assert find_marks(np.zeros((5, 5), bool)).area.size == 0


def test_long_runs_keep_rules_and_leave_letters() -> None:
    mask = np.zeros((20, 100), bool)
    mask[5, 10:90] = True
    mask[10:14, 20:24] = True

    assert long_runs(mask, 30).sum() == 80
    assert long_runs_down(mask, 4).sum() == 16


def test_shade_is_evened_out() -> None:
    shade = np.tile(np.linspace(90, 250, 400), (200, 1)).astype(np.uint8)
    shade[90:95, 50:60] = 10

    even = flattened(shade)
    paper = even[20:60]

    assert paper.min() > 180
    assert even[92, 55] < 60


def test_otsu_stands_between_two_tones() -> None:
    assert 40 <= otsu(np.array([[40, 41, 200, 201] * 20], np.uint8)) < 200


@pytest.mark.parametrize("name", NAMES)
def test_every_sample_is_found_by_its_frame(name: str) -> None:
    located = locate(decode((SAMPLES / f"{name}.png").read_bytes()))
    style = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))["style"]

    assert located.framed
    assert located.reversed == ("ink" in style)
    assert np.median(located.gray) > 240
    assert len(find_segments(located.gray)) > 10


def test_a_panel_without_frame_is_the_whole_picture() -> None:
    image = Image.new("L", (400, 200), 255)
    ImageDraw.Draw(image).text((20, 20), "Total Fat 8g", fill=0)

    located = locate(Picture(np.asarray(image)))

    assert located.box == (0, 0, 400, 200)
    assert not located.framed


def test_boxes_find_back_to_the_picture() -> None:
    image = Image.new("L", (600, 400), 200)
    ImageDraw.Draw(image).rectangle((100, 50, 500, 350), fill=255, outline=0, width=2)

    located = locate(Picture(np.asarray(image)))

    left, top, *_ = located.to_picture((0, 0, 5, 5))
    assert abs(left - 100) < 4
    assert abs(top - 50) < 4
