"""Pictures that no reader should trip over, drawn without a browser: broken files, noise, half panels.

Each maker takes a source of chance and returns the bytes of a picture and the panels printed on it. A value
that a reader is sure of must stand on one of these.
"""

from __future__ import annotations

import io
import json
import struct
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageEnhance, ImageFilter, ImageFont, ImageOps

from tests.bench.photos import no_panels

SAMPLES = Path(__file__).parents[3] / "sample_labels"
NAMES = sorted(path.stem for path in SAMPLES.glob("*.png"))
_HUGE = (65_000, 65_000)

Made = tuple[bytes, tuple[Mapping[str, Any], ...]]


@dataclass(frozen=True, slots=True)
class Strange:
    """A picture, and the JSON of the panels that are printed on it; ``name`` makes it again."""

    name: str
    photo: bytes
    panels: tuple[Mapping[str, Any], ...]

    @property
    def kind(self) -> str:
        """Which of ``KINDS`` it is."""
        return self.name.partition(" ")[0]


def strange(kind: str, seed: int) -> Strange:
    """Return one picture of a kind; the same seed gives the same picture."""
    name = f"{kind} {seed}"
    return Strange(name, *KINDS[kind](Random(name)))


def _saved(image: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def _label(rng: Random, names: list[str] | None = None) -> tuple[Image.Image, Mapping[str, Any]]:
    name = rng.choice(names or NAMES)
    panel = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))
    return Image.open(SAMPLES / f"{name}.png").convert("RGB"), panel


def _jpeg(rng: Random) -> tuple[bytes, Mapping[str, Any]]:
    image, panel = _label(rng)
    return _saved(image, "JPEG", quality=rng.choice((40, 75, 90)), progressive=rng.random() < 0.5), panel


def _truncated(rng: Random) -> Made:
    photo, panel = _jpeg(rng)
    if rng.random() < 0.4:
        return _saved(_label(rng)[0])[: rng.randint(1, 60_000)], ()
    return photo[: int(len(photo) * rng.random() ** 0.5)], (panel,)


def _scrambled(rng: Random) -> Made:
    """Return a JPEG with wrong bytes in it: the decoder makes of them what it can, so figures may change."""
    photo, panel = _jpeg(rng)
    wrong = bytearray(photo)
    for _ in range(rng.randint(1, 30)):
        wrong[rng.randrange(600, len(wrong) - 2)] = rng.randrange(256)
    return bytes(wrong), (panel,)


def _noise(rng: Random) -> Made:
    size = rng.choice(((300, 400), (1200, 900), (2000, 1500)))
    image = Image.fromarray(np.random.default_rng(rng.randrange(1 << 30)).integers(0, 256, size, np.uint8))
    if rng.random() < 0.5:
        image = image.resize((40, 30)).resize(size, rng.choice((0, 3)))
    return _saved(image.point(lambda level: 255 * (level > 128)) if rng.random() < 0.4 else image), ()


def _flat(rng: Random) -> Made:
    size = rng.choice(((640, 480), (1500, 2000), (3000, 4000)))
    if rng.random() < 0.5:
        return _saved(Image.new("L", size, rng.choice((0, 255, rng.randrange(256))))), ()
    return _saved(Image.linear_gradient("L").resize(size), "JPEG"), ()


def _sized(rng: Random) -> Made:
    """Return a picture of a size that no camera gives."""
    long = rng.randint(1, 9000)
    size = rng.choice(((1, 1), (2, 3), (17, 9), (40, 12), (long, 1), (1, long), (6000, 30), (20, 4000)))
    image = _label(rng)[0].resize(size)
    return _saved(image, rng.choice(("PNG", "JPEG", "WEBP"))), ()


def _declared(rng: Random) -> Made:
    """Return a file that says it is far larger than it is."""
    wide, high = rng.choice((_HUGE, (20_000, 20_000), (4000, 1 << 30), (0, 0), (1 << 31, 1)))
    if rng.random() < 0.6:
        body = b"IHDR" + struct.pack(">IIBBBBB", wide & 0xFFFFFFFF, high, 8, 0, 0, 0, 0)
        data = zlib.compress(b"\0" * 5000)
        chunks = [body, b"IDAT" + data, b"IEND"]
        packed = (struct.pack(">I", len(c) - 4) + c + struct.pack(">I", zlib.crc32(c)) for c in chunks)
        return b"\x89PNG\r\n\x1a\n" + b"".join(packed), ()
    photo = bytearray(_saved(Image.new("L", (64, 64), 200), "JPEG"))
    at = photo.index(b"\xff\xc0") + 5
    photo[at : at + 4] = struct.pack(">HH", min(high, 65_000), min(wide, 65_000))
    return bytes(photo), ()


def _encoded(rng: Random) -> Made:
    """Return a whole label in a way of storing that is rare."""
    image, panel = _label(rng)
    way = rng.choice(("CMYK", "1", "LA", "P", "I;16", "bad EXIF", "moving"))
    if way == "CMYK":
        return _saved(image.convert("CMYK"), "JPEG"), (panel,)
    if way == "I;16":
        deep = np.asarray(image.convert("L"), np.uint16) * 257
        return _saved(Image.fromarray(deep)), (panel,)
    if way == "bad EXIF":
        return _saved(image, "JPEG", exif=b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\xff\xff"), (panel,)
    if way == "moving":
        return _saved(image, "WEBP", save_all=True, append_images=[ImageOps.invert(image)]), (panel,)
    return _saved(image.convert(way)), (panel,)


def _cut(rng: Random) -> Made:
    """Return a part of a label: of a number at the edge only some figures may be left."""
    image, panel = _label(rng)
    share = rng.uniform(0.25, 0.75)
    wide, high = image.size
    box = rng.choice(
        (
            (0, 0, wide * share, high),
            (wide * share, 0, wide, high),
            (0, 0, wide, high * share),
            (0, high * share, wide, high),
        )
    )
    return _saved(image.crop(tuple(map(round, box))), "JPEG", quality=90), (panel,)


def _covered(rng: Random) -> Made:
    """Return a label with stickers and strokes over it: a stroke through a 1 makes no 4."""
    image, panel = _label(rng)
    pen = ImageDraw.Draw(image)
    for _ in range(rng.randint(2, 8)):
        x, y = rng.randrange(image.width), rng.randrange(image.height)
        if rng.random() < 0.5:
            box = (x, y, x + rng.randint(40, 300), y + rng.randint(20, 120))
            pen.rectangle(box, rng.choice(("#ffd400", "white", "black")))
            pen.text((x + 8, y + 4), f"{rng.uniform(1, 9):.2f}", "black", ImageFont.load_default(34))
        else:
            end = (x + rng.randint(-400, 400), y + rng.randint(-200, 200))
            pen.line((x, y, *end), rng.choice(("black", "white", "#888")), rng.randint(3, 14))
    return _saved(image, "JPEG", quality=85), (panel,)


def _spoiled(rng: Random) -> Made:
    """Return a label seen badly: blurred, dark, faint, grainy, tiny, mirrored, turned or stored coarsely."""
    image, panel = _label(rng)
    white = Image.new("RGB", image.size, "white")
    grains = np.random.default_rng(rng.randrange(1 << 30)).normal(128, 120, image.size[::-1])
    grain = Image.fromarray(np.clip(grains, 0, 255).astype(np.uint8)).convert("RGB")
    ways = (
        lambda: image.filter(ImageFilter.GaussianBlur(rng.uniform(2, 9))),
        lambda: ImageEnhance.Brightness(image).enhance(rng.uniform(0.01, 0.2)),
        lambda: Image.blend(image, white, rng.uniform(0.8, 0.99)),
        lambda: Image.blend(image, grain, rng.uniform(0.3, 0.7)),
        lambda: image.resize(tuple(round(side * rng.uniform(0.1, 0.35)) for side in image.size)),
        lambda: ImageOps.mirror(image),
        lambda: image.rotate(rng.uniform(20, 160), Image.Resampling.BICUBIC, expand=True, fillcolor="#bbb"),
        lambda: image,
    )
    way = rng.choice(ways)
    return _saved(way(), "JPEG", quality=rng.randint(1, 6) if way is ways[-1] else 80), (panel,)


def _two(rng: Random) -> Made:
    """Return two labels side by side."""
    (one, first), (other, second) = _label(rng), _label(rng)
    image = Image.new("RGB", (one.width + other.width + 30, max(one.height, other.height)), "#999")
    image.paste(one, (0, 0))
    image.paste(other, (one.width + 30, 0))
    return _saved(image, "JPEG", quality=85), (first, second)


KINDS: dict[str, Callable[[Random], Made]] = {
    "truncated": _truncated,
    "scrambled": _scrambled,
    "noise": _noise,
    "flat": _flat,
    "sized": _sized,
    "declared": _declared,
    "encoded": _encoded,
    "menu": no_panels.menu,
    "receipt": no_panels.receipt,
    "prose": no_panels.prose,
    "directions": no_panels.directions,
    "ingredients": no_panels.ingredients,
    "european": no_panels.european,
    "cut": _cut,
    "covered": _covered,
    "spoiled": _spoiled,
    "two": _two,
}
