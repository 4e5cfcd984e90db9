"""50 phones upload photos for a minute; what typed entry feels of it: ``python -m tests.bench.flood``.

Prints how typed entry is answered without and with the flood, how the photos were answered, and the memory
of the service with all its readers before, at the most, and afterwards. Everything stands on one machine.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import random
import statistics
import sys
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path

from tests.bench.tour_service import Service
from tests.making import ROOT, sample

_PHONES, _SECONDS, _QUIET = 50, 60.0, 15.0
_PACE = 0.05
"""Seconds between two typed requests."""
_QUERY = json.dumps({"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}}).encode()
_PHOTOS = [path.read_bytes() for path in sorted((ROOT / "tests" / "reading" / "photos").glob("*.jpg"))]


def send(port: int, path: str, body: bytes, kind: str) -> tuple[int, str]:
    """Return the status of an answer and its Retry-After."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        connection.request("POST", path, body, {"Content-Type": kind})
        answer = connection.getresponse()
        answer.read()
        return answer.status, answer.headers.get("Retry-After", "")
    finally:
        connection.close()


def typed(port: int, seconds: float) -> list[float]:
    """Type without pause but ``_PACE`` for so long; return the milliseconds of each answer."""
    took, until = [], time.monotonic() + seconds
    while time.monotonic() < until:
        began = time.perf_counter()
        status, _ = send(port, "/api/portions", _QUERY, "application/json")
        if status != http.HTTPStatus.OK:
            raise RuntimeError(f"typed entry was answered {status}")
        took.append((time.perf_counter() - began) * 1000)
        time.sleep(_PACE)
    return took


def phone(port: int, number: int, until: float, ends: Counter[str]) -> None:
    """Send photos until then, waiting as long as the service asks."""
    rng = random.Random(number)
    while time.monotonic() < until:
        try:
            status, wait = send(port, "/api/panels/read", rng.choice(_PHOTOS), "image/jpeg")
        except (OSError, http.client.HTTPException) as broken:
            ends[type(broken).__name__] += 1
            continue
        ends[f"{status}{' with Retry-After' if wait else ''}"] += 1
        if wait:
            time.sleep(float(wait) * rng.uniform(1, 2))


def tree(process: int) -> list[int]:
    """Return a process and all that it started and that they started."""
    found = [process]
    for one in found:
        with contextlib.suppress(OSError):
            for thread in Path(f"/proc/{one}/task").iterdir():  # each tells of those that it started itself
                found += map(int, (thread / "children").read_text().split())
    return found


def memory(process: int) -> float:
    """Return the memory in MB of a process and all that it started, shared pages counted once."""
    found = 0.0
    for one in tree(process):
        with contextlib.suppress(OSError):
            told = Path(f"/proc/{one}/smaps_rollup").read_text()
            found += (
                next(int(line.split()[1]) for line in told.splitlines() if line.startswith("Pss:")) / 1024
            )
    return found


def main() -> int:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        service = Service(f"sqlite:///{Path(folder) / 'tours.db'}")
        try:
            send(service.port, "/api/panels/read", _PHOTOS[0], "image/jpeg")
            process, ends, most = service._process.pid, Counter[str](), [0.0]
            before = memory(process)
            quiet = typed(service.port, _QUIET)
            until = time.monotonic() + _SECONDS

            def watch() -> None:
                while time.monotonic() < until:
                    most[0] = max(most[0], memory(process))
                    time.sleep(0.5)

            threads = [
                threading.Thread(target=phone, args=(service.port, number, until, ends))
                for number in range(_PHONES)
            ]
            for thread in [*threads, threading.Thread(target=watch)]:
                thread.start()
            flooded = typed(service.port, _SECONDS)
            for thread in threads:
                thread.join()
            time.sleep(5)
            after = memory(process)
        finally:
            service.kill()
    for name, took in (("without", quiet), ("with", flooded)):
        cuts = statistics.quantiles(took, n=100)
        sys.stdout.write(
            f"typed entry {name} the flood: {len(took)} answers, p50 {cuts[49]:.1f}, p95 {cuts[94]:.1f}, "
            f"p99 {cuts[98]:.1f} ms\n"
        )
    sys.stdout.write(f"photos: {dict(ends)}\n")
    sys.stdout.write(f"memory: {before:.0f} MB before, {most[0]:.0f} at the most, {after:.0f} afterwards\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
