"""The time as tours are kept by it: a clock that jumps, back or ahead, deletes nothing before its day.

Beside the clock goes a steady count of seconds, which nobody can set. A jump ahead is believed once it has
stood for a day; and what this service itself changed stays for its days by the steady count, whatever the
clock says.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

DAY = 24 * 60 * 60
_DRIFT = 60.0
"""How far the clock may be set ahead at once without being doubted, in seconds. Judgement."""


class Calendar:
    """A clock and a steady count side by side.

    Args:
        clock: tells the time in seconds since 1970.
        steady: tells seconds that no change of the clock touches.
        days: how long a tour is kept after its last change.
    """

    def __init__(self, clock: Callable[[], float], steady: Callable[[], float], days: int) -> None:
        self._clock, self._steady = clock, steady
        self._kept = days * DAY
        self._apart = clock() - steady()
        self._ahead_since: float | None = None
        self._changed: dict[int, float] = {}
        self._noting = threading.Lock()

    @property
    def now(self) -> int:
        """The time in whole seconds since 1970, as the clock tells it."""
        return int(self._clock())

    def outdated(self) -> int:
        """Return the time of last change before which a tour may be deleted."""
        with self._noting:
            steady = self._steady()
            apart = self._clock() - steady
            if apart <= self._apart + _DRIFT:
                self._apart, self._ahead_since = apart, None
            elif self._ahead_since is None:
                self._ahead_since = steady
            elif steady - self._ahead_since >= DAY:
                self._apart, self._ahead_since = apart, None
            self._changed = {tour: at for tour, at in self._changed.items() if steady - at <= self._kept}
            return int(steady + self._apart) - self._kept

    def note(self, tour: int) -> None:
        """Take note that this service changed a tour just now."""
        with self._noting:
            self._changed[tour] = self._steady()

    def is_fresh(self, tour: int) -> bool:
        """Tell whether this service changed the tour so lately that it stays, whatever the clock says."""
        with self._noting:
            changed = self._changed.get(tour)
            return changed is not None and self._steady() - changed <= self._kept
