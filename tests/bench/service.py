"""Requests per second of ``POST /api/portions``, against a bare Flask route that parses the same body.

Both stand under waitress, each in a process of its own on loopback, and answer as many bytes to a handful
of clients that keep their connections. Neither writes a line for each request.
``python -m tests.bench.service bare`` is one such process.
"""

from __future__ import annotations

import contextlib
import json
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from typing import Any

import waitress
from flask import Flask, request

from shelfcheck.service import create_app
from tests.making import ROOT, sample

BAR = 0.7
_CLIENTS, _ROUNDS, _SECONDS = 4, 9, 0.7
_QUERY = {"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}, "food": "granola"}


def measure() -> tuple[str, bool]:
    """Return a line with both rates and their ratio, and whether it is within the bar."""
    rates: dict[str, list[float]] = {"bare": [], "shelfcheck": []}
    with contextlib.ExitStack() as stack:
        ports = {kind: stack.enter_context(_served(kind)) for kind in rates}
        for port in ports.values():
            _rate(port, _SECONDS)  # the first requests fill caches
        for _ in range(_ROUNDS):
            for kind, port in ports.items():
                rates[kind].append(_rate(port, _SECONDS))
    ratios = [ours / bare for ours, bare in zip(rates["shelfcheck"], rates["bare"], strict=True)]
    ours, bare = (statistics.median(rates[kind]) for kind in ("shelfcheck", "bare"))
    ratio = statistics.median(ratios)
    line = f"POST /api/portions: {ratio:.2f} of a bare Flask route ({ours:.0f}/s of {bare:.0f}/s), bar {BAR}"
    return line, ratio >= BAR


def _bare() -> Flask:
    """Return an application that parses the body and answers what the service would, worked out before."""
    answer: Any = create_app().test_client().post("/api/portions", json=_QUERY).get_json()
    app = Flask("bare")

    @app.post("/api/portions")
    def portions() -> Any:
        request.get_json()
        return answer

    return app


@contextlib.contextmanager
def _served(kind: str) -> Iterator[int]:
    command = [sys.executable, "-m", "tests.bench.service", kind]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as process:
        try:
            yield int(process.stdout.readline() if process.stdout else "")
        finally:
            process.kill()


def _rate(port: int, seconds: float) -> float:
    """Return how many requests a second all clients together were answered."""
    counts: list[int] = []
    deadline = time.perf_counter() + seconds
    clients = [threading.Thread(target=_ask, args=(port, deadline, counts)) for _ in range(_CLIENTS)]
    start = time.perf_counter()
    for client in clients:
        client.start()
    for client in clients:
        client.join()
    return sum(counts) / (time.perf_counter() - start)


def _ask(port: int, deadline: float, counts: list[int]) -> None:
    """Send the one query over one connection until the deadline. A plain socket costs the least here."""
    body = json.dumps(_QUERY).encode()
    head = (
        "POST /api/portions HTTP/1.1\r\nHost: 127.0.0.1\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    count = 0
    with socket.create_connection(("127.0.0.1", port)) as connection, connection.makefile("rb") as answers:
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        while time.perf_counter() < deadline:
            connection.sendall(head.encode() + body)
            status = answers.readline()
            if b" 200 " not in status:
                raise RuntimeError(f"the service answered {status!r}")
            length = 0
            while (line := answers.readline()) != b"\r\n":
                if line.lower().startswith(b"content-length:"):
                    length = int(line.partition(b":")[2])
            answers.read(length)
            count += 1
    counts.append(count)


def _run(kind: str) -> None:
    """Serve one of the two until killed, and print its port first."""
    app = _bare() if kind == "bare" else create_app({"log": "warning"})
    server: Any = waitress.create_server(app, host="127.0.0.1", port=0, threads=8, ident=None)
    sys.stdout.write(f"{server.effective_port}\n")
    sys.stdout.flush()
    server.run()


if __name__ == "__main__":
    _run(sys.argv[1])
