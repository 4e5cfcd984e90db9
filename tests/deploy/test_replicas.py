"""Two services on one PostgreSQL behind the shipped nginx: when one dies, nobody notices."""

from __future__ import annotations

import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from tests.bench.replicas import Load
from tests.bench.tour_service import Replicas
from tests.deploy.nginx import Nginx
from tests.test_serve import free_port
from tests.tours.postgres import Postgres

JSON = {"Content-Type": "application/json"}
CHANGES_NOTHING = ("POST", "/api/portions")
TWICE_IS_ONCE = ("PUT", "/api/join/bami-tuko/stops/1/guess")
ONCE = ("POST", "/api/tours")
KEPT_NOWHERE = ("POST", "/api/panels/read")


def test_a_service_that_is_killed_fails_no_typed_entry_and_loses_no_answer() -> None:
    server = Postgres()
    try:
        replicas = Replicas(server.make("tours"), ("--reads", "1"))
        try:
            load = Load(replicas)
            load.run(2, 5, lambda: kill_one(replicas))
            lost, doubled = load.tour.kept(load.acknowledged)
        finally:
            replicas.kill()
    finally:
        server.remove()

    assert (dict(load.failed), lost, doubled) == ({}, 0, 0)
    assert len(load.acknowledged) > 5
    assert len(load.typed) > 20


def kill_one(replicas: Replicas) -> None:
    time.sleep(1)
    replicas.services[0].kill()
    time.sleep(2)


class Dying:
    """A service that dies of each request as soon as it has heard it, and counts them."""

    def __init__(self) -> None:
        self.heard = 0
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = self._listener.getsockname()[1]
        self._thread = threading.Thread(target=self._listen)
        self._thread.start()

    def close(self) -> None:
        self._listener.shutdown(socket.SHUT_RDWR)  # which wakes who listens
        self._listener.close()
        self._thread.join()

    def _listen(self) -> None:
        while True:
            try:
                connection, _ = self._listener.accept()
            except OSError:
                return
            with connection:
                connection.recv(65_536)
                self.heard += 1


@contextmanager
def dying() -> Iterator[tuple[Dying, Dying]]:
    both = Dying(), Dying()
    try:
        yield both
    finally:
        for one in both:
            one.close()


@pytest.mark.parametrize(
    ("asked", "heard"),
    [(CHANGES_NOTHING, 2), (TWICE_IS_ONCE, 2), (("GET", "/api/join/bami-tuko"), 2), (ONCE, 1)],
)
def test_only_what_may_come_twice_is_sent_to_another_service(asked: tuple[str, str], heard: int) -> None:
    with dying() as both, Nginx(both[0].port, both[1].port) as nginx:
        connection = nginx.connection()
        connection.request(*asked, None if asked[0] == "GET" else b"{}", JSON)
        answer = connection.getresponse()
        said = json.loads(answer.read())
        connection.close()

    assert answer.status == 503
    assert said["error"]["code"] == "busy"
    assert sum(one.heard for one in both) == heard


@pytest.mark.parametrize("asked", [ONCE, KEPT_NOWHERE])
def test_what_nobody_has_heard_yet_is_sent_to_another_service(asked: tuple[str, str]) -> None:
    with dying() as (living, _), Nginx(free_port(), living.port) as nginx:
        for _ in range(2):  # they take turns
            connection = nginx.connection()
            connection.request(*asked, b"{}", JSON)
            connection.getresponse().read()
            connection.close()

        assert living.heard == 2
