"""A PostgreSQL server of one's own for tests and benches: in a temporary folder, over a socket in it."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import psycopg

from shelfcheck.bootstrap import DEBIAN_POSTGRES

USER = "tours"
_OTHER = "nobody"
"""Who runs the server where we are root, which PostgreSQL refuses."""


class Postgres:
    """A server with its data in ``folder``; it can be stopped and started again."""

    def __init__(self, *, safe: bool = False) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="tours", dir="/tmp"))
        self.data = self.folder / "data"
        if os.geteuid() == 0:
            shutil.chown(self.folder, _OTHER)
        self._run("initdb", "--pgdata", self.data, "--username", USER, "--auth", "trust", "--no-sync")
        quick = "" if safe else "fsync = off\nsynchronous_commit = off\nfull_page_writes = off\n"
        with (self.data / "postgresql.conf").open("a") as settings:
            settings.write(f"listen_addresses = ''\nunix_socket_directories = '{self.folder}'\n{quick}")
            settings.write("max_connections = 200\n")
        self.start()

    def url(self, name: str) -> str:
        """Return the URL of the database ``name``, as the setting db takes it."""
        return f"postgresql://{USER}@/{name}?host={self.folder}"

    def make(self, name: str, template: str = "template1") -> str:
        """Make the database ``name`` and return its URL."""
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return self.url(name)

    def start(self) -> None:
        self._control("start", "--log", self.folder / "log")

    def stop(self) -> None:
        self._control("stop", "--mode", "immediate")

    def remove(self) -> None:
        self.stop()
        shutil.rmtree(self.folder)

    def _control(self, order: str, *more: str | Path) -> None:
        self._run("pg_ctl", order, "--pgdata", self.data, "--wait", "--silent", *more)

    def _run(self, program: str, *arguments: str | Path) -> None:
        found = shutil.which(program) or next(DEBIAN_POSTGRES.glob(f"*/bin/{program}"))
        command = [str(found), *map(str, arguments)]
        if os.geteuid() == 0:
            command = ["runuser", "-u", _OTHER, "--", *command]
        subprocess.run(command, check=True, cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
