"""Mutated pictures sent to the service, four at a time: ``python -m tests.bench.hostile [COUNT]``.

Prints how they were answered, the memory of the service with all its readers, what is left in its private
folder, and what it wrote on standard error that is no line of its log.
"""

from __future__ import annotations

import io
import json
import random
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path

from PIL import Image

from tests.bench.flood import memory, send
from tests.making import ROOT
from tests.test_serve import free_port

_CLIENTS, _HEAD = 4, 16
_SOURCES = sorted((ROOT / "tests" / "reading" / "photos").glob("*.jpg"))[:4]
_KINDS = ("JPEG", "PNG", "WEBP")


def sources() -> list[bytes]:
    """Return small whole pictures of each kind."""
    found = []
    for path in _SOURCES:
        with Image.open(path) as photo:
            photo.thumbnail((900, 900))
            for kind in _KINDS:
                out = io.BytesIO()
                photo.save(out, kind)
                found.append(out.getvalue())
    return found


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


def main() -> int:
    """Print what was found."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    whole, ends, most = sources(), Counter[str](), 0.0
    with tempfile.TemporaryDirectory() as folder, (Path(folder) / "log").open("wb") as log:
        port = free_port()
        command = [sys.executable, "-m", "shelfcheck", "serve", "--port", str(port)]
        command += ["--db", f"sqlite:///{folder}/tours.db"]
        environment = {"TMPDIR": folder, "PATH": "/usr/bin:/bin", "PYTHONPATH": str(ROOT)}
        service = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=log, cwd=ROOT, env=environment)
        try:
            time.sleep(4)
            before = memory(service.pid)

            def ask(first: int) -> None:
                for number in range(first, count, _CLIENTS):
                    rng = random.Random(number)
                    status, wait = send(
                        port, "/api/panels/read", mutated(rng.choice(whole), rng), "image/jpeg"
                    )
                    ends[f"{status}{' with Retry-After' if wait else ''}"] += 1

            threads = [threading.Thread(target=ask, args=(number,)) for number in range(_CLIENTS)]
            for thread in threads:
                thread.start()
            while any(thread.is_alive() for thread in threads):
                most = max(most, memory(service.pid))
                time.sleep(0.5)
            time.sleep(5)
            after = memory(service.pid)
            left = [str(path) for path in Path(folder).glob("shelfcheck-*/**/*") if path.is_file()]
        finally:
            service.kill()
            service.wait()
        strange = [line for line in Path(log.name).read_text().splitlines() if not _is_log(line)]
    sys.stdout.write(f"{count} pictures: {dict(ends)}\n")
    sys.stdout.write(f"memory: {before:.0f} MB before, {most:.0f} at the most, {after:.0f} afterwards\n")
    sys.stdout.write(f"files left beside locks: {[path for path in left if not path.endswith('/lock')]}\n")
    sys.stdout.write(f"{len(strange)} lines that are no log, such as {strange[:3]}\n")
    return 0


def _is_log(line: str) -> bool:
    try:
        return isinstance(json.loads(line), dict)
    except ValueError:
        return False


if __name__ == "__main__":
    sys.exit(main())
