"""JPEG and WebP files whose parts lie; each maker takes a source of chance and returns a file."""

from __future__ import annotations

import struct
from random import Random

from PIL import Image

from tests.bench.file_parts import label, many_scans, saved, segment

FULL = (7745, 7745)
"""Just under the most pixels that are taken."""
NUMBERS = (0, 1, 7, 255, 256, 65_535, 1 << 24, 0x7FFFFFFF, 0xFFFFFFFF)


def scans(rng: Random) -> bytes:
    """A progressive JPEG of very many scans, small or as large as is taken, full or empty."""
    image, times = rng.choice(
        (
            (label(300), 40),
            (label(300), 3000),
            (Image.new("L", FULL, 200), 50),
            (Image.new("L", FULL, 200), 2000),
            (Image.new("L", (1000, 1000), 200), 500_000),
        )
    )
    return many_scans(image, times)


def frame_head(rng: Random) -> bytes:
    """A JPEG that claims another way of packing, size, depth, or number and sampling of its colours."""
    photo = bytearray(saved(label(), "JPEG", progressive=rng.random() < 0.5))
    at = photo.find(b"\xff\xc0") + 1 or photo.find(b"\xff\xc2") + 1
    way = rng.randrange(5)
    if way == 0:
        photo[at] = rng.choice((0xC1, 0xC2, 0xC3, 0xC5, 0xC9, 0xC9, 0xCA, 0xCB, 0xCD, 0xCF))
    elif way == 1:
        photo[at + 4 : at + 8] = struct.pack(">HH", *rng.choices((0, 1, 1000, 7745, 65_500, 65_535), k=2))
    elif way == 2:
        photo[at + 3] = rng.choice((0, 1, 2, 7, 12, 16, 255))
    elif way == 3:
        photo[at + 8] = rng.choice((0, 1, 2, 4, 5, 255))
    else:
        photo[at + 10 + 3 * rng.randrange(3)] = rng.choice((0, 0x11, 0x14, 0x41, 0x44, 0x1F, 0xFF))
    return bytes(photo)


def tables(rng: Random) -> bytes:
    """A JPEG whose tables of steps or codes, or whose marks of restart, lie."""
    photo = saved(label(), "JPEG", quality=rng.choice((40, 90)))
    scan = photo.index(b"\xff\xda")
    number = rng.choice((0, 1, 0x10, 0x13, 0xFF))
    lies = (
        segment(0xDB, bytes([number]) + bytes(rng.choice((0, 63, 64, 128)))),
        segment(0xDB, bytes([number]) + rng.randbytes(64)),
        segment(0xC4, bytes([number]) + b"\xff" * 16 + bytes(rng.choice((0, 100, 4080)))),
        segment(0xC4, bytes([number]) + rng.randbytes(16) + rng.randbytes(256)),
        segment(0xC4, bytes([number]) + bytes(16)),
        segment(0xDD, struct.pack(">H", rng.choice((0, 1, 2, 65_535)))),
        segment(0xCC, rng.randbytes(10)),
    )
    body = bytearray(photo[scan:])
    for _ in range(rng.choice((0, 0, 1, 3, 3000))):
        at = rng.randrange(12, len(body))
        body[at:at] = bytes((0xFF, 0xD0 + rng.randrange(10)))
    return photo[:scan] + b"".join(rng.choices(lies, k=rng.choice((0, 1, 1, 3)))) + bytes(body)


def notes(rng: Random) -> bytes:
    """A JPEG with notes of many megabytes: EXIF, colours, comments, or EXIF that points to itself."""
    photo = saved(label(), "JPEG")
    loop = b"Exif\0\0II*\0\x08\0\0\0\x02\0" + struct.pack("<HHIIHHIII", 0x8769, 4, 1, 8, 0x112, 3, 1, 9, 8)
    note, times = rng.choice(
        (
            (segment(0xE1, loop), 1),
            (segment(0xE1, b"Exif\0\0" + rng.randbytes(65_000)), 200),
            (segment(0xE1, b"Exif\0\0MM\0*\0\0\0\x08\xff\xff" + rng.randbytes(64_000)), 1),
            (segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + b"<x>" * 20_000), 200),
            (segment(0xE2, b"ICC_PROFILE\0\1\xff" + rng.randbytes(65_000)), 240),
            (segment(0xE2, b"MPF\0II*\0\x08\0\0\0\xff\xff" + rng.randbytes(500)), 1),
            (segment(0xED, b"Photoshop 3.0\x008BIM" + rng.randbytes(60_000)), 100),
            (segment(0xEE, b"Adobe\0\x64\0\0\0\0" + bytes([rng.choice((0, 2, 255))])), 1),
            (segment(0xFE, rng.randbytes(65_000)), 240),
            (segment(0xFE, b""), 500_000),
        )
    )
    return photo[:2] + note * times + photo[2:]


def webp(rng: Random) -> bytes:
    """A WebP whose pieces lie about their size or kind, or whose canvas is huge."""
    photo = bytearray(
        saved(label(), "WEBP", lossless=rng.random() < 0.5, exif=b"Exif\0\0" + rng.randbytes(99))
    )
    way = rng.randrange(6)
    if way == 0:
        photo[24:30] = b"".join(rng.choice((0, 7744, 16_383, 0xFFFFFF)).to_bytes(3, "little") for _ in "xy")
    elif way == 1:
        photo[20] = rng.choice((0, 4, 8, 32, 64, 255))
    elif way == 2:
        at = rng.choice((4, 16, 34))
        photo[at : at + 4] = struct.pack("<I", rng.choice(NUMBERS))
    elif way == 3:
        name = rng.choice((b"ICCP", b"ANIM", b"ALPH", b"WHAT"))
        photo[30:30] = (name + b"\x08\0\0\0" + bytes(8)) * 100_000
        photo[4:8] = struct.pack("<I", len(photo) - 8)
    elif way == 4:
        photo[42:50] = rng.randbytes(8)
    return bytes(photo)


def cmyk(rng: Random) -> bytes:
    """A JPEG in four colours, whose note on them is right, wrong or doubled."""
    photo = saved(label().convert("CMYK"), "JPEG", progressive=rng.random() < 0.5)
    note = segment(0xEE, b"Adobe\0\x64\0\0\0\0" + bytes([rng.choice((0, 1, 2, 9))]))
    return photo[:2] + note * rng.randrange(3) + photo[2:]
