"""Picture files whose parts lie: their heads and sums are right, so that a decoder goes deep into them.

Each maker takes a source of chance and returns the bytes of a file; ``strange_file`` makes one by its number.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable
from functools import cache
from random import Random

import numpy as np
from PIL import Image, ImageDraw

from tests.bench import strange_photos
from tests.bench.file_parts import PNG, chunks_of, label, many_frames, png, saved, segment
from tests.bench.strange_photos import FULL, NUMBERS

_MEGA = 1 << 20
_THIN = ((60_000, 1000), (1000, 60_000), (1, 65_500), (65_500, 1), (60_000_000, 1), (2, 30_000_000))


def strange_file(number: int) -> tuple[str, bytes]:
    """Return the kind of a file and its bytes; the same number gives the same file."""
    kind = list(KINDS)[number % len(KINDS)]
    return kind, KINDS[kind](Random(number))


def _header(rng: Random) -> bytes:
    """A PNG that lies about its size, depth, colours or order, by the sums of a true one."""
    mode = rng.choice(("L", "RGB", "RGBA", "P", "1"))
    (_, head), *rest = chunks_of(saved(label().convert(mode), "PNG"))
    parts = list(struct.unpack(">IIBBBBB", head))
    place = rng.randrange(7)
    if place < 2:
        parts[place] = rng.choice((*NUMBERS, parts[place] * 2, parts[place] + 1, parts[place] - 1))
    else:
        parts[place] = rng.choice((0, 1, 2, 3, 4, 6, 16, 255))
    return png((b"IHDR", struct.pack(">IIBBBBB", *parts)), *rest)


def _palette(rng: Random) -> bytes:
    """A PNG whose palette, or list of what shines through, is too short, too long, doubled or gone."""
    pieces = [one for one in chunks_of(saved(label().convert("P"), "PNG")) if one[0] != b"PLTE"]
    colours = rng.randbytes(rng.choice((0, 1, 3, 5, 768, 900, 3000)))
    seen = rng.randbytes(rng.choice((0, 1, 256, 4000)))
    lists = [(b"PLTE", colours)] * rng.randrange(3) + [(b"tRNS", seen)] * rng.randrange(3)
    rng.shuffle(lists)
    return png(pieces[0], *lists, *pieces[1:])


def _bomb(rng: Random) -> bytes:
    """A PNG whose notes unpack to far more than they are."""
    zeros = zlib.compress(bytes(rng.choice((1, 64, 256)) * _MEGA), 1)
    note = rng.choice(
        (
            (b"zTXt", b"Comment\0\0" + zeros),
            (b"iTXt", b"Comment\0\1\0\0\0" + zeros),
            (b"iCCP", b"icc\0\0" + zeros),
            (b"tEXt", b"Comment\0" + bytes(8 * _MEGA)),
            (b"eXIf", bytes(8 * _MEGA)),
        )
    )
    head, *rest = chunks_of(saved(label(), "PNG"))
    notes = [note] * rng.choice((1, 1, 5))
    if sum(len(body) for _, body in notes) > 15 * _MEGA:
        notes = notes[:1]
    return png(head, *notes, *rest) if rng.random() < 0.7 else png(head, *rest[:-1], *notes, rest[-1])


def _pieces(rng: Random) -> bytes:
    """A PNG whose pixels come in very many pieces, too many or too few of them, or with others between."""
    head, *rest = chunks_of(saved(label(300), "PNG"))
    pixels = b"".join(body for name, body in rest if name == b"IDAT")
    way = rng.randrange(5)
    if way == 0:
        return png(head, *((b"IDAT", pixels[at : at + 1]) for at in range(len(pixels))), rest[-1])
    if way == 1:
        return png(head, *[(b"IDAT", b"")] * 200_000, (b"IDAT", pixels), rest[-1])
    if way == 2:
        return png(head, (b"IDAT", zlib.compress(bytes(512 * _MEGA), 1)), rest[-1])
    if way == 3:
        return png(head, (b"IDAT", zlib.compress(zlib.decompress(pixels)[: rng.randrange(90_000)])), rest[-1])
    half = len(pixels) // 2
    odd = (rng.choice((b"abcd", b"IHDR", b"IEND", b"PLTE", b"\xff\0\xff\0")), rng.randbytes(13))
    return png(head, (b"IDAT", pixels[:half]), odd, (b"IDAT", pixels[half:]), rest[-1])


def _frames(rng: Random) -> bytes:
    """A moving picture of many frames; now and then its list of them lies."""
    count, kind = rng.choice(((500, "PNG"), (60, "PNG"), (200, "WEBP"), (20, "WEBP"), (20, "MPO")))
    photo = bytearray(many_frames(kind, count, 200))
    names = {"PNG": (b"acTL", b"fcTL"), "WEBP": (b"ANIM", b"ANMF"), "MPO": (b"MPF\0",)}[kind]
    if rng.random() < 0.6:
        at = photo.index(rng.choice(names)) + 4
        photo[at + rng.randrange(24)] = rng.randrange(256)
    if kind == "PNG":  # with right sums again
        return png(*chunks_of(bytes(photo)))
    return bytes(photo)


@cache
def _large(size: tuple[int, int], mode: str, kind: str) -> bytes:
    options = {"compress_level": 1} if kind == "PNG" else {"quality": 30}
    return saved(Image.new(mode, size, 200 if len(mode) == 1 else "#c8c8c8"), kind, **options)


def _thin(rng: Random) -> bytes:
    """A picture as long or as large as is taken."""
    if rng.random() < 0.4:
        return _large(FULL, *rng.choice((("RGBA", "PNG"), ("RGB", "PNG"), ("P", "PNG"), ("RGB", "JPEG"))))
    size = rng.choice(_THIN)
    kind = "JPEG" if max(size) < 65_501 and rng.random() < 0.5 else "PNG"
    return _large(size, rng.choice(("L", "RGB")), kind)


def _busy(rng: Random) -> bytes:
    """A picture with very much to look at: noise, a net of lines, or one label many times."""
    side = rng.choice((1500, 3000, 4000))
    way = rng.randrange(4)
    if way == 0:
        image = Image.fromarray(np.frombuffer(rng.randbytes(1500 * 1500), np.uint8).reshape(1500, 1500))
    elif way == 1:
        image = Image.new("L", (side, side), 255)
        pen, step = ImageDraw.Draw(image), rng.choice((2, 9, 40))
        for at in range(0, side, step):
            pen.line((at, 0, at, side), 0)
            pen.line((0, at, side, at), 0)
    else:
        image = Image.new("RGB", (side, side), "white")
        one = label(rng.choice((60, 250, 500)))
        for number in range((side // one.width) * (side // one.height)):
            down, across = divmod(number, side // one.width)
            image.paste(one, (across * one.width, down * one.height))
    return saved(image, rng.choice(("JPEG", "PNG", "WEBP")))


def _mixed(rng: Random) -> bytes:
    """A file of two kinds at once, or of one that is not taken."""
    jpeg, flat, archive = saved(label(), "JPEG"), saved(label(), "PNG"), io.BytesIO()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("a", bytes(_MEGA))
    page = b"<html><script>alert(1)</script><svg xmlns='http://www.w3.org/2000/svg'/></html>"
    return rng.choice(
        (
            PNG + jpeg,
            flat[:33] + jpeg,
            jpeg[:20] + flat,
            jpeg + archive.getvalue(),
            flat + archive.getvalue(),
            jpeg + page,
            jpeg[:2] + segment(0xFE, page) + jpeg[2:],
            page,
            b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>",
            b"RIFF" + struct.pack("<I", len(jpeg) + 4) + b"WEBP" + jpeg,
            b"\xff\xd8\xff" + flat,
            saved(label(), "TIFF"),
            saved(label().convert("P"), "GIF"),
            saved(label(), "PDF"),
            b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + rng.randbytes(2000),
            jpeg * 20,
        )
    )


KINDS: dict[str, Callable[[Random], bytes]] = {
    "header": _header,
    "palette": _palette,
    "bomb": _bomb,
    "pieces": _pieces,
    "frames": _frames,
    "scans": strange_photos.scans,
    "frame head": strange_photos.frame_head,
    "tables": strange_photos.tables,
    "notes": strange_photos.notes,
    "webp": strange_photos.webp,
    "thin": _thin,
    "busy": _busy,
    "mixed": _mixed,
    "cmyk": strange_photos.cmyk,
}
