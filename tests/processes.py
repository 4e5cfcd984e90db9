"""Processes as the system tells of them: whose they are, whether they run, how much memory they take."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from pathlib import Path


def children(process: int) -> list[int]:
    """Return the processes that a process started, in whichever thread."""
    found: list[int] = []
    for thread in Path(f"/proc/{process}/task").glob("*/children"):
        with contextlib.suppress(OSError):
            found += map(int, thread.read_text().split())
    return found


def tree(process: int) -> list[int]:
    """Return a process and all that it started and that they started."""
    found = [process]
    for one in found:
        found += children(one)
    return found


def runs(process: int) -> bool:
    """Tell whether a process runs; one that is dead and not waited for does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(") ")[2][0] != "Z"
    except OSError:
        return False


def memory(*processes: int) -> float:
    """Return the memory in MB of processes, pages that several share counted once; none of one that ended."""
    found = 0.0
    for one in processes:
        with contextlib.suppress(OSError):
            told = Path(f"/proc/{one}/smaps_rollup").read_text().splitlines()
            found += next(int(line.split()[1]) for line in told if line.startswith("Pss:")) / 1024
    return found


def until(what: Callable[[], bool], seconds: float = 20) -> None:
    """Wait for something to come true."""
    deadline = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < deadline
        time.sleep(0.02)
