"""50 phones upload photos for a minute; what typed entry feels of it: ``python -m tests.bench.flood``.

Prints how typed entry is answered without and with the flood, how the photos were answered, and the memory
of the service with all its readers before, at the most, and afterwards. Everything stands on one machine.
"""

from __future__ import annotations

import http.client
import random
import statistics
import sys
import threading
import time
from collections import Counter

from tests.bench.watched import watched
from tests.making import ROOT, typed_portion

_PHONES, _SECONDS, _QUIET = 50, 60.0, 15.0
_PACE = 0.05
"""Seconds between two typed requests."""
QUERY = typed_portion()
PHOTOS = [path.read_bytes() for path in sorted((ROOT / "tests" / "reading" / "photos").glob("*.jpg"))]


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
        status, _ = send(port, "/api/portions", QUERY, "application/json")
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
            status, wait = send(port, "/api/panels/read", rng.choice(PHOTOS), "image/jpeg")
        except (OSError, http.client.HTTPException) as broken:
            ends[type(broken).__name__] += 1
            continue
        ends[f"{status}{' with Retry-After' if wait else ''}"] += 1
        if wait:
            time.sleep(float(wait) * rng.uniform(1, 2))


def main() -> int:
    """Print the table."""
    ends = Counter[str]()
    with watched() as service:
        send(service.port, "/api/panels/read", PHOTOS[0], "image/jpeg")
        quiet = typed(service.port, _QUIET)
        with service.measured():
            until = time.monotonic() + _SECONDS
            threads = [
                threading.Thread(target=phone, args=(service.port, number, until, ends))
                for number in range(_PHONES)
            ]
            for thread in threads:
                thread.start()
            flooded = typed(service.port, _SECONDS)
            for thread in threads:
                thread.join()
        told = service.told()
    for name, took in (("without", quiet), ("with", flooded)):
        cuts = statistics.quantiles(took, n=100)
        sys.stdout.write(
            f"typed entry {name} the flood: {len(took)} answers, p50 {cuts[49]:.1f}, p95 {cuts[94]:.1f}, "
            f"p99 {cuts[98]:.1f} ms\n"
        )
    sys.stdout.write(f"photos: {dict(ends)}\n")
    sys.stdout.write("\n".join(told) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
