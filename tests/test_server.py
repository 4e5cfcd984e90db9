"""The server and bodies that are too large, too many, too slow or broken off; told to stop under load."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import resource
import signal
import subprocess
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from prometheus_client.parser import text_string_to_metric_families

from tests.making import SAMPLES, typed_portion
from tests.processes import children, until
from tests.test_serve import served

PHOTO = (SAMPLES / "fda_sample.png").read_bytes()
QUERY = typed_portion()
MOST, ALL = 900_000, 1_200_000
"""Bytes of a photo, and of all that are on their way."""
LIMITS = ("--max-photo-bytes", str(MOST), "--max-body-bytes", str(ALL), "--reads", "1", "--log", "error")
NO_PHOTO = b"\0" * 700_000


class Phone:
    """A connection that stays open."""

    def __init__(self, address: str) -> None:
        host, port = address.removeprefix("http://").split(":")
        self.connection = http.client.HTTPConnection(host, int(port), timeout=30)

    def ask(
        self, method: str, path: str, body: bytes = b"", kind: str = "image/jpeg"
    ) -> tuple[int, dict[str, str]]:
        self.connection.request(method, path, body, {"Content-Type": kind})
        return self.answer()

    def type(self) -> int:
        return self.ask("POST", "/api/portions", QUERY, "application/json")[0]

    def begin(self, length: int, part: bytes) -> None:
        """Send the head of a photo of this length and a part of it."""
        self.connection.putrequest("POST", "/api/panels/read")
        self.connection.putheader("Content-Length", str(length))
        self.connection.endheaders(part)

    def chunks(self, path: str, parts: list[bytes], kind: str = "image/jpeg") -> tuple[int, dict[str, str]]:
        self.connection.request("POST", path, iter(parts), {"Content-Type": kind}, encode_chunked=True)
        return self.answer()

    def answer(self) -> tuple[int, dict[str, str]]:
        answer = self.connection.getresponse()
        body = answer.read()
        if answer.status >= 400:
            assert json.loads(body)["error"]["message"]
        return answer.status, dict(answer.headers)


@pytest.fixture(scope="module")
def service() -> Iterator[tuple[subprocess.Popen[str], str]]:
    with served(*LIMITS) as found:
        yield found


@pytest.fixture
def phone(service: tuple[subprocess.Popen[str], str]) -> Iterator[Callable[[], Phone]]:
    """Return a function that connects another phone."""
    with contextlib.ExitStack() as stack:

        def connect() -> Phone:
            made = Phone(service[1])
            stack.callback(made.connection.close)
            return made

        yield connect


def counted(phone: Phone, name: str, **labels: str) -> float:
    phone.connection.request("GET", "/metrics")
    told = phone.connection.getresponse().read().decode()
    families = text_string_to_metric_families(told)
    found = [
        one.value for family in families for one in family.samples if (one.name, one.labels) == (name, labels)
    ]
    return sum(found)


def test_a_photo_that_is_too_large_is_heard_to_its_end_and_refused(phone: Callable[[], Phone]) -> None:
    one, large = phone(), b"\xff\xd8\xff" + b"x" * MOST

    assert one.ask("POST", "/api/panels/read", large)[0] == 413
    assert one.chunks("/api/panels/read", [large[:400_000], large[400_000:]])[0] == 413
    assert one.type() == 200, "the connection is still good"


def test_beyond_the_bytes_that_may_be_on_their_way_a_photo_should_come_again(
    phone: Callable[[], Phone],
) -> None:
    second, firsts = phone(), []

    def is_crowded() -> bool:
        for one in firsts:
            one.connection.close()
        firsts.append(phone())
        firsts[-1].begin(MOST, b"\0" * (MOST - 1))
        time.sleep(0.3)  # else the second may come first, and the first be what is dropped
        return second.ask("POST", "/api/panels/read", NO_PHOTO)[0] == 503

    until(is_crowded)
    first = firsts[-1]

    status, headers = second.ask("POST", "/api/panels/read", NO_PHOTO)
    assert (status, headers["Retry-After"]) == (503, "5")
    assert second.chunks("/api/panels/read", [NO_PHOTO])[0] == 503
    assert second.type() == 200, "typed entry goes on, on the same connection"
    assert second.ask("POST", "/api/panels/read", b"\0" * 1000)[0] == 415, "what is small is heard"

    first.connection.send(b"\0")
    assert first.answer()[0] == 415
    until(lambda: second.ask("POST", "/api/panels/read", NO_PHOTO)[0] == 415)


def test_what_uploads_that_broke_off_held_is_given_back(phone: Callable[[], Phone]) -> None:
    for _ in range(5):
        one = phone()
        one.begin(MOST, NO_PHOTO)
        one.connection.close()

    until(lambda: phone().ask("POST", "/api/panels/read", NO_PHOTO)[0] == 415)


def test_phones_that_stall_hold_up_nobody(phone: Callable[[], Phone]) -> None:
    slow = [phone() for _ in range(40)]
    for one in slow[:20]:
        one.begin(50_000, PHOTO[:1000])
    for one in slow[20:]:
        one.connection.connect()
        one.connection.sock.sendall(b"POST /api/panels/read HTT")

    assert phone().type() == 200
    assert phone().ask("POST", "/api/panels/read", PHOTO)[0] == 200


def test_a_photo_whose_sender_left_is_not_read(
    service: tuple[subprocess.Popen[str], str], phone: Callable[[], Phone]
) -> None:
    watcher = phone()
    reader = children(service[0].pid)[0]
    before = counted(watcher, "shelfcheck_reads_total", outcome="left")
    first, gone = phone(), phone()
    os.kill(reader, signal.SIGSTOP)
    try:
        first.begin(len(PHOTO), PHOTO)
        until(lambda: counted(watcher, "shelfcheck_readers_busy") == 1)
        gone.begin(len(PHOTO), PHOTO)
        until(lambda: counted(watcher, "shelfcheck_readers_waiting") == 1)
        gone.connection.close()
        until(lambda: counted(watcher, "shelfcheck_reads_total", outcome="left") == before + 1)
        assert counted(watcher, "shelfcheck_readers_waiting") == 0
    finally:
        os.kill(reader, signal.SIGCONT)
    assert first.answer()[0] == 200


def test_nothing_that_is_sent_is_written_to_disk() -> None:
    """The process may write no byte to any file; pipes and connections are none."""
    form = b'--x\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n%s\r\n--x--\r\n'
    large = b"\xff\xd8\xff" + os.urandom(3_000_000)
    with served("--log", "error") as (process, address):
        for one in (process.pid, *children(process.pid)):
            resource.prlimit(one, resource.RLIMIT_FSIZE, (0, 0))
        phone = Phone(address)

        assert phone.ask("POST", "/api/panels/read", large)[0] == 415
        assert phone.chunks("/api/panels/read", [large, large])[0] == 415
        assert phone.ask("POST", "/api/panels/read", PHOTO)[0] == 200
        assert phone.ask("POST", "/share", form % large, "multipart/form-data; boundary=x")[0] == 303
        assert phone.ask("POST", "/api/portions", form % large, "multipart/form-data; boundary=x")[0] == 415
        assert phone.ask("POST", "/api/tours/sample", b"{}", "application/json")[0] == 503, (
            "it would be written"
        )
        phone.connection.close()


def test_told_to_stop_under_load_it_first_answers_what_has_come() -> None:
    ends: list[tuple[float, str]] = []
    stopping = threading.Event()

    def go(address: str, send: Callable[[Phone], int]) -> None:
        while not stopping.is_set():
            phone, began = Phone(address), time.monotonic()
            try:
                phone.connection.connect()
                ends.append((began, str(send(phone))))
            except ConnectionRefusedError:
                time.sleep(0.05)  # nobody listens any more
            except (OSError, http.client.HTTPException) as broken:
                ends.append((began, type(broken).__name__))
            finally:
                phone.connection.close()

    with served("--reads", "2", "--log", "error") as (process, address):
        readers = children(process.pid)
        sends = [lambda one: one.ask("POST", "/api/panels/read", PHOTO)[0]] * 3 + [Phone.type] * 3
        threads = [threading.Thread(target=go, args=(address, send)) for send in sends]
        for thread in threads:
            thread.start()
        until(lambda: len(ends) > 20)
        told_at = time.monotonic()
        process.terminate()
        out, _ = process.communicate(timeout=20)
        stopping.set()
        for thread in threads:
            thread.join()

    assert (process.returncode, out.splitlines()[-1]) == (0, "Stopped.")
    assert not [one for one in readers if Path(f"/proc/{one}").exists()]
    assert Counter(end for began, end in ends if began < told_at).keys() <= {"200", "503"}
