"""One reader from outside: a process and the processes it starts, asked one photo at a time."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, NamedTuple

import shelfcheck
from shelfcheck.errors import ClientLeftError, ReaderFailedError
from shelfcheck.readers.folder import empty
from shelfcheck.words import say

_HANDED_ON = ("PATH", "LANG", "LC_ALL", "LD_LIBRARY_PATH", "PYTHONHOME", "TESSDATA_PREFIX")
"""All that a reader gets of the service's environment, which may hold the password of a database."""
_THRIFTY = {
    "OMP_THREAD_LIMIT": "1",  # Tesseracts side by side wait for each other's threads (tesseract issue 3109)
    "OPENBLAS_NUM_THREADS": "1",
    "MALLOC_ARENA_MAX": "1",
    "MALLOC_MMAP_THRESHOLD_": str(16 * 1024 * 1024),  # large pieces go back to the system when let go;
    "GLIBC_TUNABLES": "glibc.malloc.hugetlb=1",  # with large pages that costs no time. Measured.
}
_START_SECONDS = 30.0
"""Longest time that a reader may take to get ready. Judgement."""
_LOOK_SECONDS = 0.25
_GRACE_SECONDS = 2.0
"""A read whose client left may end within this time; longer ones are broken off. Judgement."""
_LONGEST_ANSWER = 1024 * 1024


class Work(NamedTuple):
    """What one photo may take: seconds, pixels, bytes of memory."""

    seconds: float
    pixels: int
    bytes: int


class ReaderDiedError(Exception):
    """The process ended while it read; not because it took too long."""


class Reader:
    """A process that reads photos, started when it is needed and again after it ended.

    Args:
        place: the folder in which it may write.
        work: its limits.
    """

    def __init__(self, place: Path, work: Work) -> None:
        self.photos = 0
        self.swollen = False
        self.starts = 0
        self._place, self._work = place, work
        self._process: subprocess.Popen[bytes] | None = None
        self._connection: Connection | None = None
        self._greeted = False
        self._late = False
        self._ending = threading.Lock()

    @property
    def alive(self) -> bool:
        """Whether its process runs."""
        with self._ending:
            return self._process is not None and self._runs(self._process.pid)

    @property
    def ready(self) -> bool:
        """Whether it can take a photo at once."""
        connection = self._connection
        if not self._greeted and connection is not None and self.alive:
            with contextlib.suppress(OSError, EOFError):
                self._greeted = connection.poll(0) and bool(connection.recv_bytes(_LONGEST_ANSWER))
        return self._greeted and self.alive

    def start(self) -> None:
        """Start the process unless it runs; it gets ready by itself."""
        if self.alive:
            return
        self.stop()
        ours, theirs = Pipe()
        try:
            self._process = subprocess.Popen(
                [
                    *(sys.executable, "-P", "-m", "shelfcheck.readers.child"),
                    *(str(theirs.fileno()), str(self._place), json.dumps(self._work._asdict())),
                ],
                pass_fds=[theirs.fileno()],
                cwd=self._place,
                env=_environment(self._place),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                start_new_session=True,  # its own process group, to be ended whole
            )
        finally:
            theirs.close()
        self._connection, self._greeted, self._late = ours, False, False
        self.photos, self.swollen, self.starts = 0, False, self.starts + 1

    def ask(self, photo: bytes, lang: str, left: Callable[[], bool]) -> dict[str, Any]:
        """Return what the process answers about a photo (``child.answer_to``).

        Args:
            photo: the bytes as they came.
            lang: the language of its sentences.
            left: tells whether nobody waits for the answer any more.

        Raises:
            ReaderFailedError: when it takes longer than its limit; the process and all it started are ended.
            ReaderDiedError: when the process ended.
            ClientLeftError: when nobody waits any more.
        """
        self.start()
        seconds = self._work.seconds + (0 if self._greeted else _START_SECONDS)
        with self._within(seconds):
            try:
                return self._exchange(photo, lang, left)
            except (OSError, EOFError, ValueError) as broken:
                if self.stop() == -signal.SIGXCPU or self._late:
                    raise ReaderFailedError(say("error.reader_failed", lang)) from broken
                raise ReaderDiedError from broken

    def stop(self) -> int | None:
        """End the process and every process it started, empty its folder; return the process's status."""
        status = None
        with self._ending:
            if self._process is not None:
                self._end_group()
                status = self._process.wait()
                self._process = None
        if self._connection is not None:
            self._connection.close()
            self._connection = None
        empty(self._place)
        return status

    def _exchange(self, photo: bytes, lang: str, left: Callable[[], bool]) -> dict[str, Any]:
        connection = self._connection
        if connection is None:
            raise EOFError
        if not self._greeted:
            connection.recv_bytes(_LONGEST_ANSWER)
            self._greeted = True
        connection.send_bytes(lang.encode())
        connection.send_bytes(photo)
        gone_at: float | None = None
        while not connection.poll(_LOOK_SECONDS):
            now = time.monotonic()
            gone_at = (gone_at or now) if left() else None
            if gone_at is not None and now - gone_at >= _GRACE_SECONDS:
                self.stop()
                raise ClientLeftError(say("error.client_left", lang))
        answer: dict[str, Any] = json.loads(connection.recv_bytes(_LONGEST_ANSWER))
        self.photos += 1
        self.swollen = bool(answer.pop("swollen", False))
        return answer

    @contextmanager
    def _within(self, seconds: float) -> Iterator[None]:
        """End the process group when what is done takes longer; whatever it waits for then breaks off."""
        watch = threading.Timer(seconds, self._end_late)
        watch.daemon = True
        watch.start()
        try:
            yield
        finally:
            watch.cancel()

    @staticmethod
    def _runs(process: int) -> bool:
        """Tell whether a child of ours runs, and leave it to be waited for."""
        try:
            return os.waitid(os.P_PID, process, os.WEXITED | os.WNOWAIT | os.WNOHANG) is None
        except ChildProcessError:
            return False

    def _end_late(self) -> None:
        with self._ending:
            self._late = True
            self._end_group()

    def _end_group(self) -> None:
        # Until its leader is waited for, the number of the group is nobody else's.
        if self._process is not None:
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.killpg(self._process.pid, signal.SIGKILL)


def _environment(place: Path) -> Mapping[str, str]:
    package = str(Path(shelfcheck.__file__).parent.parent)
    kept = {name: os.environ[name] for name in _HANDED_ON if name in os.environ}
    return kept | _THRIFTY | {"TMPDIR": str(place), "HOME": str(place), "PYTHONPATH": package}
