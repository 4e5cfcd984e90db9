"""The service under gunicorn, by the file we ship: processes that count together and end in good order."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from tests.making import ROOT, SAMPLES, typed_portion
from tests.processes import children, runs, until
from tests.test_serve import free_port

QUERY = typed_portion()
EACH = max(1, (os.cpu_count() or 1) // 2)
"""Readers of each of the two processes."""
PORTIONS = ("shelfcheck_requests_total", ("method", "POST"), ("route", "/api/portions"), ("status", "2xx"))


@dataclass
class Master:
    """gunicorn's first process, and its address."""

    process: subprocess.Popen[str]
    address: str

    def ask(self, path: str, body: bytes | None = None, kind: str = "application/json") -> Any:
        asked = urllib.request.Request(f"{self.address}{path}", body, {"Content-Type": kind})
        with urllib.request.urlopen(asked, timeout=30) as answer:
            content = answer.read()
        return json.loads(content) if "json" in answer.headers["Content-Type"] else content.decode()

    def counted(self) -> dict[tuple[Any, ...], float]:
        return {
            (each.name, *sorted(each.labels.items())): each.value
            for family in text_string_to_metric_families(self.ask("/metrics"))
            for each in family.samples
        }


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where it keeps its temporary files."""
    return tmp_path_factory.mktemp("gunicorn")


@pytest.fixture(scope="module")
def master(folder: Path) -> Iterator[Master]:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "gunicorn", "--config", str(ROOT / ".deploy" / "gunicorn.conf.py")],
        env=os.environ | {"SHELFCHECK_PORT": str(port), "TMPDIR": str(folder)},
        cwd=ROOT,
        stderr=subprocess.PIPE,
        text=True,
    )
    made = Master(process, f"http://127.0.0.1:{port}")
    try:
        until(lambda: answers(lambda: made.ask("/api/ready")))
        yield made
    finally:
        process.kill()
        process.communicate()


def answers(ask: Callable[[], object]) -> bool:
    with contextlib.suppress(OSError):
        ask()
        return True
    return False


def test_nobody_is_believed_but_the_proxies_that_the_service_trusts(master: Master) -> None:
    asked = urllib.request.Request(f"{master.address}/api/health", headers={"X-Forwarded-Proto": "https"})
    with urllib.request.urlopen(asked, timeout=10) as answer:
        assert answer.headers["Strict-Transport-Security"] is None


@pytest.mark.parametrize(("path", "status"), [("/api/panels/read", 413), ("/no/such/page", 404)])
def test_what_is_refused_is_heard_to_its_end_and_answered(path: str, status: int, master: Master) -> None:
    with pytest.raises(urllib.error.HTTPError) as refused:
        master.ask(path, bytes(40 * 1024 * 1024))
    with refused.value as answer:
        assert answer.code == status
        assert json.load(answer)["error"]["message"]


def test_processes_answer_count_together_and_a_killed_one_takes_its_readers_with_it(
    master: Master, folder: Path
) -> None:
    for _ in range(20):
        assert master.ask("/api/portions", QUERY)["working"]
    panel = master.ask("/api/panels/read", (SAMPLES / "fda_sample.png").read_bytes(), "image/png")
    assert panel["nutrients"]["energy"]["value"] == 230
    assert master.counted()[PORTIONS] == 20
    assert master.counted()["shelfcheck_reads_total", ("outcome", "read")] == 1
    until(
        lambda: master.counted()["shelfcheck_readers",] == 2 * EACH
    )  # each process tells its own when it is asked

    dead, other = children(master.process.pid)
    readers = children(dead)
    assert len(readers) == EACH
    os.kill(dead, signal.SIGKILL)

    until(lambda: not any(map(runs, readers)))
    until(lambda: len(children(master.process.pid)) == 2)
    assert other in children(master.process.pid)
    until(lambda: all(len(children(each)) == EACH for each in children(master.process.pid)))
    assert master.ask("/api/portions", QUERY)["working"]
    assert master.counted()[PORTIONS] == 21  # what the dead one counted is kept
    until(lambda: master.counted()["shelfcheck_readers",] == 2 * EACH)  # but not its readers

    master.process.send_signal(signal.SIGTERM)
    assert master.process.wait(20) == 0
    assert [found.name for found in folder.glob("shelfcheck-metrics*")] == []
