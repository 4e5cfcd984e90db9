"""The one place where readers may write while they read: private, emptied after each photo and at start.

``shelfcheck-USER`` in the system's folder for temporary files holds one folder for each service that runs.
A service locks its own for as long as it lives, so that the next one to start can tell whose service is gone.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import stat
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

_PRIVATE = 0o700
_LOCK = "lock"


class Folder:
    """A service's own folder; what services that are gone left behind is deleted when it is made.

    Args:
        base: where it is made; the system's folder for temporary files unless given.

    Raises:
        OSError: when it cannot be made, or somebody else made one of its name.
    """

    def __init__(self, base: Path | None = None) -> None:
        root = (base or Path(tempfile.gettempdir())) / f"shelfcheck-{os.getuid()}"
        with suppress(FileExistsError):
            root.mkdir(_PRIVATE)
        found = root.lstat()
        if not stat.S_ISDIR(found.st_mode) or found.st_uid != os.getuid() or found.st_mode & 0o077:
            raise PermissionError(f"{root} is not a private folder of this user. Delete it and start again.")
        with _locked(root / _LOCK):
            _sweep(root)
            self.path = root / uuid.uuid4().hex
            self.path.mkdir(_PRIVATE)
            self._lock = os.open(self.path / _LOCK, os.O_RDWR | os.O_CREAT, 0o600)
            fcntl.flock(self._lock, fcntl.LOCK_EX)

    def place(self, name: str) -> Path:
        """Return the folder of one reader, made and empty."""
        place = self.path / name
        empty(place)
        return place

    def close(self) -> None:
        """Delete the folder and all in it."""
        shutil.rmtree(self.path, ignore_errors=True)
        with suppress(OSError):
            os.close(self._lock)


def empty(place: Path) -> None:
    """Delete all that lies in a folder, which is made where it is not."""
    with suppress(FileNotFoundError):
        for found in list(os.scandir(place)):
            if found.is_dir(follow_symlinks=False):
                shutil.rmtree(found.path, ignore_errors=True)
            else:
                with suppress(FileNotFoundError):
                    Path(found.path).unlink()
    place.mkdir(_PRIVATE, parents=True, exist_ok=True)


def _sweep(root: Path) -> None:
    """Delete the folders of services that are gone: nobody holds their locks."""
    for left in [found for found in root.iterdir() if found.is_dir()]:
        with suppress(OSError):
            lock = os.open(left / _LOCK, os.O_RDWR | os.O_CREAT, 0o600)
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(left, ignore_errors=True)
            finally:
                os.close(lock)


@contextmanager
def _locked(file: Path) -> Iterator[None]:
    lock = os.open(file, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
    finally:
        os.close(lock)
