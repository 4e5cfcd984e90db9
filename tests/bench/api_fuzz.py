"""Requests that schemathesis makes of the OpenAPI document: ``python -m tests.bench.api_fuzz [COUNT]``.

Half of them are as described, half are not; half carry a living tour's code, food and token, so that they
get past the door. Each answer must be described, and no 5xx but a 503 that says when to come again. Prints
how many were answered how, what was wrong, and the memory of the service.
"""

from __future__ import annotations

import contextlib
import random
import sys
from collections import Counter
from typing import Any

import hypothesis
import schemathesis
from hypothesis import HealthCheck, Phase
from schemathesis import Case, GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.specs.openapi import checks

from tests.bench.tour_service import Tour
from tests.bench.watched import Watched, watched

_BUSY = 503
_ANSWERS = [
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_schema_conformance,
]
_NO_LIMITS = ("--tour-makes-per-hour", "9999999", "--wrong-codes-per-minute", "9999999")
_TOUR_LASTS = 40
"""Requests that one tour is used for; some of them end or delete it."""


class Fuzz:
    """What was asked so far, and what came of it."""

    def __init__(self, service: Watched) -> None:
        self.statuses: Counter[int] = Counter()
        self.wrong: Counter[str] = Counter()
        self.first: dict[str, str] = {}
        self._service, self._asked = service, 0
        self._rng = random.Random(1)
        self._tour = Tour(service)

    def ask(self, case: Case) -> None:
        """Send a request, perhaps as somebody who may, and look at the answer."""
        if self._asked % _TOUR_LASTS == 0:
            self._tour = Tour(self._service)
        self._asked += 1
        self._let_in(case)
        answer = case.call()
        self.statuses[answer.status_code] += 1
        if answer.status_code == _BUSY and answer.headers.get("retry-after"):
            return
        try:
            case.validate_response(answer, checks=[not_a_server_error, *_ANSWERS])
        except FailureGroup as group:
            for failure in group.exceptions:
                self._note(case, failure)

    def _let_in(self, case: Case) -> None:
        """Put the living tour's code, food and token in place of what was made up, each half of the time."""
        known: dict[str, Any] = {"code": self._tour.code, "stop": self._rng.choice(self._tour.stops)}
        for name in known.keys() & case.path_parameters.keys():
            if self._rng.random() < 0.5:
                case.path_parameters[name] = known[name]
        if self._rng.random() < 0.5:
            case.headers.update(self._tour.lead)

    def _note(self, case: Case, failure: Exception) -> None:
        kind = f"{case.operation.label}: {failure.title if isinstance(failure, Failure) else failure!r}"
        self.wrong[kind] += 1
        self.first.setdefault(kind, f"{failure}\n{case.as_curl_command()[:600]}")


def main() -> int:
    """Print what was found; return 1 when something was wrong."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with watched(*_NO_LIMITS) as service:
        with service.measured():
            fuzz = Fuzz(service)
            schema = schemathesis.openapi.from_url(f"http://127.0.0.1:{service.port}/api/openapi.json")
            operations = [found.ok() for found in schema.get_all_operations()]
            ways = [(one, mode) for one in operations for mode in GenerationMode]
            for seed in range(count):  # some operations take nothing, and have but one request
                for operation, mode in ways:
                    _draw(operation, mode, -(-count // len(ways)), seed, fuzz)
                if fuzz.statuses.total() >= count:
                    break
        told = service.told()
    lines = [f"{fuzz.statuses.total()} requests of {len(operations)} operations: {_sorted(fuzz.statuses)}"]
    lines += [f"{times} times {kind}\n{fuzz.first[kind]}" for kind, times in fuzz.wrong.most_common()]
    sys.stdout.write("\n".join([*lines, *told]) + "\n")
    return 1 if fuzz.wrong else 0


def _sorted(counts: Counter[int]) -> dict[int, int]:
    return dict(sorted(counts.items()))


def _draw(operation: Any, mode: GenerationMode, count: int, seed: int, fuzz: Fuzz) -> None:
    @hypothesis.seed(seed)
    @hypothesis.settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @hypothesis.given(case=operation.as_strategy(generation_mode=mode))
    def ask(case: Case) -> None:
        fuzz.ask(case)

    with contextlib.suppress(hypothesis.errors.Unsatisfiable):  # what takes nothing can't be sent wrongly
        ask()


if __name__ == "__main__":
    sys.exit(main())
