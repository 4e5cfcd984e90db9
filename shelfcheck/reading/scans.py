"""How often a JPEG goes over its picture, counted by its marks and without decoding it."""

from __future__ import annotations

import re

MOST_SCANS = 64
"""Encoders make some 20 at most. A few bytes more make a decoder go over 60 million pixels once more, which
takes it 0.04 s; so a file of 300 kB kept a reader busy for 40 s. Judgement."""
_MARK = re.compile(rb"\xff([\x01-\xcf\xd9-\xfe])")
"""Marks but for those of a start and a restart, which hold nothing; 0 after 0xFF is part of the picture."""
_SCAN, _END, _EMPTY = 0xDA, 0xD9, 0x01


def has_too_many_scans(photo: bytes) -> bool:
    """Tell whether a JPEG has more than ``MOST_SCANS``; what follows the picture's end does not count."""
    at = scans = 0
    while scans <= MOST_SCANS and (found := _MARK.search(photo, at)):
        mark, at = found[1][0], found.end()
        if mark == _END:
            break
        scans += mark == _SCAN
        if mark != _EMPTY:
            at += int.from_bytes(photo[at : at + 2], "big")
    return scans > MOST_SCANS
