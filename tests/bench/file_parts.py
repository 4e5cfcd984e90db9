"""The pieces that picture files are made of, for tests that put them together wrongly."""

from __future__ import annotations

import io
import struct
import zlib
from functools import cache

from PIL import Image

from tests.making import SAMPLES

PNG = b"\x89PNG\r\n\x1a\n"


def saved(image: Image.Image, kind: str, **options: object) -> bytes:
    """Return an image as a file."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def label(side: int = 700) -> Image.Image:
    """Return a sample label, in colours, of at most so many pixels a side; each call gives its own copy."""
    return _label(side).copy()


@cache
def _label(side: int) -> Image.Image:
    with Image.open(SAMPLES / "fda_sample.png") as image:
        small = image.convert("RGB")
    small.thumbnail((side, side))
    return small


def chunk(name: bytes, body: bytes) -> bytes:
    """Return a piece of a PNG with the right sum."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def chunks_of(photo: bytes) -> list[tuple[bytes, bytes]]:
    """Return the pieces of a PNG: name and content."""
    found, at = [], len(PNG)
    while at < len(photo):
        size = struct.unpack_from(">I", photo, at)[0]
        found.append((photo[at + 4 : at + 8], photo[at + 8 : at + 8 + size]))
        at += size + 12
    return found


def png(*pieces: tuple[bytes, bytes]) -> bytes:
    """Return the PNG of these pieces."""
    return PNG + b"".join(chunk(name, body) for name, body in pieces)


def segment(marker: int, body: bytes) -> bytes:
    """Return a piece of a JPEG's head."""
    return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body


def many_scans(image: Image.Image, times: int) -> bytes:
    """Return a progressive JPEG whose last scan stands there so many times."""
    photo = saved(image, "JPEG", progressive=True, quality=80)
    at = photo.rindex(b"\xff\xda")
    return photo[:at] + photo[at:-2] * times + b"\xff\xd9"


def many_frames(kind: str, count: int, side: int = 700) -> bytes:
    """Return a moving picture: the label, then so many others less one."""
    first = label(side)
    others = [Image.new("RGB", first.size, (number % 256, number // 256, 90)) for number in range(count - 1)]
    return saved(first, kind, save_all=True, append_images=others)
