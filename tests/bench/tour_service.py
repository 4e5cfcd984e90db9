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
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.making import ROOT
from tests.test_serve import free_port
from tests.tours.postgres import Postgres


class Service:
    """The service under waitress, which can be killed and started again."""

    def __init__(self, url: str, *command: str) -> None:
        self.port = free_port()
        serve = ("-m", "shelfcheck", "serve", "--port", str(self.port), "--db", url)
        self._command = [part.format(port=self.port) for part in command] or [*serve]
        self.start()

    def start(self) -> None:
        self._process = _run(*self._command)
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

    def burden(self) -> tuple[float, float]:
        """Return the processor seconds that it used so far, and its memory in MB."""
        stat = Path(f"/proc/{self._process.pid}/stat").read_text().rpartition(")")[2].split()
        status = Path(f"/proc/{self._process.pid}/status").read_text()
        resident = next(line.split()[1] for line in status.splitlines() if line.startswith("VmRSS"))
        return (int(stat[11]) + int(stat[12])) / 100, int(resident) / 1024

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


class Replicas(Service):
    """Two services on one database, behind a balancer that is asked in their place."""

    def __init__(self, url: str) -> None:
        self.services = [Service(url) for _ in range(2)]
        super().__init__(
            url, "-m", "tests.bench.balancer", "{port}", *[str(service.port) for service in self.services]
        )

    def kill(self) -> None:
        super().kill()
        for service in self.services:
            service.kill()


class Tour:
    """A sample tour on a service, led and joined."""

    def __init__(self, service: Service) -> None:
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
