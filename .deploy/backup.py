#!/usr/bin/python3
"""Copy the tours' database while the service uses it: ``backup.py DATABASE FOLDER [DAYS]``.

The copy is FOLDER/tours-DATE.db, for its owner alone. Copies older than DAYS (14) are deleted, since what
people delete in the app should be gone from copies, too. Standard library only.
"""

from __future__ import annotations

import os
import sqlite3
import sys
import time
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

_DAYS = 14
_DAY = 24 * 60 * 60


def main(database: Path, folder: Path, days: float = _DAYS) -> None:
    """Make today's copy, look whether it is whole, and delete old ones."""
    os.umask(0o077)
    folder.mkdir(parents=True, exist_ok=True)
    copy = folder / f"tours-{datetime.now(UTC):%Y-%m-%d}.db"
    part = copy.with_suffix(".part")
    part.unlink(missing_ok=True)
    with closing(sqlite3.connect(f"{database.absolute().as_uri()}?mode=rw", uri=True)) as tours:
        tours.execute("VACUUM INTO ?", (str(part),))
    with closing(sqlite3.connect(part)) as made:
        said = made.execute("PRAGMA integrity_check").fetchone()[0]
    if said != "ok":
        sys.exit(f"The copy {part} is not whole: {said}")
    part.replace(copy)
    for old in folder.glob("tours-*.db"):
        if time.time() - old.stat().st_mtime > days * _DAY:
            old.unlink()


if __name__ == "__main__":
    if len(sys.argv) not in (3, 4):
        sys.exit("Say what to copy and where to: backup.py DATABASE FOLDER [DAYS]")
    try:
        main(Path(sys.argv[1]), Path(sys.argv[2]), *map(float, sys.argv[3:]))
    except (OSError, ValueError, sqlite3.Error) as error:
        sys.exit(f"No copy was made of {sys.argv[1]}: {error}. Look at the paths and the room on the disk.")
