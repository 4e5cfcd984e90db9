"""Who may be at the database: a few at a time, and nobody waits behind those who are stuck."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress

import pytest

from shelfcheck.tours.door import Door, ShutError


@contextmanager
def occupied(door: Door, guests: int) -> Iterator[threading.Event]:
    """Have so many inside until the event is set."""
    leave, entered = threading.Event(), threading.Semaphore(0)

    def stay() -> None:
        with door.entered():
            entered.release()
            leave.wait(10)

    threads = [threading.Thread(target=stay) for _ in range(guests)]
    for thread in threads:
        thread.start()
    for _ in threads:
        entered.acquire()
    yield leave
    leave.set()
    for thread in threads:
        thread.join()


def test_who_finds_no_room_waits_for_the_next_who_leaves() -> None:
    door = Door(most=2, patience=10)
    with occupied(door, 2) as leave:
        began = time.monotonic()
        threading.Timer(0.2, leave.set).start()
        with door.entered():
            assert 0.2 <= time.monotonic() - began < 9


def test_behind_those_who_are_stuck_nobody_waits_longer_than_they_were_given() -> None:
    door = Door(most=2, patience=2, try_seconds=100)
    with occupied(door, 2):
        shut_out(door)
        began = time.monotonic()
        shut_out(door)
        assert time.monotonic() - began < 1, "they are known to be stuck"


def test_now_and_then_one_may_try_although_the_others_are_stuck_but_not_without_end() -> None:
    door = Door(most=1, patience=0.1, try_seconds=0.3)
    with occupied(door, 1):
        shut_out(door)
        time.sleep(0.4)
        with occupied(door, 1):
            time.sleep(0.4)
            shut_out(door)


def test_after_a_failure_nobody_waits_until_somebody_has_done_better() -> None:
    door = Door(most=1, patience=10)
    with suppress(ZeroDivisionError), door.entered():
        door.tell_failure()
        raise ZeroDivisionError
    with occupied(door, 1):
        shut_out(door)

    with occupied(door, 1) as leave:  # the one before came out well
        threading.Timer(0.1, leave.set).start()
        with door.entered():
            pass


def shut_out(door: Door) -> None:
    with pytest.raises(ShutError), door.entered():
        pass
