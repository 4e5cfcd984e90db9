"""Phones that send to a service without end while something is done to it, and how they were answered."""

from __future__ import annotations

import contextlib
import http.client
import threading
import time
import uuid
from collections import Counter
from collections.abc import Callable, Iterator

from tests.bench.flood import send
from tests.bench.tour_service import Service, Tour
from tests.making import SAMPLES, typed_portion
from tests.processes import runs, tree

PHOTO = (SAMPLES / "fda_sample.png").read_bytes()
QUERY = typed_portion()
WELL = {"photo 200", "typed 200", "guess 200"}
_PACE, _AGAIN, _LONGEST = 0.02, 0.05, 60.0


def photo(service: Service) -> str:
    """Send a photo; return how that was answered, such as "photo 503 60": status and Retry-After."""
    status, wait = send(service.port, "/api/panels/read", PHOTO, "image/png")
    return f"photo {status} {wait}".strip()


def typed(service: Service) -> str:
    """Send a typed label."""
    status, wait = send(service.port, "/api/portions", QUERY, "application/json")
    return f"typed {status} {wait}".strip()


def joined(service: Service) -> Tour:
    """Return a new tour whose first food is open."""
    tour = Tour(service)
    tour.state(tour.stops[0], "open")
    return tour


def guess(tour: Tour, phone: str = "") -> str:
    """Say an amount as a phone of the group."""
    return f"guess {tour.guess(phone or str(uuid.uuid4()), tour.stops[0], 2)}"


def until_well(way: Callable[[], str]) -> str:
    """Send again and again, as a phone does, until it is answered well; return that answer, or the last."""
    deadline, answer = time.monotonic() + _LONGEST, ""
    while answer not in WELL and time.monotonic() < deadline:
        with contextlib.suppress(OSError, http.client.HTTPException, ValueError):
            answer = way()
        time.sleep(_AGAIN)
    return answer


@contextlib.contextmanager
def sending(*ways: Callable[[], str]) -> Iterator[Counter[str]]:
    """Have a phone for each way send meanwhile; yield how they were answered so far."""
    answers: Counter[str] = Counter()
    ended = threading.Event()

    def go(way: Callable[[], str]) -> None:
        while not ended.wait(_PACE):
            try:
                answers[way()] += 1
            except Exception as broken:  # noqa: BLE001 - counted, and seen by the test
                answers[type(broken).__name__] += 1

    threads = [threading.Thread(target=go, args=(way,)) for way in ways]
    for thread in threads:
        thread.start()
    try:
        yield answers
    finally:
        ended.set()
        for thread in threads:
            thread.join()


def readers(service_process: int) -> list[int]:
    """Return the processes of a service's readers that run."""
    return [one for one in tree(service_process)[1:] if runs(one)]
