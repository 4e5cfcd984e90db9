"""Every test of tours runs on both databases: a SQLite file and a real PostgreSQL server of its own."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shelfcheck.service import create_app
from shelfcheck.service.tour_access import EXTENSION
from shelfcheck.tours.store import Store
from tests.conftest import ClosingClient
from tests.tours.postgres import Postgres
from tests.tours.walking import Clock, Walk

_numbers = itertools.count()


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    """The server, with a database ``ready`` whose tables are made."""
    server = Postgres()
    try:
        store = Store(server.make("ready"))
        store.prepare()
        store.close()
        yield server
    finally:
        server.remove()


@pytest.fixture(params=["sqlite", "postgres"])
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def empty_url(kind: str, tmp_path: Path, request: pytest.FixtureRequest) -> str:
    """A database without tables."""
    if kind == "sqlite":
        return f"sqlite:///{tmp_path}/tours.db"
    server: Postgres = request.getfixturevalue("postgres")
    return server.make(f"empty{next(_numbers)}")


@pytest.fixture
def url(kind: str, tmp_path: Path, request: pytest.FixtureRequest) -> str:
    """A database for one test."""
    if kind == "sqlite":
        return f"sqlite:///{tmp_path}/tours.db"
    server: Postgres = request.getfixturevalue("postgres")
    return server.make(f"test{next(_numbers)}", "ready")


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(url: str, clock: Clock) -> Iterator[Store]:
    found = Store(url, clock=clock, steady=clock, wait_seconds=10)
    yield found
    found.close()


@pytest.fixture
def app(url: str) -> Iterator[Flask]:
    made = create_app({"db": url})
    made.test_client_class = ClosingClient
    yield made
    made.extensions[EXTENSION]().close()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def walk(client: FlaskClient) -> Walk:
    """The sample tour, made over HTTP, with its lead's token."""
    return Walk.begin(client)
