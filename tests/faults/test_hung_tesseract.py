"""Tesseract that hangs: the photo is refused in time, nothing of it goes on, and the next photo is read."""

from __future__ import annotations

import io
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from PIL import Image

from shelfcheck.service import create_app
from shelfcheck.service.parts import READERS
from tests.faults.phones import QUERY
from tests.making import SAMPLES
from tests.processes import runs, until

READ_SECONDS = 3.0
WITHOUT_NETWORKS = """
import runpy
from shelfcheck.reading import engines
engines.LIBRARIES = ("no_such_library",)
runpy.run_module("shelfcheck.readers.child", run_name="__main__")
"""
HUNG = """#!/bin/sh
[ "$1 {works}" = "--list-langs yes" ] && echo eng && exit
[ "$1 {works}" = "--version yes" ] && echo tesseract 5.3.0 && exit
sleep 301 &
echo $$ $! >> {note}
exec sleep 300
"""
WORKING = '#!/bin/sh\nexec /usr/bin/tesseract "$@"\n'


def photo() -> bytes:
    """Return a piece of a label: soon read, and no panel."""
    out = io.BytesIO()
    with Image.open(SAMPLES / "fda_sample.png") as label:
        label.crop((0, 0, 900, 300)).save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FlaskClient]:
    """A service whose readers know Tesseract alone, and take it from a folder of ours."""
    (tmp_path / "child.py").write_text(WITHOUT_NETWORKS, encoding="utf-8")
    python = tmp_path / "python"
    python.write_text(
        f'#!/bin/sh\nshift 3\nexec {sys.executable} -P {tmp_path}/child.py "$@"\n', encoding="utf-8"
    )
    python.chmod(0o700)
    monkeypatch.setattr(sys, "executable", str(python))
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    app = create_app({"reads": 1, "read_seconds": READ_SECONDS, "read_wait_seconds": 0.2})
    app.extensions[READERS].start()
    until(app.extensions[READERS].ready)
    yield app.test_client()
    app.extensions[READERS].close()


@pytest.mark.ocr
@pytest.mark.parametrize("works", ["no", "yes"])
def test_a_tesseract_that_hangs_is_ended_in_time_with_all_that_it_started(
    client: FlaskClient, tmp_path: Path, works: str
) -> None:
    """It hangs as it is asked for its languages, or it works and hangs as it reads."""
    tesseract, note = tmp_path / "tesseract", tmp_path / "note"
    tesseract.write_text(HUNG.format(works=works, note=note), encoding="utf-8")
    tesseract.chmod(0o700)

    began = time.monotonic()
    answer = client.post("/api/panels/read", data=photo())
    assert time.monotonic() - began < READ_SECONDS + 1
    assert (answer.status_code, answer.get_json()["error"]["code"]) == (503, "reader_failed")
    assert answer.headers["Retry-After"] == "60"
    started = [int(number) for number in note.read_text(encoding="ascii").split()]
    assert len(started) >= 2
    until(lambda: not any(runs(one) for one in started), 2)
    assert client.post("/api/portions", data=QUERY, content_type="application/json").status_code == 200
    assert [path.name for path in tmp_path.glob("shelfcheck-*/**/*") if path.is_file()] == ["lock", "lock"]

    tesseract.write_text(WORKING, encoding="utf-8")
    assert client.post("/api/panels/read", data=photo()).get_json()["error"]["code"] == "no_panel"
