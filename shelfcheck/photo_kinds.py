"""What kinds of picture are read, told by their first bytes; whatever name or type a file claims."""

from __future__ import annotations

import re

_KINDS = (
    ("JPEG", re.compile(rb"\xff\xd8\xff")),
    ("PNG", re.compile(rb"\x89PNG\r\n\x1a\n")),
    ("WEBP", re.compile(rb"RIFF....WEBP", re.DOTALL)),
)


def kind_of(photo: bytes) -> str | None:
    """Return "JPEG", "PNG" or "WEBP", or None for anything else."""
    return next((name for name, start in _KINDS if start.match(photo)), None)
