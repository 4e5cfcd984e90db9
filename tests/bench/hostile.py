"""Hostile pictures sent to the service, four at a time: ``python -m tests.bench.hostile [COUNT [FIRST]]``.

Every other one is a photo with bytes changed; the rest are files whose parts lie (``strange_files``). Prints
how each kind was answered and how long that took at the most, the memory of the service with all its readers,
what is left in its private folder, and what it wrote on standard error that is no line of its log.
"""

from __future__ import annotations

import http.client
import random
import re
import sys
import threading
import time
from collections import Counter, defaultdict
from functools import cache

from PIL import Image

from tests.bench.file_parts import saved
from tests.bench.flood import send
from tests.bench.strange_files import strange_file
from tests.bench.watched import watched
from tests.making import ROOT

_CLIENTS, _HEAD = 4, 16
_MOST_MEMORY = 1200.0
_SOURCES = sorted((ROOT / "tests" / "reading" / "photos").glob("*.jpg"))[:4]
_FINE = re.compile(r"[24]\d\d|.* with Retry-After")

Answers = dict[str, Counter[str]]


@cache
def sources() -> tuple[bytes, ...]:
    """Return small whole pictures of each kind."""
    found = []
    for path in _SOURCES:
        with Image.open(path) as photo:
            photo.thumbnail((900, 900))
            found += [saved(photo, kind) for kind in ("JPEG", "PNG", "WEBP")]
    return tuple(found)


def mutated(whole: bytes, rng: random.Random) -> bytes:
    """Return a picture with bytes changed, cut out, doubled or cut off, often in its head."""
    photo = bytearray(whole)
    for _ in range(rng.choice((1, 2, 8, 64))):
        if len(photo) <= _HEAD:
            break
        at = rng.randrange(min(len(photo), rng.choice((64, 1024, len(photo)))))
        way = rng.randrange(5)
        if way == 0:
            photo[at] = rng.randrange(256)
        elif way == 1:
            photo[at : at + 4] = rng.choice((b"\xff\xff\xff\xff", b"\x00\x00\x00\x00", b"\x7f\xff\xff\xff"))
        elif way == 2:
            del photo[at : at + rng.randrange(1, 200)]
        elif way == 3:
            photo[at:at] = photo[at : at + rng.randrange(1, 200)]
        else:
            del photo[max(_HEAD, at) :]
    return bytes(photo)


def hostile(number: int) -> tuple[str, bytes]:
    """Return the kind of a picture and its bytes; the same number gives the same picture."""
    if number % 2:
        return strange_file(number // 2)
    rng = random.Random(number)
    return "changed bytes", mutated(rng.choice(sources()), rng)


def send_all(port: int, numbers: range) -> tuple[Answers, dict[str, float]]:
    """Send these pictures; return how each kind was answered, and the longest seconds of each."""
    ends: Answers = defaultdict(Counter)
    longest: dict[str, float] = defaultdict(float)
    lock, left = threading.Lock(), iter(numbers)

    def ask() -> None:
        while True:
            with lock:
                number = next(left, None)
            if number is None:
                return
            kind, photo = hostile(number)
            began = time.monotonic()
            try:
                status, wait = send(port, "/api/panels/read", photo, "image/jpeg")
                end = f"{status}{' with Retry-After' if wait else ''}"
            except (OSError, http.client.HTTPException) as broken:
                end = type(broken).__name__
            seconds = time.monotonic() - began
            with lock:
                ends[kind][end] += 1
                longest[kind] = max(longest[kind], seconds)

    threads = [threading.Thread(target=ask) for _ in range(_CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return ends, longest


def main() -> int:
    """Print what was found; return 1 when something else than a refusal or an answer came of it."""
    count, first = (int(said) for said in (*sys.argv[1:], *("1000", "0")[len(sys.argv) - 1 :]))
    with watched() as service:
        with service.measured():
            ends, longest = send_all(service.port, range(first, first + count))
        told, left = service.told(), service.files_left()
    for kind, answers in sorted(ends.items()):
        said = ", ".join(f"{end}: {number}" for end, number in sorted(answers.items()))
        sys.stdout.write(f"{kind:<14}{answers.total():>5}  longest {longest[kind]:4.1f} s  {said}\n")
    sys.stdout.write("\n".join((f"all of them: {dict(sum(ends.values(), Counter()))}", *told)) + "\n")
    bad = [end for answers in ends.values() for end in answers if not _FINE.fullmatch(end)]
    return 1 if bad or left or service.most > _MOST_MEMORY else 0


if __name__ == "__main__":
    sys.exit(main())
