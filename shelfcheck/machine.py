"""What a machine has: memory, ports and who holds them. Read from the system, standard library only."""

from __future__ import annotations

import json
import socket
import urllib.request
from pathlib import Path

_SECONDS = 5.0
"""Longest wait for who answers at a port. Judgement."""
_MEMORY = Path("/proc/meminfo")
_GROUP = Path("/sys/fs/cgroup")


def take_port(host: str, port: int) -> None:
    """Take a port and let go of it.

    Raises:
        OSError, OverflowError: when there is no such host or port, or it is taken.
    """
    family, kind, number, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    with socket.socket(family, kind, number) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind(address)


def free_memory() -> int | None:
    """Return the bytes of memory that may still be taken; None where the system does not tell."""
    told = (_free_of_machine(), _free_of_group())
    return min((free for free in told if free is not None), default=None)


def version_at(host: str, port: int) -> str | None:
    """Return the version of the Shelfcheck that answers there."""
    shown = {"0.0.0.0": "127.0.0.1", "::": "[::1]"}.get(host, f"[{host}]" if ":" in host else host)  # noqa: S104
    try:
        with urllib.request.urlopen(f"http://{shown}:{port}/api/health", timeout=_SECONDS) as answer:
            return str(json.load(answer)["version"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _free_of_machine() -> int | None:
    try:
        lines = _MEMORY.read_text(encoding="ascii").splitlines()
    except OSError:
        return None
    return next((int(line.split()[1]) * 1024 for line in lines if line.startswith("MemAvailable:")), None)


def _free_of_group() -> int | None:
    """Return what is left of the memory that a container may take."""
    try:
        most, taken = (int((_GROUP / name).read_text()) for name in ("memory.max", "memory.current"))
    except (OSError, ValueError):  # no such group, or without a limit
        return None
    return most - taken


def megabytes(count: int) -> str:
    """Return bytes as people read them."""
    return f"{count // (1024 * 1024):,} MB"
