"""The database locked, or its file gone, while the service is asked: tours say so and work again after it."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing

import pytest

from tests.bench.watched import Watched, watched
from tests.faults.phones import guess, joined, typed
from tests.processes import until

PHONES = 40


@pytest.fixture(scope="module")
def service() -> Iterator[Watched]:
    with watched("--reads", "1", "--log", "error") as found:
        yield found


def test_a_locked_database_keeps_nobody_from_typing_and_loses_nothing(service: Watched) -> None:
    tour, answers = joined(service), Counter[str]()
    threads = [threading.Thread(target=lambda: answers.update([guess(tour)])) for _ in range(PHONES)]
    with closing(sqlite3.connect(service.folder / "tours.db", isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        for thread in threads:
            thread.start()
        time.sleep(0.2)
        began = time.monotonic()
        for _ in range(5):
            assert typed(service) == "typed 200"
        assert time.monotonic() - began < 3
        assert service.ask("GET", "/api/health")[0] == 200
        until(lambda: answers["guess 503"] >= PHONES / 2)
        other.execute("ROLLBACK")
    for thread in threads:
        thread.join()

    assert answers.keys() <= {"guess 200", "guess 503"}
    assert tour.now()["stops"][0]["answered"] == answers["guess 200"] > 0, "who had waited was let in"
    assert guess(tour) == "guess 200"


def test_a_database_whose_file_is_gone_is_made_anew_and_the_old_tour_is_none(service: Watched) -> None:
    tour = joined(service)
    for path in service.folder.glob("tours.db*"):
        path.unlink()

    until(lambda: guess(tour) == "guess 404", 5)
    assert tour.see()[0] == 404
    assert typed(service) == "typed 200"
    assert service.ask("GET", "/api/ready")[0] == 200
    assert guess(joined(service)) == "guess 200"
    assert (service.folder / "tours.db").stat().st_size > 0
