"""Bytes to an upright grey picture, with limits on what is opened at all."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from shelfcheck.errors import PhotoError, PhotoTooLargeError
from shelfcheck.panel import Box
from shelfcheck.photo_kinds import kind_of
from shelfcheck.reading.scans import has_too_many_scans
from shelfcheck.words import say

Gray = NDArray[np.uint8]
"""A picture of rows and columns, 0 black to 255 white."""

MOST_PIXELS = 60_000_000
"""Lets the 48 megapixels of a phone pass and stops pictures made to fill the memory. Judgement."""
WORKING_SIDE = 3000
"""Print of a whole panel is well above Tesseract's 20 px at this size; more costs time only. Judgement."""
_PLAIN = ("L", "LA", "RGB", "RGBA")


@dataclass(frozen=True, slots=True)
class Picture:
    """An upright photo in grey; ``scale`` is its width over that of the upright original."""

    gray: Gray
    scale: float = 1.0

    def to_original(self, box: Box) -> Box:
        """Return a box of this picture on the upright original."""
        left, top, width, height = (round(side / self.scale) for side in box)
        return left, top, width, height


def decode(photo: bytes, *, most_pixels: int = MOST_PIXELS, lang: str = "en") -> Picture:
    """Return the photo upright, in grey, and no larger than reading needs.

    Of several frames only the first is decoded. Of what is noted in the file, only which way up it is.

    Raises:
        PhotoError: when the bytes are no whole JPEG, PNG or WebP picture, or a JPEG made to keep the
            decoder busy.
        PhotoTooLargeError: when it has more than ``most_pixels``, and is not decoded then; or when there
            is not the memory to decode it.
    """
    kind = kind_of(photo)
    if kind is None:
        raise PhotoError(say("error.photo_format", lang))
    if kind == "JPEG" and has_too_many_scans(photo):
        raise PhotoError(say("error.photo_broken", lang))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a photo with damaged notes is still a photo
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(photo), formats=[kind]) as image:
                fits = image.width * image.height <= most_pixels
                picture = _upright(image) if fits else None
    except (Image.DecompressionBombWarning, Image.DecompressionBombError, MemoryError):
        picture = None
    # Pillow's decoders raise OSError, SyntaxError, ValueError, struct.error and more on broken files.
    except Exception as broken:
        raise PhotoError(say("error.photo_broken", lang)) from broken
    if picture is None:
        raise PhotoTooLargeError(say("error.photo_too_large", lang, most=round(most_pixels / 1e6)))
    return picture


def _upright(image: Image.Image) -> Picture:
    width = max(image.size)
    # A JPEG can be decoded at half or a quarter of its size in a fraction of the time.
    image.draft("L", (min(image.width, WORKING_SIDE), min(image.height, WORKING_SIDE)))
    upright = _turned(_reduced(image))
    if upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info:
        upright = Image.alpha_composite(Image.new("RGBA", upright.size, "white"), upright.convert("RGBA"))
    if upright.mode.startswith("I"):  # 16 bits for each pixel, which Pillow would cut off at 255
        upright = Image.fromarray((np.asarray(upright).astype(np.uint16) >> 8).astype(np.uint8))
    gray = upright.convert("L")
    gray.thumbnail((WORKING_SIDE, WORKING_SIDE), Image.Resampling.HAMMING)
    return Picture(np.asarray(gray, dtype=np.uint8), max(gray.size) / width)


def _turned(image: Image.Image) -> Image.Image:
    """Return a picture the right way up, or as it is stored where the notes in the file are damaged."""
    image.load()  # what is wrong with the picture itself is told here
    try:
        return ImageOps.exif_transpose(image)
    except MemoryError:
        raise
    except Exception:  # noqa: BLE001 - Pillow raises much on notes that are none; the photo is whole
        return image


def _reduced(image: Image.Image) -> Image.Image:
    """Return a picture more than twice as large as reading needs made smaller before all else.

    Each step after it then takes a quarter of the memory, or less.
    """
    times = max(image.size) // WORKING_SIDE
    return image.reduce(times) if times > 1 and image.mode in _PLAIN else image
