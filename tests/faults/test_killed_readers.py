"""Readers killed while photos are sent: each photo is read or should come again, and typing feels nothing."""

from __future__ import annotations

import os
import random
import signal
import time
from contextlib import suppress
from functools import partial

from tests.bench.watched import watched
from tests.faults.phones import photo, readers, sending, typed
from tests.processes import until


def test_readers_killed_under_load_break_no_answer() -> None:
    rng = random.Random(5)
    with watched("--reads", "2", "--log", "error") as service:
        send_photo = partial(photo, service)
        with sending(send_photo, send_photo, send_photo, partial(typed, service)) as answers:
            until(lambda: answers["photo 200"] > 2)
            for _ in range(4):
                for reader in readers(service.process):
                    with suppress(ProcessLookupError):
                        os.kill(reader, signal.SIGKILL)
                    time.sleep(rng.uniform(0, 0.7))

        assert answers.keys() <= {"photo 200", "photo 503 5", "photo 503 60", "typed 200"}
        assert answers["photo 200"] > 2
        until(lambda: photo(service) == "photo 200")
        assert len(readers(service.process)) == 2
        assert service.files_left() == []
