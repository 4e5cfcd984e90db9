"""Two services behind the shipped nginx, one killed every few seconds: ``python -m tests.bench.replicas``.

For a minute people type labels and phones answer in a tour, while one service after the other is killed
(kill -9) and started again. Printed: requests and failures, answers lost and doubled, how long they took.
``tests/deploy/test_replicas.py`` runs a short form.
"""

from __future__ import annotations

import http.client
import os
import random
import statistics
import sys
import threading
import time
import uuid
from collections import Counter
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

from tests.bench.tour_service import Door, Replicas, Tour, databases
from tests.making import sample

_QUERY = {"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}}
_SECONDS, _APART, _GONE = 60.0, 4.0, 1.0
_TYPISTS, _PHONES = 4, 20
_PAUSE = 0.05
_IN_FISTS = (0, 1, 4)
"""The foods of the sample tour that are said in fists."""


class Load:
    """What typists and phones send, and what came of it."""

    def __init__(self, door: Door) -> None:
        self.tour, self.door = Tour(door), door
        for stop in self.tour.stops:
            self.tour.state(stop, "open")
        self.typed: list[float] = []
        self.answers: list[float] = []
        self.failed: Counter[str] = Counter()
        self.acknowledged: dict[tuple[str, int], float] = {}
        self._over = threading.Event()

    def run(self, typists: int, phones: int, meanwhile: Callable[[], None]) -> None:
        """Let all of them send until ``meanwhile`` has returned."""
        threads = [threading.Thread(target=self._type) for _ in range(typists)]
        threads += [threading.Thread(target=self._answer, args=(number,)) for number in range(phones)]
        for thread in threads:
            thread.start()
        try:
            meanwhile()
        finally:
            self._over.set()
            for thread in threads:
                thread.join()

    def _type(self) -> None:
        while not self._over.is_set():
            self._timed(self.typed, "typed", lambda: self.door.ask("POST", "/api/portions", _QUERY)[0])
            time.sleep(_PAUSE)

    def _answer(self, number: int) -> None:
        rng, phone = random.Random(number), str(uuid.uuid4())
        while not self._over.is_set():
            stop, count = self.tour.stops[rng.choice(_IN_FISTS)], rng.randint(1, 40) / 4
            self.acknowledged.pop((phone, stop), None)  # until this one is, either may be there
            if self._timed(self.answers, "answer", partial(self.tour.guess, phone, stop, count)):
                self.acknowledged[phone, stop] = count
            time.sleep(rng.uniform(0, 4 * _PAUSE))

    def _timed(self, times: list[float], kind: str, ask: Callable[[], int]) -> bool:
        begun = time.perf_counter()
        try:
            status: Any = ask()
        except (OSError, http.client.HTTPException, ValueError) as error:
            status = type(error).__name__
        times.append(time.perf_counter() - begun)
        if status != http.HTTPStatus.OK:
            self.failed[f"{kind} {status}"] += 1
        return bool(status == http.HTTPStatus.OK)


class Deaths(NamedTuple):
    """How often a service is killed: so many seconds apart, each gone for so long, for so long in all."""

    apart: float
    gone: float
    seconds: float

    def __call__(self, replicas: Replicas) -> int:
        """Kill one after the other and start it again; return how many died."""
        until, count = time.monotonic() + self.seconds, 0
        while time.monotonic() + self.apart <= until:
            time.sleep(self.apart - self.gone)
            dead = replicas.services[count % 2]
            dead.kill()
            time.sleep(self.gone)
            dead.start()
            count += 1
        return count


def _times(seconds: list[float]) -> str:
    cuts = statistics.quantiles(seconds, n=100)
    p50, p99 = (round(cuts[place] * 1000) for place in (49, 98))
    return f"{len(seconds)}, p50 {p50} ms, p99 {p99} ms, at most {max(seconds) * 1000:.0f} ms"


def main() -> int:
    """Print what came of it; return 1 when anything was lost, doubled or failed."""
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    deaths, dead = Deaths(_APART, _GONE, _SECONDS), [0]
    with databases() as urls:
        replicas = Replicas(urls["PostgreSQL"], ("--reads", "1"))
        try:
            load = Load(replicas)
            load.run(_TYPISTS, _PHONES, lambda: dead.append(deaths(replicas)))
            lost, doubled = load.tour.kept(load.acknowledged)
        finally:
            replicas.kill()
    sys.stdout.write(
        f"{dead[-1]} services killed in {_SECONDS:.0f} s\n"
        f"typed entries: {_times(load.typed)}\n"
        f"answers of phones: {_times(load.answers)}; lost {lost}, doubled {doubled}\n"
        f"failed: {dict(load.failed) or 'none'}\n"
    )
    return 1 if lost or doubled or load.failed else 0


if __name__ == "__main__":
    sys.exit(main())
