"""Services in processes of their own, and a sample tour on them, for the benches of tours."""

from __future__ import annotations

import contextlib
import http.client
import json
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from tests.deploy.nginx import Nginx
from tests.making import ROOT
from tests.test_serve import free_port
from tests.tours.postgres import Postgres


class Door:
    """Where requests are answered."""

    def connection(self) -> http.client.HTTPConnection:
        """Return a new connection."""
        raise NotImplementedError

    def kill(self) -> None:
        """End all that answers."""
        raise NotImplementedError

    def ask(
        self, method: str, path: str, body: Any = None, headers: dict[str, str] | None = None
    ) -> tuple[int, Any, str]:
        """Return the status, the content and the ETag of an answer."""
        connection = self.connection()
        try:
            sent = None if body is None else json.dumps(body)
            given = {"Content-Type": "application/json"} if sent else {}
            connection.request(method, path, sent, given | (headers or {}))
            answer = connection.getresponse()
            content = answer.read()
            return answer.status, json.loads(content) if content else None, answer.headers.get("ETag", "")
        finally:
            connection.close()


class Service(Door):
    """The service under waitress, which can be killed and started again.

    Args:
        url: its database.
        command: another program in its place, its port as ``{port}``.
        options: more options of ``shelfcheck serve``.
    """

    def __init__(self, url: str, *command: str, options: Sequence[str] = ()) -> None:
        self.port = free_port()
        serve = ("-m", "shelfcheck", "serve", "--port", str(self.port), "--db", url, *options)
        self._command = [part.format(port=self.port) for part in command] or [*serve]
        self.start()

    def connection(self) -> http.client.HTTPConnection:
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)

    def start(self, *, wait: bool = True) -> None:
        self._process = _run(*self._command)
        if wait:
            self.wait()

    def wait(self) -> None:
        """Wait until it answers."""
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

    @property
    def process(self) -> int:
        """The number of its process."""
        return self._process.pid

    def burden(self) -> tuple[float, float]:
        """Return the processor seconds that it used so far, and its memory in MB."""
        stat = Path(f"/proc/{self.process}/stat").read_text().rpartition(")")[2].split()
        status = Path(f"/proc/{self.process}/status").read_text()
        resident = next(line.split()[1] for line in status.splitlines() if line.startswith("VmRSS"))
        return (int(stat[11]) + int(stat[12])) / 100, int(resident) / 1024


class Replicas(Door):
    """Two services on one database, behind nginx as it is shipped."""

    def __init__(self, url: str, options: Sequence[str] = ()) -> None:
        believing = ("--trusted-proxies", "127.0.0.1", *options)
        self.services = [Service(url, options=believing) for _ in range(2)]
        self.nginx = Nginx(*[service.port for service in self.services])

    def connection(self) -> http.client.HTTPConnection:
        return self.nginx.connection()

    def kill(self) -> None:
        self.nginx.stop()
        for service in self.services:
            service.kill()


class Tour:
    """A sample tour on a service, led and joined."""

    def __init__(self, service: Door) -> None:
        self.service = service
        _, made, _ = service.ask("POST", "/api/tours/sample", {"lang": "en"})
        self.code, self.lead = made["code"], {"Authorization": f"Bearer {made['token']}"}
        self.stops = [stop["id"] for stop in made["tour"]["stops"]]

    def state(self, stop: int, state: str) -> None:
        path = f"/api/tours/mine/stops/{stop}/state"
        self.service.ask("POST", path, {"state": state}, self.lead)

    def guess(self, phone: str, stop: int, count: float, *, measure: str = "fist") -> int:
        body = {"phone": phone, "count": count, "measure": measure}
        return self.service.ask("PUT", f"/api/join/{self.code}/stops/{stop}/guess", body)[0]

    def see(self, tag: str = "") -> tuple[int, Any, str]:
        """Ask as a phone does that has the version ``tag``."""
        return self.service.ask("GET", f"/api/join/{self.code}", None, {"If-None-Match": tag} if tag else {})

    def live(self, tag: str = "") -> tuple[int, Any, str]:
        """Ask as the educator's screen does that has the version ``tag``."""
        known = {"If-None-Match": tag} if tag else {}
        return self.service.ask("GET", "/api/tours/mine", None, self.lead | known)

    def now(self) -> Any:
        return self.live()[1]

    def kept(self, acknowledged: Mapping[tuple[str, int], float]) -> tuple[int, int]:
        """Return how many of the answers that were acknowledged, by phone and stop, are lost, and doubled."""
        found = {
            (phone, said["stop"]): said["guess"]["count"]
            for phone in {phone for phone, _ in acknowledged}
            for said in self.service.ask("GET", f"/api/join/{self.code}/mine?phone={phone}")[1]["guesses"]
        }
        lost = sum(found.get(key) != count for key, count in acknowledged.items())
        return lost, sum(stop["answered"] for stop in self.now()["stops"]) - len(found)


@contextlib.contextmanager
def databases() -> Iterator[dict[str, str]]:
    """Give the URL of a new database of each kind, both as safe as in earnest."""
    server = Postgres(safe=True)
    try:
        with tempfile.TemporaryDirectory() as folder:
            yield {"SQLite": f"sqlite:///{Path(folder) / 'tours.db'}", "PostgreSQL": server.make("tours")}
    finally:
        server.remove()


def _run(*arguments: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT
    )
