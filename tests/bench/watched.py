"""The service as a process that is watched: its memory, its files, and what it says that is no log."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from tests.bench.tour_service import Service
from tests.making import ROOT
from tests.processes import memory, tree

_LOOK_SECONDS, _REST_SECONDS, _READY_SECONDS = 0.5, 5.0, 60.0


class Watched(Service):
    """A service with a folder of its own for its database, temporary files and what it says.

    Args:
        folder: that folder.
        options: more options of ``shelfcheck serve``.
    """

    def __init__(self, folder: Path, *options: str) -> None:
        self.before = self.most = self.after = 0.0
        self.folder, self._done = folder, threading.Event()
        serve = ("-m", "shelfcheck", "serve", "--port", "{port}", "--db", f"sqlite:///{folder}/tours.db")
        super().__init__("", *serve, *options)

    def start(self, *, is_well: bool = True) -> None:
        """Start the process and wait until it answers; where all ``is_well``, until it reads photos, too."""
        with self._log.open("ab") as log, (self.folder / "out").open("ab") as out:
            self._process = subprocess.Popen(
                [sys.executable, *self._command],
                stdout=out,
                stderr=log,
                cwd=ROOT,
                env={"TMPDIR": str(self.folder), "PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT)},
            )
        self.wait()
        deadline = time.monotonic() + _READY_SECONDS
        while is_well and self.ask("GET", "/api/ready")[0] != 200 and time.monotonic() < deadline:
            time.sleep(0.1)

    def stop(self) -> int:
        """End it in good order, its readers too; return its status."""
        self._process.terminate()
        return self._process.wait()

    @contextlib.contextmanager
    def measured(self) -> Iterator[None]:
        """Measure its memory in MB before, at the most during and some seconds after what is done."""
        watch = threading.Thread(target=self._watch)
        self.before = memory(*tree(self.process))
        watch.start()
        try:
            yield
        finally:
            self._done.set()
            watch.join()
        time.sleep(_REST_SECONDS)
        self.after = memory(*tree(self.process))

    def told(self) -> list[str]:
        """Return lines on memory, on files that are left, and on what it said that is no line of its log."""
        said = [line for line in self._log.read_text().splitlines() if not _is_log(line)]
        return [
            f"memory: {self.before:.0f} MB before, {self.most:.0f} at the most, {self.after:.0f} afterwards",
            f"files left: {self.files_left()}",
            f"{len(said)} lines that are no log: {said[:3]}",
        ]

    def files_left(self) -> list[str]:
        """Return the files in its private folders, but for the locks."""
        found = self.folder.glob("shelfcheck-*/**/*")
        return [str(path) for path in found if path.is_file() and path.name != "lock"]

    @property
    def _log(self) -> Path:
        return self.folder / "log"

    def _watch(self) -> None:
        while not self._done.wait(_LOOK_SECONDS):
            self.most = max(self.most, memory(*tree(self.process)))


@contextlib.contextmanager
def watched(*options: str) -> Iterator[Watched]:
    """Run a watched service; it is stopped and its folder deleted afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        service = Watched(Path(folder), *options)
        try:
            yield service
        finally:
            service.stop()


def _is_log(line: str) -> bool:
    try:
        return isinstance(json.loads(line), dict)
    except ValueError:
        return False
