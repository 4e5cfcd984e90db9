"""What the system lets a reader take, and how it ends with the service that started it."""

from __future__ import annotations

import ctypes
import os
import resource
import select
import signal
import threading
from pathlib import Path

from shelfcheck.readers.folder import empty

_NICENESS = 10
"""Readers step back for whoever typed a label and waits for its numbers. Judgement."""
_LARGEST_FILE = 128 * 1024 * 1024
"""Tesseract is handed a picture of at most 40 million pixels as a file. Judgement."""
_MMAP_THRESHOLD, _LARGE_PIECE = -3, 1024 * 1024
"""The name of the option in ``malloc.h``, and its value. Judgement."""
_CORES = 2
"""Processors that one photo keeps busy at the same time, at most."""


def begin() -> None:
    """Step back behind the service; leave no dump of memory, and no large file, whatever happens."""
    os.nice(_NICENESS)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (_LARGEST_FILE, _LARGEST_FILE))


def bound_memory(more: int) -> int:
    """Let this process take ``more`` bytes beyond what it has by now, and the programs it starts no more.

    Return what it has.
    """
    taken = _taken()
    resource.setrlimit(resource.RLIMIT_AS, (taken + more, taken + more))
    return taken


def has_swollen(most: int) -> bool:
    """Tell whether this process has more than ``most`` bytes even after it gave back what it does not use."""
    if _taken() <= most:
        return False
    give_back()
    return _taken() > most


def hand_large_pieces_back() -> None:
    """Let large pieces of memory go back to the system as soon as they are let go, from now on.

    Without it the service keeps 240 MB more after many large photos. Measured.
    """
    option = getattr(ctypes.CDLL(None), "mallopt", None)  # the C library of glibc alone heeds it
    if option is not None:
        option(_MMAP_THRESHOLD, _LARGE_PIECE)


def _taken() -> int:
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()


def bound_seconds(seconds: float) -> None:
    """Let this process work for so long from now; the system ends one that nobody else ends."""
    used = sum(os.times()[:2])
    hard = resource.getrlimit(resource.RLIMIT_CPU)[1]
    resource.setrlimit(resource.RLIMIT_CPU, (int(used + seconds * _CORES) + 1, hard))


def end_with(connection: int, place: Path) -> None:
    """Empty ``place`` and end the whole process group once the other end of ``connection`` is closed.

    That is when the service has ended, in whatever way: the system closes its end for it.
    """
    threading.Thread(target=_watch, args=(connection, place), daemon=True).start()


def give_back() -> None:
    """Hand memory that is not in use back to the system."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # the C library of glibc alone has it
    if trim is not None:
        trim(0)


def _watch(connection: int, place: Path) -> None:
    other_end = select.poll()
    other_end.register(connection, select.POLLHUP | select.POLLRDHUP)
    other_end.poll()
    empty(place)
    os.killpg(0, signal.SIGKILL)
