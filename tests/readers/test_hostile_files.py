"""Files whose parts lie, read by one real reader: it lives on, leaves nothing, and says nothing of them."""

from __future__ import annotations

import tempfile
from collections import Counter
from pathlib import Path

import pytest

from shelfcheck.readers import Pool
from tests.bench.strange_files import KINDS, strange_file
from tests.readers.test_pool import GRANOLA, WORK, files_in

SLOW = {3, 7, 11, 14, 16, 19, 22, 23, 25, 27, 29, 30, 31, 39, 41, 43, 44, 45, 47, 52, 53, 55, 57}
"""Those that take seconds to make or to read; ``tests.bench.hostile`` sends them, too."""
CHOSEN = [number for number in range(63) if number not in SLOW]
REFUSALS = {"bad_photo", "photo_too_large", "no_panel"}


def test_the_same_number_gives_the_same_file() -> None:
    for number in range(len(KINDS)):
        if number not in SLOW:
            assert strange_file(number) == strange_file(number)


def test_a_reader_reads_or_refuses_files_whose_parts_lie_and_reads_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    pool, ends, kinds = Pool(1, 1, 0.2, WORK), Counter[str](), set()
    try:
        for number in CHOSEN:
            kind, photo = strange_file(number)
            answer = pool.read(photo, "en")
            kinds.add(kind)
            ends[answer.error.code if answer.error else "panel"] += 1
            assert files_in(tmp_path) == []
        assert pool.read(GRANOLA, "en").panel is not None
        assert pool.state()["restarts"] == 0
    finally:
        pool.close()

    assert len(CHOSEN) == 40
    assert kinds == KINDS.keys() - {"busy"}
    assert ends.keys() == REFUSALS | {"panel"}
    assert capfd.readouterr().err == ""
