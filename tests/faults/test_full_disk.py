"""No room on the disk of the database, the temporary files and the log: what needs none goes on."""

from __future__ import annotations

import os
import resource
import subprocess
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.bench.watched import Watched
from tests.faults.phones import guess, joined, photo, readers, typed
from tests.processes import tree, until

_ROOM = "size=6m,nr_inodes=300"


class Disk(NamedTuple):
    """A folder, and how its disk is filled and emptied again."""

    folder: Path
    fill: Callable[[Watched], None]
    empty: Callable[[Watched], None]


def limited(folder: Path) -> Disk:
    """Return a disk that is full in that nobody of the service may write into a file."""

    def limit(service: Watched, most: int | None) -> None:
        for process in tree(service.process):
            with suppress(ProcessLookupError):
                _, hard = resource.prlimit(process, resource.RLIMIT_FSIZE)
                resource.prlimit(process, resource.RLIMIT_FSIZE, (hard if most is None else most, hard))

    return Disk(folder, lambda service: limit(service, 0), lambda service: limit(service, None))


def small(folder: Path) -> Disk:
    """Return a small disk, filled to the last byte and the last name of a file."""

    def fill(_service: Watched) -> None:
        with suppress(OSError), (folder / "filler").open("wb", buffering=0) as file:
            while True:
                file.write(b"\0" * 1024)
        with suppress(OSError):
            for number in range(1000):
                (folder / f"filler{number}").touch(exist_ok=False)

    def empty(_service: Watched) -> None:
        for path in folder.glob("filler*"):
            path.unlink()

    return Disk(folder, fill, empty)


@pytest.fixture(params=["limited", "small"])
def disk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Disk]:
    if request.param == "limited":
        yield limited(tmp_path)
        return
    mount = ["mount", "-t", "tmpfs", "-o", _ROOM, "tmpfs", str(tmp_path)]
    if os.getuid() or subprocess.run(mount, check=False, capture_output=True).returncode:
        pytest.skip("only root may make a small disk, and not everywhere")
    try:
        yield small(tmp_path)
    finally:
        subprocess.run(["umount", "--lazy", str(tmp_path)], check=True)


@pytest.fixture
def service(disk: Disk) -> Iterator[Watched]:
    found = Watched(disk.folder, "--reads", "1", "--log", "info")
    try:
        yield found
    finally:
        found.kill()


def test_on_a_full_disk_tours_say_so_all_else_goes_on_and_they_work_again(
    service: Watched, disk: Disk
) -> None:
    tour = joined(service)
    assert guess(tour) == "guess 200"

    disk.fill(service)
    until(lambda: guess(tour) == "guess 503")
    assert typed(service) == "typed 200"
    assert photo(service) == "photo 200"
    assert tour.see()[0] == 200
    os.kill(readers(service.process)[0], 9)
    assert photo(service) == "photo 200", "another reader is started"
    kept = tour.now()["stops"][0]["answered"]

    disk.empty(service)
    until(lambda: guess(tour) == "guess 200")
    assert tour.now()["stops"][0]["answered"] == kept + 1
    assert service.stop() == 0


def test_a_service_that_finds_no_room_at_its_start_does_what_needs_none_and_later_all(tmp_path: Path) -> None:
    unlimited = resource.getrlimit(resource.RLIMIT_FSIZE)
    service = Watched(tmp_path, "--reads", "1", "--log", "info")
    service.stop()
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, unlimited[1]))  # for what is started from here
        try:
            service.start(is_well=False)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, unlimited)
        assert typed(service) == "typed 200"
        assert photo(service) == "photo 503 60"
        assert service.ask("POST", "/api/tours/sample", {})[0] == 503
        down = {"status": "not_ready", "database": "down", "readers": "down"}
        assert service.ask("GET", "/api/ready")[:2] == (503, down)

        limited(tmp_path).empty(service)
        until(lambda: service.ask("GET", "/api/ready")[0] == 200)
        assert photo(service) == "photo 200"
        assert guess(joined(service)) == "guess 200"
        assert service.stop() == 0
    finally:
        service.kill()
