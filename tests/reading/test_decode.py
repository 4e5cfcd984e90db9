"""Bytes to an upright grey picture, and every way in which bytes are no picture."""

import contextlib
import io
import struct
import time
import zlib
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image

from shelfcheck.errors import PhotoError, PhotoTooLargeError
from shelfcheck.reading.photo import WORKING_SIDE, decode
from tests.bench.file_parts import label, many_frames, many_scans, segment


def saved(image: Image.Image, kind: str, **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def png_header(width: int, height: int) -> bytes:
    """Return the start of a PNG that claims a size; its pixels do not exist."""
    body = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunk = struct.pack(">I", 13) + body + struct.pack(">I", zlib.crc32(body))
    return b"\x89PNG\r\n\x1a\n" + chunk + b"\x00\x00\x00\x00IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_three_formats_are_read(kind: str) -> None:
    picture = decode(saved(Image.new("RGB", (60, 40), "white"), kind))

    assert picture.gray.shape == (40, 60)
    assert picture.gray.min() > 250


@pytest.mark.parametrize(
    "photo",
    [
        pytest.param(b"", id="empty"),
        pytest.param(b"Calories 150", id="text"),
        pytest.param(saved(Image.new("L", (9, 9)), "GIF"), id="GIF"),
        pytest.param(saved(Image.new("L", (9, 9)), "BMP"), id="BMP"),
        pytest.param(b"%PDF-1.7", id="PDF"),
        pytest.param(b"RIFF\x00\x00\x00\x00WAVE", id="sound in a RIFF file"),
        pytest.param(b"\xff\xd8\xff", id="three bytes of JPEG"),
        pytest.param(saved(Image.effect_noise((300, 300), 90), "PNG")[:5000], id="truncated PNG"),
        pytest.param(saved(Image.effect_noise((300, 300), 90), "JPEG")[:3000], id="truncated JPEG"),
    ],
)
def test_what_is_no_whole_picture_is_refused_with_a_sentence(photo: bytes) -> None:
    with pytest.raises(PhotoError) as refused:
        decode(photo)

    assert (refused.value.code, refused.value.status) == ("bad_photo", 415)
    assert refused.value.message.endswith(".")


@pytest.mark.parametrize("size", [(20_000, 20_000), (60_000, 60_000), (10_000, 6_001)])
def test_a_picture_of_too_many_pixels_is_refused_before_it_is_decoded(size: tuple[int, int]) -> None:
    with pytest.raises(PhotoTooLargeError) as refused:
        decode(png_header(*size))

    assert refused.value.status == 413
    assert "60 million" in refused.value.message


def test_the_ceiling_can_be_set() -> None:
    photo = saved(Image.new("L", (100, 100)), "PNG")

    assert decode(photo, most_pixels=10_000).gray.shape == (100, 100)
    with pytest.raises(PhotoTooLargeError):
        decode(photo, most_pixels=9_999)


@pytest.mark.parametrize(
    ("orientation", "turn"),
    [
        (1, lambda a: a),
        (2, np.fliplr),
        (3, lambda a: np.rot90(a, 2)),
        (4, np.flipud),
        (5, lambda a: np.fliplr(np.rot90(a, 3))),
        (6, np.rot90),
        (7, lambda a: np.fliplr(np.rot90(a))),
        (8, lambda a: np.rot90(a, 3)),
    ],
)
def test_a_phone_held_in_any_way_gives_an_upright_picture(
    orientation: int, turn: Callable[[np.ndarray], np.ndarray]
) -> None:
    upright = np.full((80, 120), 255, np.uint8)
    upright[:30, :50] = 0
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored = Image.fromarray(np.ascontiguousarray(turn(upright)))

    picture = decode(saved(stored, "JPEG", exif=exif, quality=95))

    assert picture.gray.shape == upright.shape
    assert np.abs(picture.gray.astype(int) - upright).mean() < 3


def test_a_large_picture_is_made_smaller_and_boxes_find_back() -> None:
    picture = decode(saved(Image.new("L", (WORKING_SIDE * 2, 400), 255), "PNG"))

    assert max(picture.gray.shape) == WORKING_SIDE
    assert picture.to_original((10, 20, 30, 40)) == (20, 40, 60, 80)


def test_what_shines_through_is_white() -> None:
    assert decode(saved(Image.new("RGBA", (20, 20), (0, 0, 0, 0)), "PNG")).gray.min() == 255


@pytest.mark.parametrize("notes", [bytes(40), b"II*\0\x08\0\0\0\xff\xff", b"MM\0*\xff\xff\xff\xff" * 9])
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_whole_photo_with_damaged_notes_is_decoded(kind: str, notes: bytes) -> None:
    photo = saved(Image.new("RGB", (60, 40), "white"), kind, exif=b"Exif\0\0" + notes)

    assert decode(photo).gray.shape == (40, 60)


@pytest.mark.parametrize(("kind", "frames"), [("PNG", 500), ("WEBP", 500), ("MPO", 60)])
def test_of_a_moving_picture_the_first_frame_alone_is_decoded(kind: str, frames: int) -> None:
    """Told by what it takes of the processor, beside the same file cut down to two frames."""
    few, many = (many_frames(kind, count, 300) for count in (2, frames))

    pictures = [decode(photo) for photo in (saved(label(300), "PNG"), many)]
    difference = pictures[0].gray.astype(int) - pictures[1].gray

    assert np.abs(difference).mean() < 4
    assert spent_on(many) < 3 * spent_on(few) + 0.02


def test_a_jpeg_with_very_many_scans_is_refused_and_costs_nothing() -> None:
    photo = many_scans(Image.new("L", (3000, 3000), 200), 5000)

    with pytest.raises(PhotoError):
        decode(photo)
    assert spent_on(photo) < 0.5


def test_scans_are_counted_up_to_the_end_of_the_picture_alone() -> None:
    """A film or a second photo may stand behind it, as phones store them."""
    photo = many_scans(label(300), 40)

    assert decode(photo + b"\xff\xda\0\x04" * 500).gray.shape == decode(photo).gray.shape
    assert decode(photo[:2] + segment(0xE1, b"\xff\xda" * 500) + photo[2:]).gray.shape


def spent_on(photo: bytes) -> float:
    """Return the least seconds of the processor that a picture took of three, refused or decoded."""
    spent = []
    for _ in range(3):
        began = time.process_time()
        with contextlib.suppress(PhotoError):
            decode(photo)
        spent.append(time.process_time() - began)
    return min(spent)
