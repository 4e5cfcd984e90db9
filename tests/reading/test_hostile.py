"""Pictures that no reader should trip over: refused with a sentence, or read without a false number."""

from __future__ import annotations

import io
import warnings

import numpy as np
import pytest
from PIL import Image

from shelfcheck.errors import NotAPanelError, ShelfcheckError
from shelfcheck.reading import read_panel
from tests.bench.photos.hostile import put, untrue
from tests.bench.photos.strange import KINDS, strange
from tests.making import SAMPLES, sample

SEEDS = 2
WHOLE = (SAMPLES / "baking_cocoa.png").read_bytes()
NO_PANEL = (
    "noise",
    "flat",
    "sized",
    "declared",
    "menu",
    "receipt",
    "prose",
    "directions",
    "ingredients",
    "european",
)


def saved(image: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


@pytest.mark.parametrize("seed", range(SEEDS))
@pytest.mark.parametrize("kind", KINDS)
def test_a_strange_picture_is_refused_or_read_without_a_false_number(kind: str, seed: int) -> None:
    outcome = put(strange(kind, seed))

    assert not outcome.crashed, outcome.end
    assert outcome.silent == ()
    if kind in NO_PANEL:
        assert outcome.end != "panel"


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_seed_gives_the_same_picture(kind: str) -> None:
    pictures = [strange(kind, seed) for seed in (*range(8), *range(8))]

    assert pictures[:8] == pictures[8:]
    assert len({picture.photo for picture in pictures}) > 2


@pytest.mark.parametrize(
    "photo", [b"", b"\xff", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF", b"GIF89a", b"%PDF-1.7"]
)
def test_the_beginning_of_a_file_alone_is_refused(photo: bytes) -> None:
    with pytest.raises(ShelfcheckError) as refused:
        read_panel(photo)

    assert refused.value.message


@pytest.mark.parametrize("way", ["P", "I;16", "CMYK"])
def test_a_whole_label_is_read_however_its_colours_are_stored(way: str) -> None:
    image = Image.open(io.BytesIO(WHOLE)).convert("RGB")
    if way == "I;16":
        photo = saved(Image.fromarray(np.asarray(image.convert("L"), np.uint16) * 257))
    else:
        photo = saved(image.convert(way), "JPEG" if way == "CMYK" else "PNG")

    panel = read_panel(photo).panel

    assert panel.value("sodium") == sample("baking_cocoa")["nutrients"]["sodium"]["value"]
    assert panel.nutrients["sodium"].state == "sure"


def test_damaged_notes_in_a_photo_are_passed_over_without_a_warning() -> None:
    image = Image.open(io.BytesIO(WHOLE)).convert("RGB")
    damaged = b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\xff\xff\xff\xff\x09\0"

    with warnings.catch_warnings():
        warnings.simplefilter("error")
        panel = read_panel(saved(image, "JPEG", exif=damaged)).panel

    assert panel.nutrients["sodium"].state == "sure"


@pytest.mark.parametrize("size", [(1, 1), (1, 5000), (5000, 1), (23, 900), (24, 24), (9000, 25)])
def test_a_picture_too_narrow_for_print_is_no_panel(size: tuple[int, int]) -> None:
    with pytest.raises(NotAPanelError):
        read_panel(saved(Image.open(io.BytesIO(WHOLE)).convert("L").resize(size)))


def test_a_number_that_is_not_printed_is_found_out() -> None:
    printed = sample("baking_cocoa")
    read = sample("baking_cocoa")
    assert list(untrue(read, [printed])) == []

    read["nutrients"]["sodium"]["value"] = 999

    assert [found.partition(":")[0] for found in untrue(read, [printed])] == ["nutrients.sodium"]
    assert len(list(untrue(read, []))) > 5
    read["nutrients"]["sodium"]["state"] = "check"
    assert list(untrue(read, [printed])) == []
