"""The shell: every file that the phone app needs to open with no signal, each with a hash of its content."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

_FACTS = ("amount_words", "diet_rules", "foods", "label_rules", "measures", "words/en", "words/es")
"""What ``web/modules/facts.js`` loads; the other data files serve the reading of photos alone."""
_PATTERNS = ("*.css", "*.svg", "modules/**/*.js", "vendor/*.js")
_LENGTH = 16
"""Hex digits of a hash: 64 bits are plenty to tell one content from another. Judgement."""


def shell(web: Path, facts: Path) -> list[tuple[str, str]]:
    """Return ``(url, hash)`` of each file of the shell, the page itself first, URLs relative to it.

    Args:
        web: the page's folder.
        facts: the folder of the data files.
    """
    return [(url, _hash_of(path)) for url, path in _files(web, facts)]


def precache(web: Path, facts: Path) -> str:
    """Return the script that tells the service worker what to keep, and under which version."""
    files = shell(web, facts)
    version = hashlib.sha256(json.dumps(files).encode()).hexdigest()[:_LENGTH]
    return f"self.SHELL = {json.dumps({'version': version, 'files': files}, indent=1)};\n"


def _files(web: Path, facts: Path) -> Iterator[tuple[str, Path]]:
    yield "./", web / "index.html"
    found = {path for pattern in _PATTERNS for path in web.glob(pattern)}
    for path in sorted(found):
        yield path.relative_to(web).as_posix(), path
    for name in _FACTS:
        yield f"data/{name}.json", facts / f"{name}.json"


def _hash_of(path: Path) -> str:
    seen = path.stat()
    return _hash_once(path, seen.st_mtime_ns, seen.st_size)


@lru_cache(maxsize=512)
def _hash_once(path: Path, _changed_ns: int, _size: int) -> str:
    """Return the hash of a file that was last changed then; each change of a file is hashed once."""
    return hashlib.sha256(path.read_bytes()).hexdigest()[:_LENGTH]
