"""What one core does and how much a busy day needs: ``python -m tests.bench.capacity``; 2 minutes, alone.

Each kind of request is sent to real processes (the service, PostgreSQL, nginx), and the processor time that
they used is counted, not that of the clients beside them. ``.deploy/CAPACITY.md`` holds what it printed, and
``tests/deploy/test_capacity.py`` that its sums are those of this file.
"""

from __future__ import annotations

import http
import itertools
import math
import os
import sys
import threading
import time
import uuid
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.bench.flood import PHOTOS, QUERY, send
from tests.bench.tour_service import Door, Service, Tour
from tests.deploy.nginx import Nginx
from tests.processes import memory, tree
from tests.tours.postgres import Postgres

_SECONDS, _PHOTOS_READ, _CLIENTS = 8.0, 60, 4
_TICKS = os.sysconf("SC_CLK_TCK")
_MB = 1024 * 1024

MEASURED = {
    "photo": "milliseconds of a core to read one photo",
    "typed": "milliseconds of a core to work out one typed portion",
    "poll": "milliseconds of a core to tell a phone that its tour has not changed",
    "poll_database": "milliseconds of a core in PostgreSQL to tell that",
    "answer": "milliseconds of a core to keep one answer of a tour",
    "answer_database": "milliseconds of a core in PostgreSQL to keep that",
    "proxy": "milliseconds of a core in nginx for a request on a new connection",
    "service_mb": "MB of memory of a service, without readers",
    "reader_mb": "MB of memory of a reader, at the most",
    "photo_kb": "kB of a photo, as phones send it",
    "poll_kb": "kB that go out for a poll, with what https adds",
}
SEASON = {
    "hours": (6, "hours of classes, from 9 to 15"),
    "class_hours": (1.5, "hours of one class"),
    "crowding": (2, "times the average at the busiest time"),
    "photos": (4, "photos that each phone sends"),
    "foods": (8, "foods that each phone answers in its tour"),
    "typed": (
        2,
        "typed portions of each phone that reach the service; phones work out nearly all themselves",
    ),
    "poll_seconds": (2, "seconds between two polls of a phone, its screen on all the time"),
    "busy": (0.6, "how busy a core may be at the busiest time"),
    "connections": (15, "connections to PostgreSQL that one service opens at the most"),
}


DAYS = (300, 1_000, 10_000)
"""Phones in a day: of a clinic, of a town, of a state."""


def one_core(measured: Mapping[str, float], season: Mapping[str, float]) -> dict[str, str]:
    """Return what one core does, as busy as it may be."""
    free = season["busy"] * 1000
    watched = sum(measured[name] for name in ("poll", "poll_database", "proxy")) / season["poll_seconds"]
    return {
        "photos a minute": f"{60 * free / measured['photo']:.0f}",
        "or typed portions a second": f"{free / (measured['typed'] + measured['proxy']):.0f}",
        "or phones in tours at the same time": f"{free / watched:.0f}",
    }


def needs(phones: int, measured: Mapping[str, float], season: Mapping[str, float]) -> dict[str, str]:
    """Return what a day of so many phones needs at its busiest time, by what it is."""
    at_once = phones * season["class_hours"] / season["hours"] * season["crowding"]
    each_second = phones / (season["hours"] * 3600) * season["crowding"]
    photos, typed, answers = (each_second * season[kind] for kind in ("photos", "typed", "foods"))
    polls = at_once / season["poll_seconds"]
    reading = photos * measured["photo"] / 1000
    serving = (typed * measured["typed"] + polls * measured["poll"] + answers * measured["answer"]) / 1000
    database = (polls * measured["poll_database"] + answers * measured["answer_database"]) / 1000
    proxy = (photos + typed + polls + answers) * measured["proxy"] / 1000
    services = math.ceil(serving / season["busy"])  # a process of Python keeps one core busy at the most
    readers = math.ceil(reading / season["busy"])
    cores = math.ceil((reading + serving + database + proxy) / season["busy"])
    memory = services * measured["service_mb"] + readers * measured["reader_mb"]
    return {
        "phones in tours at the same time": f"{at_once:,.0f}",
        "polls a second": f"{polls:,.0f}",
        "photos, answers, typed portions a second": f"{photos:.1f}, {answers:.1f}, {typed:.1f}",
        "cores at work: reading photos": f"{reading:.2f}",
        "the services beside that": f"{serving:.2f}",
        "PostgreSQL": f"{database:.2f}",
        "nginx": f"{proxy:.2f}",
        f"**cores in all**, at most {season['busy']:.0%} busy": f"**{cores}**",
        "services (`server` lines in nginx.conf)": f"{services}",
        "readers of all services together": f"{readers}",
        "memory of services and readers": f"{memory / 1000:.1f} GB",
        "connections to PostgreSQL, at the most": f"{services * season['connections']:.0f}",
        "Mbit/s in and out": f"{photos * measured['photo_kb'] * 8 / 1000:.1f} and "
        f"{polls * measured['poll_kb'] * 8 / 1000:.1f}",
    }


def used(process: int) -> float:
    """Return the milliseconds of a core that a process and all that it started used so far."""
    total = 0
    for one in tree(process):
        stat = Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()
        total += sum(map(int, stat[11:15]))  # with those of children that ended
    return total * 1000 / _TICKS


def cost(ask: Callable[[], int], *processes: int) -> list[float]:
    """Return how many milliseconds of a core each process used for one request, while clients ask."""
    before, counts = [used(process) for process in processes], []
    until = time.monotonic() + _SECONDS

    def client() -> None:
        count = 0
        while time.monotonic() < until:
            status = ask()
            if status not in (200, 304):
                raise RuntimeError(f"answered {status}")
            count += 1
        counts.append(count)

    threads = [threading.Thread(target=client) for _ in range(_CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if len(counts) < _CLIENTS:
        raise RuntimeError("a client was not answered well")
    return [(used(process) - start) / sum(counts) for process, start in zip(processes, before, strict=True)]


def measure() -> dict[str, float]:
    """Return each figure of ``MEASURED``."""
    found: dict[str, float] = {}
    server = Postgres(safe=True)
    try:
        service = Service(server.make("tours"), options=("--reads", "1", "--trusted-proxies", "127.0.0.1"))
        try:
            postgres = int((server.data / "postmaster.pid").read_text().split()[0])
            _of_tours(found, service, postgres)
            _of_photos(found, service)
            _of_proxy(found, service)
        finally:
            service.kill()
    finally:
        server.remove()
    return found


def _of_tours(found: dict[str, float], service: Service, postgres: int) -> None:
    process, tour = service.process, Tour(service)
    tour.state(tour.stops[0], "open")
    tag = tour.see()[2]
    found["poll"], found["poll_database"] = cost(lambda: tour.see(tag)[0], process, postgres)
    phones = itertools.cycle([str(uuid.uuid4()) for _ in range(200)])
    found["answer"], found["answer_database"] = cost(
        lambda: tour.guess(next(phones), tour.stops[0], 2), process, postgres
    )
    (found["typed"],) = cost(
        lambda: send(service.port, "/api/portions", QUERY, "application/json")[0], process
    )
    _, head = _heads(service, tour.code, tag)
    found["poll_kb"] = (len(head) + _HTTPS) / 1000


_HTTPS = 100
"""Bytes that https and TCP add to an answer in one packet."""


def _heads(door: Door, code: str, tag: str) -> tuple[int, str]:
    connection = door.connection()
    try:
        connection.request("GET", f"/api/join/{code}", headers={"If-None-Match": tag})
        answer = connection.getresponse()
        return answer.status, f"HTTP/1.1 304 NOT MODIFIED\r\n{answer.headers}"
    finally:
        connection.close()


def _of_photos(found: dict[str, float], service: Service) -> None:
    process, most, ended = service.process, 0.0, threading.Event()

    def watch() -> None:
        nonlocal most
        while not ended.wait(0.02):
            most = max(most, *(memory(reader) for reader in tree(process)[1:]))

    _read(service, PHOTOS[0])
    before, watcher = used(process), threading.Thread(target=watch)
    watcher.start()
    for photo in itertools.islice(itertools.cycle(PHOTOS), _PHOTOS_READ):
        _read(service, photo)
    ended.set()
    watcher.join()
    found["photo"] = (used(process) - before) / _PHOTOS_READ
    found["reader_mb"], found["service_mb"] = most, memory(process)
    found["photo_kb"] = sum(map(len, PHOTOS)) / len(PHOTOS) / 1000


def _read(service: Service, photo: bytes) -> None:
    status, _ = send(service.port, "/api/panels/read", photo, "image/jpeg")
    if status != http.HTTPStatus.OK:
        raise RuntimeError(f"a photo was answered {status}")


def _of_proxy(found: dict[str, float], service: Service) -> None:
    with Nginx(service.port) as nginx:

        def ask() -> int:
            connection = nginx.connection()
            connection.request("GET", "/api/health")
            answer = connection.getresponse()
            answer.read()
            connection.close()
            return answer.status

        (found["proxy"],) = cost(ask, nginx.process)


def rows(measured: Mapping[str, float]) -> list[str]:
    """Return the lines of CAPACITY.md that follow from what was measured."""
    season = {name: value for name, (value, _) in SEASON.items()}
    days = [needs(phones, measured, season) for phones in DAYS]
    return [
        "| measured | |",
        "| --- | --- |",
        *(f"| {told} | {measured[name]:.3g} |" for name, told in MEASURED.items()),
        "",
        f"| one core, {season['busy']:.0%} busy | |",
        "| --- | --- |",
        *(f"| {name} | {value} |" for name, value in one_core(measured, season).items()),
        "",
        "| assumed | |",
        "| --- | --- |",
        *(f"| {told} | {value} |" for value, told in SEASON.values()),
        "",
        "| needed at the busiest time | " + " | ".join(f"{phones:,} phones a day" for phones in DAYS) + " |",
        "| --- |" + " --- |" * len(DAYS),
        *(f"| {name} | " + " | ".join(day[name] for day in days) + " |" for name in days[0]),
    ]


def main() -> int:
    """Print the tables."""
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    measured = {name: float(f"{value:.3g}") for name, value in measure().items()}
    sys.stdout.write("\n".join(rows(measured)) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
