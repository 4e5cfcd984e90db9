"""How many may be at the database at once: one that does not answer must not hold up all else."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

_MOST = 3
"""Sessions at the same time; those who read and those who write have a door each, and the service answers
some fifteen requests at a time by default. Judgement."""
_PATIENCE = 1.0
"""Seconds after which who is inside counts as stuck; a session takes milliseconds. Judgement."""
_TRY_SECONDS = 3.0
"""So often one more may try although those inside are stuck: perhaps they alone are. Judgement."""


class ShutError(Exception):
    """Those inside are stuck; whoever comes should come again later."""


class Door:
    """Lets few in at a time. Others wait for their turn, but not where those inside are stuck.

    Args:
        most: how many may be inside; with those who try, twice as many.
        patience: seconds after which who is inside counts as stuck.
        try_seconds: how often one more may try then.
    """

    def __init__(
        self, most: int = _MOST, patience: float = _PATIENCE, try_seconds: float = _TRY_SECONDS
    ) -> None:
        self._most, self._patience, self._each = most, patience, try_seconds
        self._changed = threading.Condition()
        self._inside: list[float] = []
        self._entered_at = 0.0
        self._failing = False

    @contextmanager
    def entered(self) -> Iterator[None]:
        """Be inside.

        Raises:
            ShutError: when there is no room, and none to be hoped for.
        """
        began = self._enter()
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

    def _enter(self) -> float:
        with self._changed:
            while len(self._inside) >= self._most:
                now = time.monotonic()
                left = self._inside[0] + self._patience - now
                if self._failing or left <= 0:
                    if now - self._entered_at < self._each or len(self._inside) >= 2 * self._most:
                        raise ShutError
                    break
                self._changed.wait(left)
            self._entered_at = time.monotonic()
            self._inside.append(self._entered_at)
            return self._entered_at
