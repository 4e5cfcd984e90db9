"""``/metrics``: what is counted, told to this machine alone, and together where several processes count."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from flask import Flask
from prometheus_client.parser import text_string_to_metric_families

from shelfcheck.service import create_app
from shelfcheck.service.metrics import count_read
from shelfcheck.service.parts import READERS
from tests.making import sample
from tests.test_serve import served
from tests.test_service import problem

QUERY = {"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}}
PHONE = "198.51.100.7"


@pytest.fixture
def app() -> Flask:
    return create_app()


def told(app: Flask) -> dict[tuple[str, ...], float]:
    """Return each sample by its name and the values of its labels, in the order of their names."""
    answer = app.test_client().get("/metrics")
    assert answer.status_code == 200
    assert answer.content_type.startswith("text/plain; version=")
    return {
        (each.name, *(each.labels[key] for key in sorted(each.labels))): each.value
        for family in text_string_to_metric_families(answer.get_data(as_text=True))
        for each in family.samples
    }


def test_requests_are_counted_by_route_method_and_the_hundred_of_their_status(app: Flask) -> None:
    client = app.test_client()
    for _ in range(2):
        client.post("/api/portions", json=QUERY)
    client.post("/api/portions", data=b"{", content_type="application/json")
    for code in ("one", "two"):
        client.get(f"/api/join/{code}")
        client.get(f"/{code}/{code}")
        client.open("/api/health", method=code)
    found = told(app)

    assert {key[1:]: value for key, value in found.items() if key[0] == "shelfcheck_requests_total"} == {
        ("POST", "/api/portions", "2xx"): 2,
        ("POST", "/api/portions", "4xx"): 1,
        ("GET", "/api/join/<code>", "4xx"): 2,
        ("GET", "none", "4xx"): 2,
        ("other", "none", "4xx"): 2,
    }
    assert found["shelfcheck_request_seconds_count", "/api/portions"] == 3
    assert 0 < found["shelfcheck_request_seconds_sum", "/api/portions"] < 3
    assert found["shelfcheck_request_seconds_bucket", "+Inf", "/api/portions"] == 3


def test_reads_are_counted_by_outcome_stage_and_state(app: Flask) -> None:
    with app.test_request_context():
        count_read("read", {"wait": 0.5, "decode": 0.25, "recognise": 2}, ["sure", "sure", "missing"])
        count_read("no_panel", {"wait": 0.25}, [])
    found = told(app)

    assert found["shelfcheck_reads_total", "read"] == 1
    assert found["shelfcheck_reads_total", "no_panel"] == 1
    assert found["shelfcheck_read_seconds_sum", "wait"] == 0.75
    assert found["shelfcheck_read_seconds_count", "recognise"] == 1
    assert found["shelfcheck_fields_read_total", "sure"] == 2
    assert found["shelfcheck_fields_read_total", "missing"] == 1


class Pool:
    """Readers of which one is at work and two photos wait."""

    def state(self) -> dict[str, int]:
        return {"readers": 3, "busy": 1, "waiting": 2, "restarts": 4}

    def ready(self) -> bool:
        return True


def test_readers_are_told_as_they_are_when_asked(app: Flask) -> None:
    assert told(app)["shelfcheck_readers",] == 0
    app.extensions[READERS] = Pool()
    found = told(app)

    assert found["shelfcheck_readers",] == 3
    assert found["shelfcheck_readers_busy",] == 1
    assert found["shelfcheck_readers_waiting",] == 2
    assert found["shelfcheck_readers_restarts",] == 4


def test_the_process_and_its_python_are_told(app: Flask) -> None:
    found = told(app)

    assert found["process_resident_memory_bytes",] > 1_000_000
    assert any(key[0] == "python_info" for key in found)


def test_each_service_counts_by_itself(app: Flask) -> None:
    app.test_client().get("/api/health")

    assert ("shelfcheck_requests_total", "GET", "/api/health", "2xx") in told(app)
    assert ("shelfcheck_requests_total", "GET", "/api/health", "2xx") not in told(create_app())


@pytest.mark.parametrize(
    ("metrics_from", "address", "headers", "status"),
    [
        ("127.0.0.0/8,::1", "127.0.0.1", {}, 200),
        ("127.0.0.0/8,::1", "::1", {}, 200),
        ("127.0.0.0/8,::1", "::ffff:127.0.0.1", {}, 200),
        ("127.0.0.0/8,::1", PHONE, {}, 404),
        ("127.0.0.0/8,::1", "", {}, 404),
        ("127.0.0.0/8,::1", "127.0.0.1", {"X-Forwarded-For": "127.0.0.1"}, 404),
        ("127.0.0.0/8,::1", "127.0.0.1", {"Forwarded": "for=127.0.0.1"}, 404),
        ("198.51.100.0/24", PHONE, {}, 200),
        ("198.51.100.0/24", PHONE, {"X-Forwarded-For": PHONE}, 404),
        ("198.51.100.0/24", "10.0.0.1", {"X-Forwarded-For": PHONE}, 200),
        ("127.0.0.0/8", "10.0.0.1", {"X-Forwarded-For": f"127.0.0.1, {PHONE}"}, 404),
        ("198.51.100.0/24", "10.0.0.1", {"X-Forwarded-For": PHONE, "Forwarded": "for=x"}, 404),
        ("", "127.0.0.1", {}, 404),
    ],
)
def test_strangers_find_no_such_page(
    metrics_from: str, address: str, headers: dict[str, str], status: int
) -> None:
    app = create_app({"metrics_from": metrics_from, "trusted_proxies": "10.0.0.1"})
    where = {"REMOTE_ADDR": address}
    answer = app.test_client().get("/metrics", headers=headers, environ_overrides=where)

    assert answer.status_code == status
    if status == 404:
        problem(answer, 404, "not_found")


def test_what_cannot_be_used_as_a_setting_is_named() -> None:
    with pytest.raises(ValueError, match=r'metrics_from lists addresses or networks, .* not "everybody"'):
        create_app({"metrics_from": "everybody"})


def test_a_real_proxy_on_this_machine_is_taken_for_a_stranger() -> None:
    """The server itself must leave the header by which that is seen."""
    code = (
        "import sys, urllib.request as u, urllib.error as e\n"
        "for headers in ({}, {'X-Forwarded-For': '127.0.0.1'}):\n"
        "    try: print(u.urlopen(u.Request(sys.argv[1] + '/metrics', headers=headers), timeout=5).status)\n"
        "    except e.HTTPError as error: print(error.code)\n"
    )
    with served() as (_, address):
        run = subprocess.run(
            [sys.executable, "-c", code, address], capture_output=True, text=True, check=True
        )

    assert run.stdout.split() == ["200", "404"]


@pytest.fixture
def together(tmp_path: Path) -> dict[str, str]:
    return os.environ | {"PROMETHEUS_MULTIPROC_DIR": str(tmp_path)}


def test_several_processes_count_together(together: dict[str, str]) -> None:
    code = (
        "import sys; from shelfcheck.service import create_app\n"
        "from shelfcheck.service.metrics import count_read\n"
        "class Pool:\n"
        "    def state(self): return {'readers': 2, 'busy': 1, 'waiting': 0, 'restarts': 0}\n"
        "app = create_app({'log': 'error'}); app.extensions['shelfcheck_readers'] = Pool()\n"
        "client = app.test_client(); client.get('/api/health')\n"
        "with app.test_request_context(): count_read('read', {'wait': 0.5}, ['sure'])\n"
        "print('counted', flush=True); sys.stdin.readline()\n"
        "print(client.get('/metrics').get_data(as_text=True))\n"
    )
    workers = [
        subprocess.Popen(
            [sys.executable, "-c", code],
            env=together,
            text=True,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        for _ in range(2)
    ]
    try:
        for worker in workers:
            assert worker.stdout is not None
            assert worker.stdout.readline() == "counted\n"
        text, _ = workers[0].communicate("\n", timeout=20)
    finally:
        for worker in workers:
            worker.kill()
            worker.communicate()

    assert 'shelfcheck_requests_total{method="GET",route="/api/health",status="2xx"} 2.0' in text
    assert 'shelfcheck_reads_total{outcome="read"} 2.0' in text
    assert 'shelfcheck_read_seconds_sum{stage="wait"} 1.0' in text
    assert "shelfcheck_readers 4.0" in text
    assert "shelfcheck_readers_busy 2.0" in text
