"""A tour of many phones on a real service: ``python -m tests.bench.tours [--kill | --replicas | --events]``.

200 phones ask for the tour every 2 seconds and all answer within 10, while the educator's screen shows how
many did; then she reveals. Printed for each database: answers lost and doubled, requests failed, and how long
they took. ``--replicas`` puts two services on one PostgreSQL behind nginx. ``--events`` holds asking
with the version against server-sent events. With ``--kill`` the service is killed 20 times (kill -9) during
a tour of 50 phones, which send each answer until it is acknowledged; every acknowledged answer must be there
afterwards.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import os
import random
import statistics
import sys
import threading
import time
import uuid
from collections.abc import Callable
from functools import partial
from typing import Any

from tests.bench import events
from tests.bench.tour_service import Door, Replicas, Service, Tour, databases

_PHONES, _POLL_SECONDS, _ANSWER_SECONDS = 200, 2.0, 10.0
_KILL_PHONES, _KILLS = 50, 20
_KILLED_FOR = 1.5
_NEWS_SECONDS = 15.0
"""How long a watcher waits for the reveal."""


class Class:
    """What phones and the educator's screen do at one stop, and what came of it."""

    def __init__(self, service: Door) -> None:
        self.service, self.tour = service, Tour(service)
        self.stop = self.tour.stops[0]
        self.tour.state(self.stop, "open")
        self.polls: list[float] = []
        self.answers: list[float] = []
        self.live: list[float] = []
        self.news: list[float] = []
        self.failed: list[str] = []
        self.revealed_at = 0.0

    def run(self, watch: Callable[[int, float], None]) -> None:
        """Let all phones answer and ``watch``, and the educator look on and reveal."""
        self.start = time.monotonic() + 1
        threads = [threading.Thread(target=self.answer, args=(number,)) for number in range(_PHONES)]
        threads += [threading.Thread(target=watch, args=(number, self.start)) for number in range(_PHONES)]
        threads.append(threading.Thread(target=self.lead))
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    def answer(self, number: int) -> None:
        time.sleep(self.start - time.monotonic() + random.Random(number).uniform(0, _ANSWER_SECONDS))
        phone = str(uuid.uuid4())
        self.timed(self.answers, lambda: (self.tour.guess(phone, self.stop, 0.25 * (1 + number)), None, ""))

    def poll(self, number: int, start: float) -> None:
        """Ask every 2 seconds with the version that the phone has, until the reveal is seen."""
        asked, tag, seen = start + random.Random(-number).uniform(0, _POLL_SECONDS), "", False
        while not seen and asked < start + _ANSWER_SECONDS + _NEWS_SECONDS:
            time.sleep(max(0.0, asked - time.monotonic()))
            found = self.timed(self.polls, partial(self.tour.see, tag))
            if found is not None:
                tag = found[2] or tag
                seen = found[0] == 200 and found[1]["stops"][0]["state"] == "revealed"
            asked += _POLL_SECONDS
        if seen:
            self.news.append(time.monotonic() - self.revealed_at)

    def stream(self, _number: int, start: float) -> None:
        """Hold a stream of server-sent events until the reveal is seen."""
        if events.watch(self.tour, start + _ANSWER_SECONDS + _NEWS_SECONDS):
            self.news.append(time.monotonic() - self.revealed_at)
        else:
            self.failed.append("stream")

    def lead(self) -> None:
        """Look on as the educator's screen does, and reveal."""
        asked, tag = self.start, ""
        while asked < self.start + _ANSWER_SECONDS + _POLL_SECONDS:
            time.sleep(max(0.0, asked - time.monotonic()))
            found = self.timed(self.live, partial(self.tour.live, tag))
            tag = found[2] if found else tag
            asked += _POLL_SECONDS
        self.revealed_at = time.monotonic()
        self.tour.state(self.stop, "revealed")

    def timed(
        self, times: list[float], ask: Callable[[], tuple[int, Any, str]]
    ) -> tuple[int, Any, str] | None:
        begun = time.perf_counter()
        try:
            found = ask()
        except (OSError, http.client.HTTPException) as error:
            self.failed.append(type(error).__name__)
            return None
        times.append(time.perf_counter() - begun)
        if found[0] not in (200, 304):
            self.failed.append(str(found[0]))
        return found

    def kept(self) -> str:
        """Return how many answers were lost, doubled, and how many requests failed."""
        group = self.tour.now()["stops"][0]["group"]
        got = group["amounts"][0]["values"] if group["amounts"] else []
        wanted = [round(0.25 * (1 + number), 2) for number in range(_PHONES)]
        lost, doubled = len(set(wanted) - set(got)), len(got) - len(set(got))
        return f"lost {lost}, doubled {doubled}, failed {len(self.failed)}"


def class_of_phones(url: str, kind: type[Service | Replicas] = Service) -> str:
    """Run a class of phones and return what came of it, in one line."""
    service = kind(url)
    try:
        done = Class(service)
        done.run(done.poll)
        return (
            f"{_PHONES} phones: {done.kept()}; {len(done.answers)} answers {_times(done.answers)}; "
            f"{len(done.polls)} polls {_times(done.polls)}; "
            f"live view at most {max(done.live) * 1000:.0f} ms; reveal seen {_times(done.news)}"
        )
    finally:
        service.kill()


def watched(url: str, threads: int, *, stream: bool) -> str:
    """Run a class that watches by streams or by asking, on the same server with so many threads."""
    service = Service(url, "-m", "tests.bench.events", "{port}", url, str(threads))
    try:
        done = Class(service)
        used = service.burden()[0]
        done.run(done.stream if stream else done.poll)
        seconds, memory = service.burden()
        return (
            f"{_PHONES} watchers, {threads} threads: {done.kept()}; answers {_times(done.answers)}; "
            f"{len(done.news)} saw the reveal {_times(done.news)}; "
            f"processor {seconds - used:.1f} s, memory {memory:.0f} MB"
        )
    finally:
        service.kill()


def killed(url: str) -> str:
    """Kill the service again and again during a tour and return what came of it, in one line."""
    service = Service(url)
    try:
        tour = Tour(service)
        for stop in tour.stops:
            tour.state(stop, "open")
        kept: dict[tuple[str, int], float] = {}
        over = threading.Event()

        def walk(number: int) -> None:
            rng, phone = random.Random(number), str(uuid.uuid4())
            while not over.is_set():
                place = rng.choice((0, 1, 4))  # those that are said in fists
                stop, count = tour.stops[place], rng.randint(1, 40) / 4
                while True:
                    with contextlib.suppress(OSError, http.client.HTTPException, ValueError):
                        if tour.guess(phone, stop, count) == 200:
                            kept[phone, stop] = count
                            acknowledged.append(1)
                            break
                    time.sleep(0.05)
                time.sleep(rng.uniform(0, 0.3))

        acknowledged: list[int] = []
        threads = [threading.Thread(target=walk, args=(number,)) for number in range(_KILL_PHONES)]
        for thread in threads:
            thread.start()
        for _ in range(_KILLS):
            time.sleep(random.uniform(0.2, _KILLED_FOR))
            service.kill()
            service.start()
        over.set()
        for thread in threads:
            thread.join()
        lost, doubled = tour.kept(kept)
        return (
            f"{_KILLS} kills, {_KILL_PHONES} phones: {len(acknowledged)} answers acknowledged, "
            f"lost {lost}, doubled {doubled}"
        )
    finally:
        service.kill()


def _times(seconds: list[float]) -> str:
    if len(seconds) < 2:
        return "never"
    cuts = statistics.quantiles(seconds, n=100)
    p50, p95, p99 = (round(cuts[place] * 1000) for place in (49, 94, 98))
    return f"p50 {p50} ms, p95 {p95} ms, p99 {p99} ms"


def main() -> int:
    """Print one line for each run."""
    parser = argparse.ArgumentParser(description=__doc__)
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--kill", action="store_true", help="kill the service during the tour")
    which.add_argument("--replicas", action="store_true", help="two services on one PostgreSQL")
    which.add_argument("--events", action="store_true", help="asking against server-sent events")
    asked = parser.parse_args()
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    with databases() as urls:
        postgres, many = urls["PostgreSQL"], events.THREADS + _PHONES
        runs: dict[str, Callable[[], str]] = {
            kind: lambda url=url: (killed if asked.kill else class_of_phones)(url)  # type: ignore[misc]
            for kind, url in urls.items()
        }
        if asked.replicas:
            runs = {"two services, PostgreSQL": lambda: class_of_phones(postgres, Replicas)}
        if asked.events:
            runs = {
                "asking": lambda: watched(postgres, events.THREADS, stream=False),
                "events": lambda: watched(postgres, many, stream=True),
            }
        for name, run in runs.items():
            sys.stdout.write(f"{name}: {run()}\n")
            sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
