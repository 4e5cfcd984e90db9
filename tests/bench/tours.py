"""A tour of many phones on a real service: ``python -m tests.bench.tours [--kill]``.

200 phones ask for the tour every 2 seconds and all answer within 10. Printed for each database: answers
lost and doubled, and how long requests took. With ``--kill`` the service is killed 20 times (kill -9) during
a tour of 50 phones, which send each answer until it is acknowledged; every acknowledged answer must be there
afterwards.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import json
import os
import random
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.making import ROOT
from tests.test_serve import free_port
from tests.tours.postgres import Postgres

_PHONES, _POLL_SECONDS, _ANSWER_SECONDS = 200, 2.0, 10.0
_KILL_PHONES, _KILLS = 50, 20
_KILLED_FOR = 1.5


class Service:
    """The service under waitress in a process of its own, which can be killed and started again."""

    def __init__(self, url: str) -> None:
        self.port = free_port()
        self._url = url
        self.start()

    def start(self) -> None:
        command = [sys.executable, "-m", "shelfcheck", "serve", "--port", str(self.port), "--db", self._url]
        self._process = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT
        )
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            with contextlib.suppress(OSError, http.client.HTTPException):
                if self.ask("GET", "/api/health")[0] == 200:
                    return
            time.sleep(0.05)
        raise RuntimeError("the service did not start")

    def kill(self) -> None:
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()

    def ask(
        self, method: str, path: str, body: Any = None, headers: dict[str, str] | None = None
    ) -> tuple[int, Any, str]:
        """Return the status, the content and the ETag of an answer."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            sent = None if body is None else json.dumps(body)
            given = {"Content-Type": "application/json"} if sent else {}
            connection.request(method, path, sent, given | (headers or {}))
            answer = connection.getresponse()
            content = answer.read()
            return answer.status, json.loads(content) if content else None, answer.headers.get("ETag", "")
        finally:
            connection.close()


class Tour:
    """A sample tour on a service, led and joined."""

    def __init__(self, service: Service) -> None:
        self.service = service
        _, made, _ = service.ask("POST", "/api/tours/sample", {"lang": "en"})
        self.code, self._lead = made["code"], {"Authorization": f"Bearer {made['token']}"}
        self.stops = [stop["id"] for stop in made["tour"]["stops"]]

    def state(self, stop: int, state: str) -> None:
        path = f"/api/tours/mine/stops/{stop}/state"
        self.service.ask("POST", path, {"state": state}, self._lead)

    def guess(self, phone: str, stop: int, count: float, *, measure: str = "fist") -> int:
        body = {"phone": phone, "count": count, "measure": measure}
        return self.service.ask("PUT", f"/api/join/{self.code}/stops/{stop}/guess", body)[0]

    def now(self) -> Any:
        return self.service.ask("GET", "/api/tours/mine", None, self._lead)[1]


def class_of_phones(url: str) -> str:
    """Run a class of phones and return what came of it, in one line."""
    service = Service(url)
    try:
        tour = Tour(service)
        stop = tour.stops[0]
        tour.state(stop, "open")
        polls: list[float] = []
        answers: list[float] = []
        failed: list[str] = []
        start = time.monotonic() + 1

        def walk(number: int) -> None:
            rng, phone, tag = random.Random(number), str(uuid.uuid4()), ""
            said_at, asked = start + rng.uniform(0, _ANSWER_SECONDS), start + rng.uniform(0, _POLL_SECONDS)
            said = False
            while asked < start + _ANSWER_SECONDS + 2 * _POLL_SECONDS:
                due = min(asked, said_at) if not said else asked
                time.sleep(max(0.0, due - time.monotonic()))
                begun = time.perf_counter()
                if due == said_at and not said:
                    status = tour.guess(phone, stop, 0.25 * (1 + number))
                    answers.append(time.perf_counter() - begun)
                    said = True
                else:
                    status, _, tag = service.ask(
                        "GET", f"/api/join/{tour.code}", None, {"If-None-Match": tag} if tag else None
                    )
                    polls.append(time.perf_counter() - begun)
                    asked += _POLL_SECONDS
                if status not in (200, 304):
                    failed.append(str(status))

        _all_at_once([threading.Thread(target=walk, args=(number,)) for number in range(_PHONES)])
        tour.state(stop, "revealed")
        group = tour.now()["stops"][0]["group"]
        got = group["amounts"][0]["values"] if group["amounts"] else []
        wanted = [round(0.25 * (1 + number), 2) for number in range(_PHONES)]
        lost, doubled = len(set(wanted) - set(got)), len(got) - len(set(got))
        return (
            f"{_PHONES} phones: lost {lost}, doubled {doubled}, failed {len(failed)}; "
            f"{len(answers)} answers {_times(answers)}; {len(polls)} polls {_times(polls)}"
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
        found = {
            (phone, said["stop"]): said["guess"]["count"]
            for phone in {phone for phone, _ in kept}
            for said in service.ask("GET", f"/api/join/{tour.code}/mine?phone={phone}")[1]["guesses"]
        }
        lost = sum(found.get(key) != count for key, count in kept.items())
        counted = sum(stop["answered"] for stop in tour.now()["stops"])
        return (
            f"{_KILLS} kills, {_KILL_PHONES} phones: {len(acknowledged)} answers acknowledged, "
            f"lost {lost}, doubled {counted - len(found)}"
        )
    finally:
        service.kill()


def _all_at_once(threads: list[threading.Thread]) -> None:
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _times(seconds: list[float]) -> str:
    cuts = statistics.quantiles(seconds, n=100)
    p50, p95, p99 = (round(cuts[place] * 1000) for place in (49, 94, 98))
    return f"p50 {p50} ms, p95 {p95} ms, p99 {p99} ms"


@contextlib.contextmanager
def _databases() -> Iterator[dict[str, str]]:
    """Give the URL of a new database of each kind, both as safe as in earnest."""
    server = Postgres(safe=True)
    try:
        with tempfile.TemporaryDirectory() as folder:
            yield {"SQLite": f"sqlite:///{Path(folder) / 'tours.db'}", "PostgreSQL": server.make("tours")}
    finally:
        server.remove()


def main() -> int:
    """Print one line for each database."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kill", action="store_true", help="kill the service during the tour")
    run = killed if parser.parse_args().kill else class_of_phones
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    with _databases() as urls:
        for kind, url in urls.items():
            sys.stdout.write(f"{kind}: {run(url)}\n")
            sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
