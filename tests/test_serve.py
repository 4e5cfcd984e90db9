"""``shelfcheck serve`` as a real process: it answers, it stops, and a taken port is told."""

import contextlib
import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator

import pytest

from shelfcheck.serve import _reachable, serve
from tests.making import panel_json


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextlib.contextmanager
def served(*options: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Run the service and yield its process and address; it is ended afterwards, whatever happened."""
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "shelfcheck", "serve", "--port", str(port), *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )
    address = f"http://127.0.0.1:{port}"
    try:
        deadline = time.monotonic() + 20
        while process.poll() is None and time.monotonic() < deadline:
            with contextlib.suppress(OSError):
                urllib.request.urlopen(f"{address}/api/health", timeout=1).close()
                break
            time.sleep(0.05)
        yield process, address
    finally:
        process.kill()
        process.communicate()


def post(address: str, body: bytes) -> tuple[int, dict[str, object]]:
    request = urllib.request.Request(
        f"{address}/api/portions", data=body, headers={"Content-Type": "application/json"}
    )
    try:
        with urllib.request.urlopen(request, timeout=10) as response:
            return response.status, json.load(response)
    except urllib.error.HTTPError as error:
        with error:
            return error.code, json.load(error)


def test_the_service_answers_and_ctrl_c_ends_it() -> None:
    with served() as (process, address):
        with urllib.request.urlopen(f"{address}/api/health", timeout=5) as response:
            assert response.status == 200
            assert json.load(response)["status"] == "ok"
            assert "Server" not in response.headers
        query = {
            "panel": panel_json("1 cup/240 ml", {"energy": 90}),
            "amount": {"count": 2, "measure": "fist"},
        }
        status, told = post(address, json.dumps(query).encode())
        assert status == 200
        assert told["working"]
        assert post(address, b"{")[0] == 400
        assert post(address, b'{"x": "' + b"x" * 100_000 + b'"}')[0] == 413

        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=10)

    assert process.returncode == 0
    assert address in out
    assert out.endswith("Stopped.\n")
    assert {json.loads(line)["event"] for line in err.splitlines()} == {"request"}


def test_an_answer_comes_whole_so_that_a_kill_leaves_none_half_told() -> None:
    asked = b"GET /api/measures HTTP/1.1\r\nHost: here\r\n\r\n"
    with served() as (_, address):
        where = ("127.0.0.1", int(address.rpartition(":")[2]))
        with socket.create_connection(where, timeout=10) as phone:
            for _ in range(50):
                phone.sendall(asked)
                head, _, body = phone.recv(65_536).partition(b"\r\n\r\n")
                length = head.lower().partition(b"content-length: ")[2].partition(b"\r\n")[0]
                assert len(body) == int(length)


def test_a_taken_port_ends_with_3_and_says_what_to_do() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        run = subprocess.run(
            [sys.executable, "-m", "shelfcheck", "serve", "--port", port],
            capture_output=True,
            text=True,
            check=False,
            timeout=20,
        )

    assert run.returncode == 3
    assert f"Cannot listen on 127.0.0.1:{port}" in run.stderr
    assert "--port" in run.stderr
    assert run.stdout == ""


def test_a_port_that_is_none_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert serve({"port": 70_000}) == 3  # getaddrinfo would take it for 4464
    assert "Choose another" in capsys.readouterr().err


def test_a_host_that_is_none_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert serve({"host": "no.such.host.invalid"}) == 3
    assert "Cannot listen" in capsys.readouterr().err


def test_a_setting_that_is_no_number_ends_with_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SHELFCHECK_THREADS", "many")

    assert serve({}) == 2
    assert "threads must be a number" in capsys.readouterr().err


def test_an_address_is_written_as_a_browser_takes_it() -> None:
    assert _reachable("192.168.0.7") == "192.168.0.7"
    assert _reachable("::1") == "[::1]"
    assert _reachable("0.0.0.0").count(".") == 3


def test_a_phone_is_shown_the_way_in() -> None:
    with served("--host", "0.0.0.0") as (process, _):
        process.send_signal(signal.SIGINT)
        out, _ = process.communicate(timeout=10)

    assert "On a phone in the same network, scan:" in out
    assert out.count("█") + out.count("▀") + out.count("▄") > 100
