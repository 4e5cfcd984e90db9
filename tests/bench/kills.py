"""kill -9 of the whole service under load, again and again: ``python -m tests.bench.kills [COUNT]``.

While photos are read, labels typed and a group says its amounts, the service is killed at a random moment.
Then no process of it may run, no photo lie on the disk, the database must be whole, and, once the service
is started again, every amount that it acknowledged must be there. Prints what was done and what was lost.
"""

from __future__ import annotations

import http.client
import random
import sqlite3
import sys
import threading
import time
import urllib.request
import uuid
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from tests.bench.flood import send
from tests.bench.tour_service import Tour
from tests.bench.watched import Watched, watched
from tests.making import SAMPLES, typed_portion
from tests.processes import runs, tree

_PHOTO = (SAMPLES / "fda_sample.png").read_bytes()
_QUERY = typed_portion()
_SOONEST, _LATEST = 0.0, 1.5
_END_SECONDS = 5.0
"""Longest time in which readers must notice that the service is gone."""
_PACE = 0.01


class Harm(NamedTuple):
    """What one kill left behind: processes, files, faults of the database, amounts lost."""

    orphans: int
    files: int
    faults: int
    lost: int


class Load:
    """Phones that send without end; an answer that did not come whole counts for nothing."""

    def __init__(self, service: Watched, done: Counter[str]) -> None:
        self.said: list[tuple[str, float]] = []
        self._service, self._done, self._ended = service, done, threading.Event()
        self.tour = Tour(service)
        self.tour.state(self.tour.stops[0], "open")
        ways = (self._photo, self._photo, self._photo, self._typed, self._guess, self._guess)
        self._threads = [threading.Thread(target=self._again, args=(way,)) for way in ways]
        for thread in self._threads:
            thread.start()

    def end(self) -> None:
        """Have every phone stop."""
        self._ended.set()
        for thread in self._threads:
            thread.join()

    def _again(self, way: Callable[[], int]) -> None:
        while not self._ended.wait(_PACE):
            try:
                status = way()
            except (OSError, http.client.HTTPException, ValueError):
                continue  # the service is gone
            self._done[f"{way.__name__.strip('_')} {status}"] += 1

    def _photo(self) -> int:
        return send(self._service.port, "/api/panels/read", _PHOTO, "image/png")[0]

    def _typed(self) -> int:
        return send(self._service.port, "/api/portions", _QUERY, "application/json")[0]

    def _guess(self) -> int:
        phone, count = str(uuid.uuid4()), random.Random().randint(1, 40) / 4
        status = self.tour.guess(phone, self.tour.stops[0], count)
        if status == http.HTTPStatus.OK:
            self.said.append((phone, count))
        return status


def kill_once(service: Watched, rng: random.Random, done: Counter[str]) -> Harm:
    """Put the service under load, kill it, look at what is left, start it again and ask for what was said."""
    load = Load(service, done)
    done["kills with a photo in a reader"] += _is_reading(service)
    time.sleep(rng.uniform(_SOONEST, _LATEST))
    started = tree(service.process)
    service.kill()
    load.end()
    until = time.monotonic() + _END_SECONDS
    while (orphans := [one for one in started if runs(one)]) and time.monotonic() < until:
        time.sleep(0.02)
    files = service.files_left()
    faults = _faults(service.folder / "tours.db")
    service.start()
    lost = [phone for phone, count in load.said if _kept(load.tour, phone) != [count]]
    return Harm(len(orphans), len(files), len(faults), len(lost))


def kills(count: int, seed: int = 1) -> tuple[Counter[str], list[Harm]]:
    """Kill a service so many times; return how its phones were answered, and the harm of each kill."""
    done: Counter[str] = Counter()
    rng = random.Random(seed)
    with watched("--log", "error", "--tour-makes-per-hour", "9999") as service:
        harms = [kill_once(service, rng, done) for _ in range(count)]
    return done, harms


def _is_reading(service: Watched) -> bool:
    """Wait until a reader is at work; tell whether one is."""
    until = time.monotonic() + _END_SECONDS
    while time.monotonic() < until:
        with urllib.request.urlopen(f"http://127.0.0.1:{service.port}/metrics", timeout=10) as told:
            if b"\nshelfcheck_readers_busy 0" not in told.read():
                return True
    return False


def _faults(database: Path) -> list[str]:
    """Return what the database finds wrong with itself."""
    with closing(sqlite3.connect(database)) as db:
        told = [row[0] for row in db.execute("PRAGMA integrity_check")]
        told += [str(row) for row in db.execute("PRAGMA foreign_key_check")]
    return [line for line in told if line != "ok"]


def _kept(tour: Tour, phone: str) -> list[float]:
    """Return the amounts of a phone that the service has."""
    _, told, _ = tour.service.ask("GET", f"/api/join/{tour.code}/mine?phone={phone}")
    return [said["guess"]["count"] for said in told["guesses"]]


def main() -> int:
    """Print the sums; return 1 when a kill did harm."""
    done, harms = kills(int(sys.argv[1]) if len(sys.argv) > 1 else 50)
    sums = {name: sum(getattr(harm, name) for harm in harms) for name in Harm._fields}
    sys.stdout.write(f"{len(harms)} kills; answered meanwhile: {dict(sorted(done.items()))}\n")
    sys.stdout.write(f"left behind: {sums}\n")
    return 1 if any(sums.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
