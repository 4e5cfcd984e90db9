"""Where tours are kept: SQLite in one file, or PostgreSQL by its URL.

Every write takes its lock at once (``BEGIN IMMEDIATE``; on PostgreSQL the tour's row), so that two writers
never wait for each other in a circle. Whatever keeps the database from answering becomes one ``StoreError``.
"""

from __future__ import annotations

import logging
import os
import sqlite3
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, create_engine, event, exc, make_url
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import URL
from sqlalchemy.orm import Session

from shelfcheck.errors import StoreError
from shelfcheck.tours import migrations
from shelfcheck.tours.calendar import Calendar
from shelfcheck.tours.door import Door, ShutError
from shelfcheck.tours.tables import Base
from shelfcheck.words import DEFAULT, say

_OUR_SLIP = (exc.IntegrityError, exc.DataError, exc.NotSupportedError)
"""What the database refuses although it is well."""
_log = logging.getLogger("shelfcheck")
_REMEMBERED = 512
_WAIT_SECONDS = 5.0
"""Longest wait for another writer, or for the server of the database. Judgement."""
_AGAIN_SECONDS = 0.01
_SEEN_TO_BE_GONE = {
    "tcp_user_timeout": 5000,
    "keepalives_idle": 5,
    "keepalives_interval": 2,
    "keepalives_count": 2,
}
"""A server that vanished without a word is noticed within some seconds, not after a quarter of an hour."""
_Made = TypeVar("_Made")


class Store:
    """A database of tours; made ready at its first use, and again after it was gone.

    Args:
        url: a database URL; empty for the file ``shelfcheck.db`` in the user's data folder.
        days: how long a tour is kept after its last change.
        clock: tells the time in seconds since 1970.
        steady: tells seconds that no change of the clock touches.
        wait_seconds: the longest wait for another writer.

    Raises:
        ValueError: when the URL is none, or of a kind that is not known here.
    """

    def __init__(
        self,
        url: str,
        days: int = 90,
        clock: Callable[[], float] = time.time,
        steady: Callable[[], float] = time.monotonic,
        wait_seconds: float = _WAIT_SECONDS,
    ) -> None:
        self.days = days
        self.calendar = Calendar(clock, steady, days)
        self.swept_at = 0
        self._wait = wait_seconds
        self._url = _read_url(url)
        self._own_folder = None if url else default_file().parent
        self._engine = self._connected()
        self._writer = self._engine.execution_options(begin="IMMEDIATE")
        self._doors = {self._engine: Door(), self._writer: self._door_of_writers()}
        self._ready = False
        self._preparing = threading.Lock()
        self._remembered: OrderedDict[tuple[object, ...], Any] = OrderedDict()
        self._remembering = threading.Lock()

    @property
    def now(self) -> int:
        """The time in whole seconds since 1970."""
        return self.calendar.now

    @contextmanager
    def reading(self, lang: str = DEFAULT) -> Iterator[Session]:
        """Give a session to read with.

        Raises:
            StoreError: when the database does not answer.
        """
        with self._session(self._engine, lang) as session:
            yield session

    @contextmanager
    def writing(self, lang: str = DEFAULT) -> Iterator[Session]:
        """Give a session to write with; all of it is kept at the end, or none when anything is raised.

        Raises:
            StoreError: when the database does not answer, is full or stays locked.
        """
        with self._session(self._writer, lang) as session:
            yield session

    def insert(self, table: type[Base]) -> sqlite.Insert | postgresql.Insert:
        """Return an insert that knows ON CONFLICT, in the words of this database."""
        if self._engine.dialect.name == "sqlite":
            return sqlite.insert(table)
        return postgresql.insert(table)

    def remember(self, key: tuple[object, ...], make: Callable[[], _Made]) -> _Made:
        """Return what ``make`` makes, made once for each ``key`` and kept while it is in use."""
        with self._remembering:
            if key in self._remembered:
                self._remembered.move_to_end(key)
                kept: _Made = self._remembered[key]
                return kept
        made = make()
        with self._remembering:
            self._remembered[key] = made
            while len(self._remembered) > _REMEMBERED:
                self._remembered.popitem(last=False)
        return made

    def prepare(self, lang: str = DEFAULT) -> None:
        """Bring the tables to the newest form, once.

        Raises:
            StoreError: when the database does not answer.
        """
        with self._preparing, self._told(lang):
            if self._ready:
                return
            if self._own_folder:
                self._own_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            with self._engine.connect() as connection:
                newest = migrations.is_newest(connection)
            if not newest:
                with self._writer.begin() as connection:
                    migrations.upgrade(connection)
            self._ready = True

    def answers(self) -> bool:
        """Tell whether the database answers and has the tables of this release, made now if need be."""
        try:
            self.prepare()
            with self._told(DEFAULT), self._engine.connect() as connection:
                return migrations.is_newest(connection)
        except StoreError:
            return False

    def look(self) -> bool:
        """Tell whether the tables are those of this release; nothing is changed.

        Raises:
            StoreError: when the database does not answer, or stays locked.
        """
        with self._told(DEFAULT), self._writer.connect() as connection:
            return migrations.is_newest(connection)

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()

    def _door_of_writers(self) -> Door:
        """Return the door of who writes; SQLite lets in one at a time, and has others wait unfairly."""
        return Door(most=1) if self._engine.dialect.name == "sqlite" else Door()

    @contextmanager
    def _session(self, engine: Engine, lang: str) -> Iterator[Session]:
        with self._told(lang, self._doors[engine]), self._doors[engine].entered():
            if not self._ready:
                self.prepare(lang)
            with Session(engine, expire_on_commit=False) as session, session.begin():
                yield session

    @contextmanager
    def _told(self, lang: str, door: Door | None = None) -> Iterator[None]:
        try:
            yield
        except _OUR_SLIP:
            raise
        except ShutError as shut:
            raise StoreError(say("error.not_saved", lang)) from shut
        except (exc.DBAPIError, exc.TimeoutError, migrations.StrangeTablesError, OSError) as error:
            self._ready = False  # the tables may be gone too
            if door is not None:
                door.tell_failure()
            _log.warning("the database of tours does not answer", extra={"told": _cause(error)})
            raise StoreError(say("error.not_saved", lang)) from error

    def _connected(self) -> Engine:
        if self._url.get_backend_name() == "postgresql":
            wait = int(self._wait * 1000)
            limits = f"-c lock_timeout={wait} -c statement_timeout={3 * wait}"
            arguments = {"connect_timeout": max(2, int(self._wait)), "options": limits} | _SEEN_TO_BE_GONE
            return create_engine(
                self._url,
                hide_parameters=True,
                pool_pre_ping=True,
                pool_timeout=self._wait,
                connect_args=arguments,
            )
        engine = create_engine(
            self._url, hide_parameters=True, pool_timeout=self._wait, connect_args={"timeout": self._wait}
        )
        event.listen(engine, "connect", self._set_up_sqlite)
        event.listen(engine, "checkout", self._look_at_file)
        event.listen(engine, "begin", _begin)
        return engine

    def _set_up_sqlite(self, connection: Any, record: Any) -> None:
        connection.isolation_level = None  # SQLAlchemy says BEGIN itself, in the kind that fits
        connection.execute(f"PRAGMA busy_timeout = {int(self._wait * 1000)}")
        self._keep_log(connection)
        for pragma in (
            "synchronous = NORMAL",
            "foreign_keys = ON",
            "secure_delete = ON",  # what is deleted is gone from the file too
        ):
            connection.execute(f"PRAGMA {pragma}")
        record.info["file"] = self._file()

    def _keep_log(self, connection: Any) -> None:
        """Have SQLite write ahead into a log; while another turns it on, it refuses without any wait."""
        deadline = time.monotonic() + self._wait
        while True:
            try:
                connection.execute("PRAGMA journal_mode = WAL")
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() >= deadline:
                    raise
                time.sleep(_AGAIN_SECONDS)
            else:
                return

    def _look_at_file(self, _connection: Any, record: Any, _proxy: Any) -> None:
        """Give up a connection whose file was deleted or replaced: what it writes would be lost."""
        if record.info["file"] != self._file():
            self._ready = False
            raise exc.DisconnectionError

    def _file(self) -> tuple[int, int] | None:
        try:
            found = os.stat(self._url.database or "")  # noqa: PTH116 - asked at each use
        except OSError:
            return None
        return found.st_dev, found.st_ino


def default_file() -> Path:
    """Return where tours are kept when no URL is set."""
    base = os.environ.get("XDG_DATA_HOME", "")
    folder = Path(base) if Path(base).is_absolute() else Path.home() / ".local" / "share"
    return folder / "shelfcheck" / "shelfcheck.db"


def _cause(error: Exception) -> dict[str, str | None]:
    """Return the kind of an error; its words may hold a host, a user or what was to be kept."""
    inner = getattr(error, "orig", None) or error
    code = getattr(inner, "sqlstate", None) or getattr(inner, "sqlite_errorname", None)
    return {"error": type(inner).__name__, "code": code}


def _read_url(text: str) -> URL:
    try:
        url = make_url(text) if text else URL.create("sqlite", database=str(default_file()))
    except exc.ArgumentError:
        raise ValueError("The setting db must be a database URL, such as sqlite:///tours.db.") from None
    kind = url.get_backend_name()
    if kind in ("postgres", "postgresql"):
        return url.set(drivername="postgresql+psycopg")
    if kind != "sqlite" or url.database in (None, "", ":memory:"):
        raise ValueError("The setting db must be sqlite:///FILE or postgresql://USER@HOST/NAME.")
    return url.set(drivername="sqlite+pysqlite")


def _begin(connection: Connection) -> None:
    mode = connection.get_execution_options().get("begin", "")
    connection.exec_driver_sql(f"BEGIN {mode}")
