"""What we ship for one machine: the unit of systemd, and the copies of the tours' database."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from shelfcheck.doctor import most_memory
from shelfcheck.service import create_app
from shelfcheck.service.tour_access import EXTENSION
from shelfcheck.settings import SETTINGS, load_settings
from tests.making import ROOT
from tests.tours.walking import Walk, amount, phone

UNIT = (ROOT / ".deploy" / "shelfcheck.service").read_text(encoding="utf-8")
LINES = [line.partition("=")[::2] for line in UNIT.splitlines() if "=" in line and line[0] != "#"]
ENVIRONMENT = dict(value.split("=", 1) for key, value in LINES if key == "Environment")
BACKUP = ROOT / ".deploy" / "backup.py"
MB = 1024 * 1024


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd is not here")
def test_systemd_finds_no_fault_in_the_unit(tmp_path: Path) -> None:
    program = dict(LINES)["ExecStart"].split()[0]
    unit = tmp_path / "shelfcheck.service"
    unit.write_text(UNIT.replace(program, sys.executable))

    run = subprocess.run(["systemd-analyze", "verify", unit], capture_output=True, text=True, check=False)

    assert (run.returncode, run.stdout + run.stderr) == (0, "")


def test_the_unit_names_settings_that_there_are() -> None:
    known = {f"SHELFCHECK_{setting.name.upper()}" for setting in SETTINGS}

    assert set(ENVIRONMENT) <= known
    assert "SHELFCHECK_DB" in ENVIRONMENT


def test_the_memory_of_the_unit_is_enough_for_all_that_may_be_read_at_once() -> None:
    settings = load_settings({"reads": ENVIRONMENT["SHELFCHECK_READS"]})
    size, unit = dict(LINES)["MemoryMax"][:-1], dict(LINES)["MemoryMax"][-1]
    most = int(size) * {"M": MB, "G": 1024 * MB}[unit]
    each = most_memory(settings) - most_memory(settings | {"reads": int(settings["reads"]) - 1})

    assert most_memory(settings) <= most
    assert f"Each more needs {-(-each // (50 * MB)) * 50}M more" in UNIT


def backup(database: Path, folder: Path) -> subprocess.CompletedProcess[str]:
    command = ["/usr/bin/env", "python3", BACKUP, database, folder]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_a_copy_is_made_while_phones_answer_and_is_served_again(tmp_path: Path) -> None:
    database, folder = tmp_path / "tours.db", tmp_path / "copies"
    app = create_app({"db": f"sqlite:///{database}"})
    walk, who = Walk.begin(app.test_client()), phone()
    walk.state("open")
    walk.guess(who, amount(3))  # it lies in the log beside the file, and the service holds both open

    run = backup(database, folder)
    walk.lead("DELETE")
    app.extensions[EXTENSION]().close()

    assert (run.returncode, run.stderr) == (0, "")
    [copy] = folder.iterdir()
    assert copy.stat().st_mode & 0o077 == 0
    again = create_app({"db": f"sqlite:///{copy}"})
    walk.client = again.test_client()
    assert walk.mine(who)["guesses"][0]["guess"]["count"] == 3
    again.extensions[EXTENSION]().close()


def test_old_copies_are_deleted_and_nothing_else(tmp_path: Path) -> None:
    database = tmp_path / "tours.db"
    with closing(sqlite3.connect(database)) as made:
        made.execute("CREATE TABLE tours (id)")
    folder = tmp_path / "copies"
    folder.mkdir()
    for name, days in (("tours-2020-01-01.db", 15), ("tours-2020-01-02.db", 13), ("letter.txt", 15)):
        (folder / name).touch()
        os.utime(folder / name, (time.time() - days * 86_400,) * 2)

    assert backup(database, folder).returncode == 0

    left = sorted(path.name for path in folder.iterdir())
    assert left[:2] == ["letter.txt", "tours-2020-01-02.db"]
    assert len(left) == 3


def test_no_copy_is_made_of_a_database_that_is_not_there(tmp_path: Path) -> None:
    run = backup(tmp_path / "none.db", tmp_path / "copies")

    assert run.returncode != 0
    assert list((tmp_path / "copies").glob("*.db")) == []
    assert not (tmp_path / "none.db").exists()
