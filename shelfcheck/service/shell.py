"""The shell: every file that the phone app needs to open with no signal, as it is sent, with its hash.

Beside it stand the files that a phone asks for at its first visit and does not keep itself.
"""

from __future__ import annotations

import gzip
import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Literal

import brotli

from shelfcheck.service import joined

_LENGTH = 16
"""Hex digits of a hash: 64 bits are plenty to tell one content from another. Judgement."""


@dataclass(frozen=True)
class ShellFile:
    """A file as it is sent; ``url`` is relative to the page.

    ``kept`` tells when it comes to stay on the phone: "at once" as part of the shell, "on use" when it was
    first asked for, or never.
    """

    url: str
    kind: str
    body: bytes
    kept: Literal["at once", "on use", "never"] = "at once"

    @cached_property
    def hash(self) -> str:
        """The hash of the content, which the service worker checks what it got against."""
        return _hash_of(self.body)

    @cached_property
    def packed(self) -> dict[str, bytes]:
        """The body made smaller, by the name that browsers ask with, the smallest first."""
        return {"br": brotli.compress(self.body), "gzip": gzip.compress(self.body, mtime=0)}


def served(web: Path, facts: Path, settings: Mapping[str, object]) -> dict[str, ShellFile]:
    """Return the files of the shell by URL, the page itself first, and those beside it.

    They are made anew when a source changes.

    Args:
        web: the page's folder.
        facts: the folder of the data files.
        settings: at least those that the page tells, ``joined.TOLD``.
    """
    seen = ((path, path.stat()) for path in sorted(_sources(web, facts)))
    told = tuple((name, settings[name]) for name in joined.TOLD)
    return _made(web, facts, told, tuple((path, stat.st_mtime_ns, stat.st_size) for path, stat in seen))


def _sources(web: Path, facts: Path) -> Iterator[Path]:
    for pattern in ("*.*", "modules/**/*.js", "vendor/*.js"):
        yield from web.glob(pattern)
    yield from facts.glob("**/*.json")


@lru_cache(maxsize=4)
def _made(
    web: Path,
    facts: Path,
    told: tuple[tuple[str, object], ...],
    _changed: tuple[tuple[Path, int, int], ...],
) -> dict[str, ShellFile]:
    scripts = joined.scripts(web)
    kept = [
        ShellFile("./", "text/html", (web / "index.html").read_bytes()),
        ShellFile(joined.STYLES, "text/css", joined.styles(web).encode()),
        *(ShellFile(url, "text/javascript", scripts[url].encode()) for url in (joined.ENTRY, joined.LATER)),
        ShellFile(joined.FACTS, "application/json", joined.facts(facts).encode()),
        *(
            ShellFile(path.name, "image/svg+xml", joined.drawings(web, path.name).encode())
            for path in sorted(web.glob("*.svg"))
        ),
    ]
    rooms = [
        ShellFile(url, kind, text.encode(), "on use")
        for room in joined.ROOMS
        for url, kind, text in (
            (room.script, "text/javascript", scripts[room.script]),
            (room.styles, "text/css", joined.styles(web, room.styles)),
            (room.data, "application/json", joined.room_data(facts, room, dict(told))),
        )
    ]
    worker, manifest = joined.worker(web), joined.manifest(web)
    # JavaScript on every system, whatever that takes ".js" for: browsers refuse a worker as anything else.
    beside = [
        ShellFile("sw.js", "text/javascript", worker.encode(), "never"),
        ShellFile("precache.js", "text/javascript", _precache(kept, rooms).encode(), "never"),
        ShellFile("manifest.webmanifest", "application/manifest+json", manifest.encode(), "never"),
    ]
    return {file.url: file for file in (*kept, *rooms, *beside)}


def _precache(kept: list[ShellFile], on_use: list[ShellFile]) -> str:
    """Return the script that tells the service worker what to keep, at once and on use, and the version."""
    files, used = ([(file.url, file.hash) for file in some] for some in (kept, on_use))
    version = _hash_of(json.dumps(files + used).encode())
    told = {"version": version, "files": files, "onUse": used}
    return f"self.SHELL = {json.dumps(told, separators=(',', ':'))};\n"


def _hash_of(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()[:_LENGTH]
