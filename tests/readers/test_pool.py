"""Readers as real processes: they read, are limited, die, hang, and leave nothing behind."""

import io
import os
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from shelfcheck.errors import BusyError, ClientLeftError, ReaderFailedError
from shelfcheck.readers import Pool
from shelfcheck.readers.folder import Folder
from shelfcheck.readers.reader import Reader, Work
from tests.making import ROOT, SAMPLES
from tests.processes import runs, until

GRANOLA = (SAMPLES / "fda_sample.png").read_bytes()
WORK = Work(25.0, 60_000_000, 480 * 1024 * 1024)


@pytest.fixture(autouse=True)
def own_temporary_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


@pytest.fixture
def pool() -> Iterator[Pool]:
    made = Pool(1, 1, 0.2, WORK)
    yield made
    made.close()


def process_of(pool: Pool) -> int:
    process = pool._all[0]._process
    assert process is not None
    return process.pid


def files_in(folder: Path) -> list[str]:
    return [str(found) for found in folder.rglob("*") if found.is_file() and found.name != "lock"]


def test_a_photo_is_read_in_another_process_and_each_stage_is_timed(pool: Pool, tmp_path: Path) -> None:
    answer = pool.read(GRANOLA, "en")

    assert answer.error is None
    assert answer.panel is not None
    assert answer.panel["nutrients"]["energy"] == {
        "value": 230,
        "unit": "kcal",
        "percent_dv": None,
        "less_than": False,
        "state": "sure",
    }
    assert set(answer.seconds) == {"wait", "decode", "recognise", "understand"}
    assert files_in(tmp_path) == []


def test_a_refusal_comes_back_as_the_error_it_was(pool: Pool) -> None:
    answer = pool.read(b"\xff\xd8\xff", "es")

    assert answer.panel is None
    assert answer.error is not None
    assert (answer.error.code, answer.error.status) == ("bad_photo", 415)
    assert "imagen" in answer.error.message


def test_a_picture_that_needs_more_memory_than_there_is_for_one_is_too_large(tmp_path: Path) -> None:
    out = io.BytesIO()
    Image.new("RGBA", (5000, 5000), "white").save(out, "PNG", compress_level=1)
    pool = Pool(1, 1, 0.2, WORK._replace(bytes=96 * 1024 * 1024))
    try:
        answer = pool.read(out.getvalue(), "en")
        assert answer.error is not None
        assert (answer.error.code, answer.error.status) == ("photo_too_large", 413)
        assert pool.state()["restarts"] == 0
    finally:
        pool.close()
    assert [found.name for found in tmp_path.rglob("*") if found.is_file()] == ["lock"]


def test_a_reader_that_was_killed_is_started_again_and_the_photo_read(pool: Pool) -> None:
    pool.start()
    os.kill(process_of(pool), signal.SIGKILL)

    assert pool.read(GRANOLA, "en").panel is not None


def test_a_reader_that_is_killed_while_it_reads_reads_again(pool: Pool) -> None:
    pool.start()
    until(pool.ready)
    first = process_of(pool)
    os.kill(first, signal.SIGSTOP)
    threading.Timer(0.3, os.kill, (first, signal.SIGKILL)).start()

    assert pool.read(GRANOLA, "en").panel is not None
    assert process_of(pool) != first
    assert pool.state()["restarts"] == 1


def test_a_reader_that_keeps_much_memory_is_replaced_before_the_next_photo(
    pool: Pool, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[bool] = []

    def ask(self: Reader, *given: Any, real: Callable[..., Any] = Reader.ask) -> Any:
        answer = real(self, *given)
        assert "swollen" not in answer
        said.append(self.swollen)
        self.swollen = True  # as if the photo had been a strange one
        return answer

    monkeypatch.setattr(Reader, "ask", ask)
    assert pool.read(b"\xff\xd8\xff", "en").error is not None
    first = process_of(pool)
    assert pool.state()["restarts"] == 1
    assert pool.read(b"\xff\xd8\xff", "en").error is not None

    assert process_of(pool) != first
    assert said == [False, False]


def told_by(script: str) -> str:
    """Return what a script prints in a process of its own."""
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT)
    return run.stdout


def test_memory_that_is_kept_is_told_from_memory_that_was_given_back() -> None:
    """Without libraries; 300 MB are held, then let go."""
    script = (
        "from shelfcheck.readers.limits import bound_memory, has_swollen\n"
        "most = bound_memory(2**29) + 2**27\n"
        "told = [has_swollen(most)]\n"
        "held = bytearray(300 * 2**20)\n"
        "told.append(has_swollen(most))\n"
        "del held\n"
        "print(*told, has_swollen(most))\n"
    )
    assert told_by(script).split() == ["False", "True", "False"]


def test_large_pieces_of_memory_go_back_to_the_system_at_once() -> None:
    """Pieces of growing size let go in turn, which malloc would else keep; a later one lies behind them."""
    script = (
        "from shelfcheck.readers.limits import _taken, hand_large_pieces_back\n"
        "hand_large_pieces_back()\n"
        "began = _taken()\n"
        "for size in (8, 16, 24, 30):\n"
        "    held = [bytearray(size * 2**20) for _ in range(4)]\n"
        "    held = [bytes(5000)]\n"
        "held = [bytearray(20 * 2**20) for _ in range(4)]\n"
        "last = bytes(5000)\n"
        "del held\n"
        "print((_taken() - began) // 2**20)\n"
    )
    assert int(told_by(script)) < 10


def test_a_reader_that_hangs_is_ended_with_all_that_it_started(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    script, note = tmp_path / "python", tmp_path / "note"
    script.write_text(f'#!/bin/sh\nsleep 61 &\necho $! > {note}\nexec {sys.executable} "$@"\n')
    script.chmod(0o700)
    monkeypatch.setattr(sys, "executable", str(script))  # as if it ran Tesseract
    pool = Pool(1, 1, 0.2, WORK._replace(seconds=0.5))
    try:
        pool.start()
        until(pool.ready)
        hung, helper = process_of(pool), int(note.read_text())
        os.kill(hung, signal.SIGSTOP)
        began = time.monotonic()
        with pytest.raises(ReaderFailedError):
            pool.read(GRANOLA, "en")
        assert time.monotonic() - began < 5
        until(lambda: not runs(helper))
        assert not runs(hung)
    finally:
        pool.close()


def test_beyond_the_line_a_photo_is_busy_and_one_whose_client_left_is_dropped(pool: Pool) -> None:
    pool.start()
    until(pool.ready)
    os.kill(process_of(pool), signal.SIGSTOP)
    reading = threading.Thread(target=pool.read, args=(GRANOLA, "en"))
    reading.start()
    until(lambda: pool.state()["busy"] == 1)

    with pytest.raises(BusyError):
        pool.read(GRANOLA, "en")
    with pytest.raises(ClientLeftError):
        pool.read(GRANOLA, "en", lambda: True)

    os.kill(process_of(pool), signal.SIGCONT)
    reading.join(timeout=30)
    assert not reading.is_alive()
    assert pool.state() == {"readers": 1, "busy": 0, "waiting": 0, "restarts": 0}


def test_what_a_service_that_is_gone_left_is_deleted_at_start_and_a_living_ones_is_not(
    tmp_path: Path,
) -> None:
    living = Folder(tmp_path)
    photo = living.place("0") / "photo.png"
    photo.write_bytes(GRANOLA)
    gone = Folder(tmp_path)
    (gone.place("0") / "photo.png").write_bytes(GRANOLA)
    os.close(gone._lock)  # as the system does when a process ends

    third = Folder(tmp_path)

    assert photo.exists()
    assert not gone.path.exists()
    third.close()
    living.close()


def test_a_folder_that_others_may_look_into_is_not_used(tmp_path: Path) -> None:
    root = tmp_path / f"shelfcheck-{os.getuid()}"
    root.mkdir(mode=0o755)

    with pytest.raises(PermissionError, match="private"):
        Folder(tmp_path)


@pytest.mark.parametrize("turn", range(2))
def test_readers_end_with_a_service_that_is_killed_and_leave_no_photo(tmp_path: Path, turn: int) -> None:
    """Killed at a random point while it reads; each reader empties its folder and ends."""
    script = (
        "import threading; from shelfcheck.readers import Pool; from tests.readers.test_pool import *;"
        f"tempfile.tempdir = {str(tmp_path)!r}; pool = Pool(2, 1, 9, WORK); pool.start();"
        "print(*[one._process.pid for one in pool._all], flush=True)\n"
        "def go():\n while True: pool.read(GRANOLA, 'en')\n"
        "[threading.Thread(target=go).start() for _ in range(2)]"
    )
    service = subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT
    )
    assert service.stdout is not None
    readers = [int(number) for number in service.stdout.readline().split()]
    time.sleep(random.Random(turn).uniform(0.1, 1.5))
    service.kill()
    service.communicate()

    until(lambda: not any(runs(reader) for reader in readers))
    assert files_in(tmp_path) == []
    Folder(tmp_path).close()
    assert [found.name for found in (tmp_path / f"shelfcheck-{os.getuid()}").iterdir()] == ["lock"]
