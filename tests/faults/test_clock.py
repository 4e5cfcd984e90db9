"""A clock that jumps by years while the service answers: all goes on, no tour is lost, no limit sticks."""

from __future__ import annotations

import http.client
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from shelfcheck import server
from shelfcheck.service import create_app
from shelfcheck.settings import load_settings
from tests.bench.tour_service import Service
from tests.faults.phones import guess, joined, photo, typed
from tests.processes import until

YEARS = 365 * 24 * 60 * 60
MAKES = 2
SERVE = """
import sys, time
from pathlib import Path
real, jump = time.time, Path(sys.argv.pop(1))
time.time = lambda: real() + float(jump.read_text())
from shelfcheck.cli import main
sys.exit(main())
"""


def put(jump: Path, seconds: float) -> None:
    """Put the clock off by so many seconds; the service never finds half a number."""
    new = jump.with_suffix(".new")
    new.write_text(str(seconds), encoding="ascii")
    new.replace(jump)


@pytest.fixture
def jump(tmp_path: Path) -> Path:
    """A file that holds by how many seconds the clock is off."""
    file = tmp_path / "jump"
    put(file, 0)
    return file


@pytest.fixture
def service(jump: Path, tmp_path: Path) -> Iterator[Service]:
    options = ["--db", f"sqlite:///{tmp_path}/tours.db", "--reads", "1"]
    options += ["--tour-makes-per-hour", str(MAKES)]
    found = Service("", "-c", SERVE, str(jump), "serve", "--port", "{port}", *options)
    yield found
    found.kill()


def wait_to_make(service: Service) -> tuple[int, int]:
    """Ask for one more tour; return the status and for how long to wait."""
    connection = http.client.HTTPConnection("127.0.0.1", service.port, timeout=30)
    try:
        connection.request("POST", "/api/tours/sample", b"{}", {"Content-Type": "application/json"})
        answer = connection.getresponse()
        answer.read()
        return answer.status, int(answer.headers.get("Retry-After", 0))
    finally:
        connection.close()


def test_a_clock_that_jumps_by_years_stops_nothing(service: Service, jump: Path) -> None:
    until(lambda: service.ask("GET", "/api/ready")[0] == 200)
    tours = [joined(service) for _ in range(MAKES)]

    for turn, off in enumerate((10 * YEARS, -10 * YEARS, 200 * YEARS, -50 * YEARS, 0), start=1):
        put(jump, off)
        assert service.ask("GET", "/api/ready")[0] == 200
        assert typed(service) == "typed 200"
        for tour in tours:
            assert guess(tour) == "guess 200"
            assert tour.now()["stops"][0]["answered"] == turn
        status, seconds = wait_to_make(service)
        assert status == 429
        assert 0 < seconds <= 60 * 60 / MAKES
    assert photo(service) == "photo 200"


def test_silent_phones_are_let_go_in_their_time_whatever_the_clock_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    real, off = time.time, [0.0]
    monkeypatch.setattr(time, "time", lambda: real() + off[0])
    monkeypatch.setattr(server, "_SILENT_SECONDS", 2)
    made = server.Server(create_app(), load_settings({"port": 0}))
    running = threading.Thread(target=made.run)
    running.start()
    try:
        with socket.create_connection(("127.0.0.1", made.port)) as slow:
            slow.settimeout(10)
            slow.sendall(b"GET /api/health HTTP/1.1\r\nHost: a\r\n")
            time.sleep(0.7)
            off[0] = 10 * YEARS
            time.sleep(0.7)
            slow.sendall(b"\r\n")
            assert slow.recv(12) == b"HTTP/1.1 200"
            off[0] = 0
            while slow.recv(4096):
                pass  # until the service closes it
    finally:
        made.stop()
        running.join()
