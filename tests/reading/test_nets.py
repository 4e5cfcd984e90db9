"""The networks as they are carried: shapes as the card tells, and what they say of print that is there."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from shelfcheck.reading.nets import MODELS, network
from tests.making import ROOT

CELL = 4
LINES = (
    "Serving size 2/3 cup (55g)",
    "Total Fat 8g",
    "Cholesterol 0mg",
    "Sodium 160mg",
    "Total Carbohydrate 37g",
    "Dietary Fiber 4g",
    "Total Sugars 12g",
    "Protein 3g",
)
TOLD = 3
"""The line that is looked at closely."""
WORDS = LINES[TOLD]
LEFT, FIRST, PITCH, SIZE = 60, 60, 36, 22
LETTERS: str = json.loads((MODELS / "strips.json").read_text(encoding="utf-8"))["letters"]
CARD = (MODELS / "README.md").read_text(encoding="utf-8")


def fed(name: str, picture: NDArray[np.float32]) -> NDArray[np.float32]:
    net = network(name)
    (out,) = net.run(None, {net.get_inputs()[0].name: picture})
    return np.asarray(out)


def looked_at(gray: NDArray[Any]) -> NDArray[np.float32]:
    """The finder's answer, 7 x rows x columns."""
    return fed("find", ((gray.astype(np.float32) - 128) / 64)[None, None])[0]


def share(logits: NDArray[np.float32]) -> NDArray[np.float32]:
    return 1 / (1 + np.exp(-logits))


def font() -> ImageFont.FreeTypeFont:
    found = ImageFont.load_default(SIZE)
    assert isinstance(found, ImageFont.FreeTypeFont)
    return found


@pytest.fixture(scope="module")
def page() -> NDArray[np.uint8]:
    """Lines of dark print on white."""
    image = Image.new("L", (448, 384), 245)
    pen = ImageDraw.Draw(image)
    for number, line in enumerate(LINES):
        pen.text((LEFT, FIRST + number * PITCH), line, fill=20, font=font(), anchor="ls")
    return np.asarray(image)


@pytest.fixture(scope="module")
def box() -> tuple[float, float, float, float]:
    """Left, top, right and foot of one line, from the top of the "d" to the foot of the "g"."""
    left, top, right, foot = font().getbbox(WORDS, anchor="ls")
    base = FIRST + TOLD * PITCH
    return LEFT + left, base + top, LEFT + right, base + foot


def strip_of(page: NDArray[np.uint8], box: tuple[float, float, float, float]) -> NDArray[np.float32]:
    """The line as the recogniser is to see it: 32 pixels high, print over 60 % of that."""
    left, top, right, foot = box
    high = (foot - top) / 0.6
    middle, side = (top + foot) / 2, 0.1 * high
    place = (left - side, middle - high / 2, right + side, middle + high / 2)
    width = round((place[2] - place[0]) * 32 / high / 16) * 16
    cut = Image.fromarray(page).transform(
        (width, 32), Image.Transform.EXTENT, place, Image.Resampling.BICUBIC
    )
    gray = np.asarray(cut, np.float32) / 255
    return ((gray - gray.mean()) / (gray.std() + 1e-3))[None, None]


def read(logp: NDArray[np.float32]) -> str:
    best = logp.argmax(axis=-1)
    first = best[np.insert(best[1:] != best[:-1], 0, values=True)]
    return "".join(LETTERS[letter - 1] for letter in first if letter)


@pytest.mark.parametrize(
    ("name", "first", "last"),
    [
        ("find", ("gray", [1, 1, "h", "w"]), ("map", [1, 7, "h4", "w4"])),
        ("strips", ("strip", ["n", 1, 32, "w"]), ("logp", ["n", "t", len(LETTERS) + 1])),
    ],
)
def test_ends_are_those_of_the_card(name: str, first: tuple[str, Any], last: tuple[str, Any]) -> None:
    net = network(name)
    assert [(end.name, end.shape) for end in net.get_inputs()] == [first]
    assert [(end.name, end.shape) for end in net.get_outputs()] == [last]
    assert f"`{first[0]}`" in CARD
    assert f"`{last[0]}`" in CARD


def test_the_card_tells_the_sizes() -> None:
    told = {"find": "0.73 MB", "strips": "4.4 MB"}
    for name, size in told.items():
        megabytes = (MODELS / f"{name}.onnx").stat().st_size / 1e6
        assert size in CARD
        assert megabytes == pytest.approx(float(size.split()[0]), abs=0.05)
    assert f"n x w/2 x {len(LETTERS) + 1}" in CARD
    assert f"the {len(LETTERS)} letters" in CARD


@pytest.mark.parametrize(("high", "wide"), [(32, 32), (96, 320), (256, 64)])
def test_the_finder_answers_for_every_fourth_pixel(high: int, wide: int) -> None:
    assert looked_at(np.full((high, wide), 128)).shape == (7, high // CELL, wide // CELL)


@pytest.mark.parametrize(("count", "wide"), [(1, 16), (3, 160), (12, 48)])
def test_the_recogniser_answers_for_every_second_column_with_chances(count: int, wide: int) -> None:
    logp = fed("strips", np.random.default_rng(1).normal(size=(count, 1, 32, wide)).astype(np.float32))
    assert logp.shape == (count, wide // 2, len(LETTERS) + 1)
    assert np.exp(logp).sum(axis=-1) == pytest.approx(np.ones((count, wide // 2)), abs=1e-4)


def test_a_network_is_loaded_once() -> None:
    assert network("find") is network("find")


def test_letters_differ_from_each_other() -> None:
    assert len(set(LETTERS)) == len(LETTERS)


@pytest.mark.parametrize("level", [0, 90, 200, 255])
def test_a_blank_picture_has_no_print_and_no_panel(level: int) -> None:
    answer = looked_at(np.full((256, 320), level))
    assert share(answer[0]).max() < 0.5
    assert share(answer[1]).max() < 0.5


def test_print_is_found_where_it_stands(
    page: NDArray[np.uint8], box: tuple[float, float, float, float]
) -> None:
    left, top, right, foot = box
    answer = looked_at(page)
    rows, columns = np.nonzero(share(answer[0]) > 0.5)
    near = np.abs(rows * CELL - (top + foot) / 2) < PITCH / 2
    rows, columns = rows[near], columns[near]
    across, down = columns * CELL + 1.5, rows * CELL + 1.5
    assert left - 8 < across.min() < left + 12
    assert right - 12 < across.max() < right + 8
    assert down.min() > top
    assert down.max() < foot
    cos, sin, up, low, _ = answer[2:, rows, columns]
    assert np.median(np.degrees(np.arctan2(sin, cos))) == pytest.approx(0, abs=3)
    assert np.median(down - (np.exp2(up) - 1)) == pytest.approx(top, abs=3)
    assert np.median(down + (np.exp2(low) - 1)) == pytest.approx(foot, abs=3)


@pytest.mark.parametrize(("quarters", "degrees"), [(1, -90), (2, 180), (3, 90)])
def test_print_that_is_turned_reads_the_turned_way(
    page: NDArray[np.uint8], quarters: int, degrees: float
) -> None:
    answer = looked_at(np.rot90(page, quarters))
    text = share(answer[0]) > 0.5
    assert text.sum() > 10
    way = np.degrees(np.angle((answer[2] + 1j * answer[3])[text].sum()))
    assert abs((way - degrees + 180) % 360 - 180) < 10


def test_a_line_is_read(page: NDArray[np.uint8], box: tuple[float, float, float, float]) -> None:
    assert read(fed("strips", strip_of(page, box))[0]).strip() == WORDS


def test_white_on_black_is_read_alike(
    page: NDArray[np.uint8], box: tuple[float, float, float, float]
) -> None:
    assert read(fed("strips", -strip_of(page, box))[0]).strip() == WORDS


def test_the_networks_library_makes_no_identifier_and_keeps_nothing(tmp_path: Path) -> None:
    script = "from shelfcheck.reading.engines import make_ready; make_ready()"
    home = {"HOME": str(tmp_path), "XDG_CACHE_HOME": str(tmp_path), "TMPDIR": str(tmp_path)}
    subprocess.run([sys.executable, "-c", script], env=os.environ | home, cwd=ROOT, check=True, timeout=60)

    assert list(tmp_path.iterdir()) == []
