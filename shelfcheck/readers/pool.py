"""As many readers as are read at a time, a short line before them, and a plain "busy" to everybody else."""

from __future__ import annotations

import atexit
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import Any, NamedTuple

from shelfcheck.errors import (
    BusyError,
    ClientLeftError,
    NotAPanelError,
    PhotoError,
    PhotoTooLargeError,
    ReaderFailedError,
    ReaderMissingError,
    ShelfcheckError,
)
from shelfcheck.readers.folder import Folder
from shelfcheck.readers.reader import Reader, ReaderDiedError, Work
from shelfcheck.words import say

_ERRORS = {
    error.code: error
    for error in (PhotoError, PhotoTooLargeError, NotAPanelError, ReaderMissingError, ReaderFailedError)
}
_LOOK_SECONDS = 0.25
_PHOTOS_EACH = 500
"""A reader is replaced after so many photos, whatever they left in its memory. Judgement."""
_TRIES = 2
"""A photo whose reader died, for whatever reason, is read once more. Judgement."""


class Answer(NamedTuple):
    """What a reader tells of a photo.

    ``panel`` is the panel as JSON, or else ``error`` says why there is none; ``seconds`` are those of the
    stages "wait", "decode", "recognise" and "understand".
    """

    panel: dict[str, Any] | None
    error: ShelfcheckError | None
    seconds: Mapping[str, float]


class Pool:
    """Readers in processes of their own, started at the first use.

    Args:
        readers: how many photos are read at the same time.
        waiting: how many may wait for a reader.
        wait_seconds: how long they may.
        work: what one photo may take.
    """

    def __init__(self, readers: int, waiting: int, wait_seconds: float, work: Work) -> None:
        self._size, self._most, self._wait, self._work = readers, waiting, wait_seconds, work
        self._changed = threading.Condition()
        self._all: list[Reader] = []
        self._idle: list[Reader] = []
        self._waiting = 0
        self._folder: Folder | None = None

    def start(self) -> None:
        """Start every reader that does not run; each gets ready by itself.

        Raises:
            OSError: when their folder or their processes cannot be made.
        """
        with self._changed:
            if self._folder is None:
                self._folder = Folder()
                self._all = [
                    Reader(self._folder.place(str(number)), self._work) for number in range(self._size)
                ]
                self._idle = list(self._all)
                atexit.register(self.close)
            for reader in self._idle:
                reader.start()

    def read(self, photo: bytes, lang: str, left: Callable[[], bool] = lambda: False) -> Answer:
        """Return what a reader tells of a photo.

        Args:
            photo: its bytes, as they came.
            lang: the language of the sentences.
            left: tells whether nobody waits for the answer any more.

        Raises:
            BusyError: when as many photos as may wait do so already, or no reader was free in time.
            ClientLeftError: when nobody waits any more.
            ReaderFailedError: when a reader takes too long, cannot be started, or ends again and again.
        """
        began = time.monotonic()
        reader = self._take(lang, left)
        waited = time.monotonic() - began
        failed = True
        try:
            told = _asked(reader, photo, lang, left)
            error = _revived(told["error"]) if "error" in told else None
            failed = isinstance(error, ReaderFailedError)
        finally:
            self._done_with(reader, failed=failed)
        return Answer(told.get("panel"), error, {"wait": waited, **told["seconds"]})

    def ready(self) -> bool:
        """Tell whether a photo would be taken at once or soon; dead readers are started again."""
        try:
            self.start()
        except OSError:
            return False
        with self._changed:
            return len(self._idle) < len(self._all) or any(reader.ready for reader in self._idle)

    def state(self) -> dict[str, int]:
        """Return how many readers run, how many are busy, the photos that wait, and the restarts so far."""
        with self._changed:
            return {
                "readers": sum(reader.alive for reader in self._all),
                "busy": len(self._all) - len(self._idle),
                "waiting": self._waiting,
                "restarts": sum(max(0, reader.starts - 1) for reader in self._all),
            }

    def close(self) -> None:
        """End every reader and delete their folder; the next photo starts them again."""
        with self._changed:
            for reader in self._all:
                reader.stop()
            if self._folder is not None:
                self._folder.close()
            self._folder, self._all, self._idle = None, [], []

    def _take(self, lang: str, left: Callable[[], bool]) -> Reader:
        """Return a reader that is free for this photo alone."""
        until = time.monotonic() + self._wait
        if self._folder is None:
            try:
                self.start()
            except OSError as fault:
                raise ReaderFailedError(say("error.reader_failed", lang)) from fault
        with self._changed:
            if not self._idle and self._waiting >= self._most:
                raise BusyError(say("error.busy", lang))
            self._waiting += 1
            try:
                while not self._idle:
                    rest = until - time.monotonic()
                    if left():
                        raise ClientLeftError(say("error.client_left", lang))
                    if rest <= 0:
                        raise BusyError(say("error.busy", lang))
                    self._changed.wait(min(rest, _LOOK_SECONDS))
                return self._idle.pop()
            finally:
                self._waiting -= 1

    def _done_with(self, reader: Reader, *, failed: bool) -> None:
        """Let others have a reader; one that failed is replaced, with all that it started."""
        with suppress(OSError):  # it is started again when it is asked
            if failed or reader.photos >= _PHOTOS_EACH or reader.swollen:
                reader.stop()
            reader.start()  # so that the next photo need not wait for that
        with self._changed:
            if reader in self._all:
                self._idle.append(reader)
                self._changed.notify()


def make_pool(settings: Mapping[str, Any]) -> Pool:
    """Return the pool that the settings describe; no process is started yet."""
    work = Work(
        float(settings["read_seconds"]), int(settings["max_photo_pixels"]), int(settings["max_read_bytes"])
    )
    return Pool(
        int(settings["reads"]), int(settings["reads_waiting"]), float(settings["read_wait_seconds"]), work
    )


def _asked(reader: Reader, photo: bytes, lang: str, left: Callable[[], bool]) -> dict[str, Any]:
    for _ in range(_TRIES):
        try:
            return reader.ask(photo, lang, left)
        except (ReaderDiedError, OSError):
            continue
    raise ReaderFailedError(say("error.reader_failed", lang))


def _revived(told: Mapping[str, Any]) -> ShelfcheckError:
    """Return the error that a reader told of; one of a kind not known here is a failure of the reader."""
    return _ERRORS.get(told["code"], ReaderFailedError)(told["message"], told["fields"])
