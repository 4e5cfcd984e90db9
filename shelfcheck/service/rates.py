"""How often one address may do what strangers can do: a bucket of tokens for each, in this process alone.

A token comes back as time goes by, and never more than the bucket holds. A whole class can stand behind one
address, so nothing that a class does at once is counted here.
"""

from __future__ import annotations

import math
import threading
import time
from collections import OrderedDict
from collections.abc import Callable

MINUTE = 60
_ADDRESSES = 10_000
"""Buckets that are remembered at the same time; the one longest unused is forgotten first. Judgement."""


class Rate:
    """Lets each address do something ``most`` times in ``seconds``.

    Args:
        most: how many times.
        seconds: in how long.
        steady: tells seconds that no change of the clock touches.
    """

    def __init__(self, most: int, seconds: float, steady: Callable[[], float] = time.monotonic) -> None:
        self._most, self._each, self._steady = most, seconds / most, steady
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._taking = threading.Lock()

    def take(self, address: str) -> int:
        """Take a token of the address; return 0, or after how many seconds there will be one."""
        with self._taking:
            now = self._steady()
            left, at = self._buckets.pop(address, (float(self._most), now))
            left = min(float(self._most), left + (now - at) / self._each)
            lacking = 1 - left
            self._buckets[address] = (left if lacking > 0 else left - 1, now)
            if len(self._buckets) > _ADDRESSES:
                self._buckets.popitem(last=False)
        return max(1, math.ceil(lacking * self._each)) if lacking > 0 else 0
