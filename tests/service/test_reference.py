"""``/api/health`` says that the service is up, ``/api/ready`` whether all that it stands on answers too."""

from __future__ import annotations

import sqlite3
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shelfcheck.service import create_app
from shelfcheck.service.parts import READERS
from shelfcheck.service.tour_access import EXTENSION
from shelfcheck.tours.store import Store
from tests.making import sample
from tests.test_service import check

QUERY = {"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}}
NOWHERE = "postgresql://somebody@127.0.0.1:1/tours"


class Pool:
    """Readers that are ready, or not."""

    def __init__(self, *, ready: bool) -> None:
        self._ready = ready

    def ready(self) -> bool:
        return self._ready

    def state(self) -> dict[str, int]:
        return {}


def kept_at(url: str) -> Flask:
    """Return a service whose readers have got ready."""
    made = create_app({"db": url})
    made.extensions[READERS] = Pool(ready=True)
    return made


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    return kept_at(f"sqlite:///{tmp_path}/tours.db")


def described(client: FlaskClient, response: Any) -> None:
    document = client.get("/api/openapi.json").get_json()
    check(document, "/api/ready", "get", response)


def test_a_service_that_is_well_is_ready(app: Flask) -> None:
    client = app.test_client()
    response = client.get("/api/ready")

    assert response.status_code == 200
    assert response.get_json() == {"status": "ok", "database": "ok", "readers": "ok"}
    assert "Retry-After" not in response.headers
    described(client, response)


def test_a_database_that_is_gone_is_named_and_the_rest_goes_on() -> None:
    client = kept_at(NOWHERE).test_client()
    response = client.get("/api/ready")

    assert response.status_code == 503
    assert response.get_json() == {"status": "not_ready", "database": "down", "readers": "ok"}
    assert response.headers["Retry-After"] == "5"
    described(client, response)
    assert client.get("/api/health").status_code == 200
    assert client.post("/api/portions", json=QUERY).status_code == 200


@pytest.mark.parametrize(("ready", "status"), [(True, 200), (False, 503)])
def test_readers_are_asked_where_there_are_any(app: Flask, *, ready: bool, status: int) -> None:
    app.extensions[READERS] = Pool(ready=ready)
    response = app.test_client().get("/api/ready")

    assert response.status_code == status
    assert response.get_json()["readers"] == ("ok" if ready else "down")
    assert response.get_json()["database"] == "ok"


def test_a_file_that_is_no_database_is_not_ready_and_a_new_one_is(tmp_path: Path) -> None:
    file = tmp_path / "tours.db"
    client = kept_at(f"sqlite:///{file}").test_client()
    for other in tmp_path.iterdir():
        other.unlink()
    file.write_bytes(b"not a database" * 1000)
    assert client.get("/api/ready").get_json()["database"] == "down"

    file.unlink()
    assert client.get("/api/ready").get_json()["database"] == "ok"


def test_a_writer_that_holds_the_file_keeps_nobody_from_being_ready(app: Flask, tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "tours.db", isolation_level=None) as writer:
        writer.execute("BEGIN IMMEDIATE")
        response = app.test_client().get("/api/ready")
    writer.close()

    assert response.status_code == 200


def test_tables_of_a_newer_release_are_not_ready(app: Flask, tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "tours.db") as database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")
    database.close()

    assert app.test_client().get("/api/ready").get_json()["database"] == "down"


def test_a_database_that_hangs_is_asked_once_however_many_wait(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, let_go = [], threading.Event()

    def hang(_store: Store) -> bool:
        asked.append(1)
        return let_go.wait(10)

    monkeypatch.setattr(Store, "answers", hang)
    opener = app.extensions[EXTENSION]
    began = time.monotonic()
    waiting = [threading.Thread(target=opener.answers, args=(0.2,)) for _ in range(5)]
    for each in waiting:
        each.start()
    for each in waiting:
        each.join()

    assert time.monotonic() - began < 5
    assert opener.answers(0.01) is False
    assert asked == [1]
    let_go.set()
    assert opener.answers(5) is True


def test_a_store_that_answers_slowly_is_ready_again_after_it_did_not_answer(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    takes = [1.0]
    monkeypatch.setattr(Store, "answers", lambda _store: time.sleep(takes[0]) is None)
    opener = app.extensions[EXTENSION]
    assert opener.answers(0.1) is False
    takes[0] = 0.3
    time.sleep(1.2)

    told = []
    for _ in range(2):  # who looks on asks every few seconds
        told.append(opener.answers(5))
        time.sleep(0.5)

    assert told[-1] is True


def test_a_store_that_breaks_is_not_ready(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_store: Store) -> bool:
        raise ZeroDivisionError

    monkeypatch.setattr(Store, "answers", fail)

    assert app.test_client().get("/api/ready").status_code == 503


def test_health_touches_neither_database_nor_readers(tmp_path: Path) -> None:
    app = create_app()
    app.extensions[EXTENSION] = None
    app.extensions[READERS] = None

    assert app.test_client().get("/api/health").status_code == 200
    assert list(tmp_path.iterdir()) == []
