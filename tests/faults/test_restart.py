"""The service ended and started again at the same port under load, as for a new release."""

from __future__ import annotations

import threading
import uuid
from collections import Counter
from functools import partial

from tests.bench.watched import watched
from tests.faults.phones import WELL, guess, joined, photo, typed, until_well
from tests.processes import until

PHONES = 3


def test_phones_that_try_again_lose_nothing_by_a_restart() -> None:
    said: list[str] = []
    answers: Counter[str] = Counter()
    ended = threading.Event()
    with watched("--reads", "1", "--log", "error") as service:
        tour = joined(service)

        def say() -> str:
            said.append(str(uuid.uuid4()))
            return until_well(partial(guess, tour, said[-1]))

        def go(number: int) -> None:
            ways = (say, partial(until_well, partial(typed if number else photo, service)))
            while not ended.wait(0.02):
                answers.update([way() for way in ways])

        phones = [threading.Thread(target=go, args=(number,)) for number in range(PHONES)]
        for phone in phones:
            phone.start()
        until(lambda: answers.total() > 20)
        before = answers.total()
        assert service.stop() == 0
        service.start()
        until(lambda: answers.total() > before + 20)
        ended.set()
        for phone in phones:
            phone.join()

        assert answers.keys() == WELL
        assert tour.now()["stops"][0]["answered"] == len(said) == len(set(said))
