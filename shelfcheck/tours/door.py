"""How many may be at the database at once: one that does not answer must not hold up all else."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

_MOST = 5
"""Sessions at the same time; the service answers at least eight requests at a time by default. Judgement."""
_PATIENCE = 1.0
"""Seconds after which who is inside counts as stuck; a session takes milliseconds. Judgement."""


class ShutError(Exception):
    """Those inside are stuck; whoever comes should come again later."""


class Door:
    """Lets few in at a time. Others wait for their turn, but not where those inside are stuck.

    Args:
        most: how many may be inside.
        patience: seconds after which who is inside counts as stuck.
    """

    def __init__(self, most: int = _MOST, patience: float = _PATIENCE) -> None:
        self._most, self._patience = most, patience
        self._changed = threading.Condition()
        self._inside: list[float] = []
        self._failing = False

    @contextmanager
    def entered(self) -> Iterator[None]:
        """Be inside.

        Raises:
            ShutError: when there is no room, and none to be hoped for.
        """
        with self._changed:
            while len(self._inside) >= self._most:
                left = self._inside[0] + self._patience - time.monotonic()
                if self._failing or left <= 0:
                    raise ShutError
                self._changed.wait(left)
            began = time.monotonic()
            self._inside.append(began)
        done = False
        try:
            yield
            done = True
        finally:
            with self._changed:
                self._failing = self._failing and not done
                self._inside.remove(began)
                self._changed.notify()

    def tell_failure(self) -> None:
        """Tell that who was inside came out with nothing; until somebody does better, nobody waits."""
        with self._changed:
            self._failing = True
            self._changed.notify_all()
