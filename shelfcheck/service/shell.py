"""The shell: every file that the phone app needs to open with no signal, as it is sent, with its hash.

Beside it stand the files that a phone asks for at its first visit and does not keep itself.
"""

from __future__ import annotations

import gzip
import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

import brotli

from shelfcheck.service import joined

_LENGTH = 16
"""Hex digits of a hash: 64 bits are plenty to tell one content from another. Judgement."""


@dataclass(frozen=True)
class ShellFile:
    """A file as it is sent; ``url`` is relative to the page."""

    url: str
    kind: str
    body: bytes

    @cached_property
    def hash(self) -> str:
        """The hash of the content, which the service worker checks what it got against."""
        return hashlib.sha256(self.body).hexdigest()[:_LENGTH]

    @cached_property
    def packed(self) -> dict[str, Callable[[], bytes]]:
        """What makes the body smaller, by the name that browsers ask with, the best first."""
        return {"br": lambda: _brotli(self.body), "gzip": lambda: _gzip(self.body)}


def shell(web: Path, facts: Path) -> dict[str, ShellFile]:
    """Return the files of the shell by URL, the page itself first; they are made anew when a source changes.

    Args:
        web: the page's folder.
        facts: the folder of the data files.
    """
    seen = ((path, path.stat()) for path in sorted(_sources(web, facts)))
    return _made(web, facts, tuple((path, stat.st_mtime_ns, stat.st_size) for path, stat in seen))


def beside(web: Path, facts: Path) -> dict[str, ShellFile]:
    """Return the service worker, the list of what it keeps, and the manifest, by URL."""
    # JavaScript on every system, whatever that takes ".js" for: browsers refuse a worker as anything else.
    worker, manifest = ((web / name).read_bytes() for name in ("sw.js", "manifest.webmanifest"))
    files = [
        ShellFile("sw.js", "text/javascript", worker),
        ShellFile("precache.js", "text/javascript", precache(web, facts).encode()),
        ShellFile("manifest.webmanifest", "application/manifest+json", manifest),
    ]
    return {file.url: file for file in files}


def precache(web: Path, facts: Path) -> str:
    """Return the script that tells the service worker what to keep, and under which version."""
    files = [(file.url, file.hash) for file in shell(web, facts).values()]
    version = hashlib.sha256(json.dumps(files).encode()).hexdigest()[:_LENGTH]
    return f"self.SHELL = {json.dumps({'version': version, 'files': files}, separators=(',', ':'))};\n"


def _sources(web: Path, facts: Path) -> Iterator[Path]:
    for pattern in ("*.html", "*.css", "*.svg", "modules/**/*.js", "vendor/*.js"):
        yield from web.glob(pattern)
    yield from facts.glob("**/*.json")


@lru_cache(maxsize=4)
def _made(web: Path, facts: Path, _changed: tuple[tuple[Path, int, int], ...]) -> dict[str, ShellFile]:
    files = [
        ShellFile("./", "text/html", (web / "index.html").read_bytes()),
        ShellFile(joined.STYLES, "text/css", joined.styles(web).encode()),
        *(ShellFile(url, "text/javascript", text.encode()) for url, text in joined.scripts(web).items()),
        ShellFile(joined.FACTS, "application/json", joined.facts(facts).encode()),
    ]
    drawings = sorted(web.glob("*.svg"))
    files += [ShellFile(path.name, "image/svg+xml", path.read_bytes()) for path in drawings]
    return {file.url: file for file in files}


@lru_cache(maxsize=64)
def _brotli(body: bytes) -> bytes:
    return bytes(brotli.compress(body))


@lru_cache(maxsize=64)
def _gzip(body: bytes) -> bytes:
    return gzip.compress(body, mtime=0)
