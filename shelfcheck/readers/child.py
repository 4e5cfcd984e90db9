"""What runs inside a reader: ``python -m shelfcheck.readers.child CONNECTION PLACE WORK``.

It says hello when it is ready, then answers one photo after another until the other end is closed. For
each it takes two messages, the language and the photo's bytes, and sends one: JSON with the panel or the
error, the seconds that each stage took, and whether it keeps too much memory to go on.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from shelfcheck.errors import PhotoTooLargeError, ReaderFailedError, ShelfcheckError
from shelfcheck.panel_json import panel_to_json
from shelfcheck.readers import limits
from shelfcheck.readers.folder import empty
from shelfcheck.reading import Engine, Leaf, engine_for, read_panel
from shelfcheck.reading.engines import make_ready
from shelfcheck.reading.photo import Picture
from shelfcheck.words import LANGUAGES, say, words

HELLO = b"ready"
_IDLE_SECONDS = 2.0
"""A reader idle for so long hands its memory back; at once would cost a quarter of its speed. Measured."""
_KEPT = 0.55
"""A reader that keeps more than this part of what a photo may take lacks it for the next. Judgement."""
_NO_MEMORY = ("bad_alloc", "insufficient memory", "out of memory")
"""How the libraries beneath say that there was no more memory."""


class Timed:
    """An engine, and how long it works."""

    def __init__(self, engine: Engine) -> None:
        self.name, self._engine = engine.name, engine
        self.first: float | None = None
        self.seconds = 0.0

    def read(self, picture: Picture) -> Leaf:
        """Return the words on the picture; ``Engine.read`` tells what is raised."""
        began = time.perf_counter()
        self.first = self.first or began
        try:
            return self._engine.read(picture)
        finally:
            self.seconds += time.perf_counter() - began

    def read_wider(self, picture: Picture) -> Iterator[Leaf]:
        """Yield what the engine yields."""
        looks = self._engine.read_wider(picture)
        while True:
            began = time.perf_counter()
            leaf = next(looks, None)
            self.seconds += time.perf_counter() - began
            if leaf is None:
                return
            yield leaf


def main(connection: Connection, place: Path, work: dict[str, Any]) -> None:
    """Answer photos until the other end is closed."""
    tempfile.tempdir = str(place)
    limits.begin()
    limits.end_with(connection.fileno(), place)
    make_ready()
    for lang in LANGUAGES:
        words(lang)
    enough = limits.bound_memory(int(work["bytes"])) + int(work["bytes"] * _KEPT)
    connection.send_bytes(HELLO)
    while True:
        try:
            if not connection.poll(_IDLE_SECONDS):
                limits.give_back()
            lang, photo = connection.recv_bytes().decode(), connection.recv_bytes()
        except EOFError:
            return
        limits.bound_seconds(float(work["seconds"]))
        answer = answer_to(photo, lang, work)
        del photo
        empty(place)
        answer["swollen"] = limits.has_swollen(enough)
        connection.send_bytes(json.dumps(answer).encode())


def answer_to(photo: bytes, lang: str, work: dict[str, Any]) -> dict[str, Any]:
    """Return the panel on a photo, or the error, as JSON, with the seconds of each stage."""
    began = time.perf_counter()
    engine = Timed(engine_for(lang, float(work["seconds"])))
    answer: dict[str, Any] | None = None
    try:
        reading = read_panel(photo, engine=engine, most_pixels=int(work["pixels"]), lang=lang)
        answer = {"panel": panel_to_json(reading.panel, lang)}
    except ShelfcheckError as error:
        answer = error.to_json()
    except MemoryError:
        pass  # while it is handled, what filled the memory is still held
    except Exception as slip:  # noqa: BLE001 - libraries raise what they like; the next photo is to be read
        if not any(word in str(slip).lower() for word in _NO_MEMORY):
            _note(slip)
            answer = ReaderFailedError(say("error.reader_failed", lang)).to_json()
    if answer is None:
        answer = PhotoTooLargeError(say("error.photo_memory", lang)).to_json()
    ended = time.perf_counter()
    decoded = (engine.first or ended) - began
    seconds = {
        "decode": decoded,
        "recognise": engine.seconds,
        "understand": ended - began - decoded - engine.seconds,
    }
    return answer | {"seconds": seconds}


def _note(slip: Exception) -> None:
    """Log what kind of slip it was and where, and nothing of the photo; on a full disk, nothing at all."""
    frames = traceback.extract_tb(slip.__traceback__)
    where = " < ".join(f"{Path(frame.filename).name}:{frame.lineno}" for frame in reversed(frames))
    told = {"level": "error", "event": "a reader slipped", "error": type(slip).__name__, "where": where}
    with suppress(OSError):
        sys.stderr.write(json.dumps(told) + "\n")


if __name__ == "__main__":
    main(Connection(int(sys.argv[1])), Path(sys.argv[2]), json.loads(sys.argv[3]))
