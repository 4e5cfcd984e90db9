"""Tours in the service: described, loaded only when asked for, and nothing else falls with the database."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from shelfcheck.service import create_app
from shelfcheck.service.tour_access import EXTENSION
from shelfcheck.tours.calendar import Calendar
from tests.making import SAMPLES
from tests.test_serve import served
from tests.test_service import check, problem
from tests.tours.postgres import Postgres
from tests.tours.walking import Walk, amount, phone, plan_json

MINE = "/api/tours/mine"
JOIN = "/api/join/{code}"


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    content: dict[str, Any] = create_app().test_client().get("/api/openapi.json").get_json()
    return content


def test_every_answer_is_as_described(walk: Walk, document: dict[str, Any]) -> None:
    client, who = walk.client, phone()
    check(document, "/api/tours", "post", client.post("/api/tours", json=plan_json()))
    check(document, "/api/tours", "post", client.post("/api/tours", json={}))
    check(document, "/api/tours/sample", "post", client.post("/api/tours/sample", json={"lang": "es"}))
    check(document, f"{MINE}/stops/{{stop}}/state", "post", walk.state("open"))
    check(document, f"{MINE}/stops/{{stop}}/state", "post", walk.state("shut"))
    check(document, f"{JOIN}/stops/{{stop}}/guess", "put", walk.guess(who))
    check(document, f"{JOIN}/stops/{{stop}}/guess", "put", walk.guess(who, {}))
    check(document, f"{JOIN}/stops/{{stop}}/guess", "put", walk.guess(who, place=1))
    check(document, f"{JOIN}/practice", "put", walk.practise(who, 260))
    check(document, f"{JOIN}/phone", "put", client.put(f"/api/join/{walk.code}/phone", json={"phone": who}))
    check(document, f"{JOIN}/mine", "get", client.get(f"/api/join/{walk.code}/mine?phone={who}"))
    walk.state("revealed")
    check(document, JOIN, "get", walk.see())
    check(document, JOIN, "get", client.get("/api/join/nono"))
    check(document, MINE, "get", walk.lead("GET"))
    check(document, MINE, "get", client.get(MINE))
    check(document, MINE, "put", walk.lead("PUT", json=plan_json()))
    check(document, MINE, "put", walk.replace(plan_json()))
    check(document, f"{MINE}/report", "get", walk.lead("GET", "/report"))
    check(document, f"{MINE}/copy", "post", walk.lead("POST", "/copy"))
    check(document, f"{MINE}/end", "post", walk.lead("POST", "/end"))
    check(document, f"{MINE}/link", "post", walk.lead("POST", "/link"))


def test_the_educators_routes_say_that_they_need_her_token(document: dict[str, Any]) -> None:
    assert document["components"]["securitySchemes"]["lead"] == {"type": "http", "scheme": "bearer"}
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            if method != "parameters":
                assert ("security" in operation) is path.startswith(MINE), path


def test_nothing_of_the_database_is_loaded_before_a_tour_is_asked_for() -> None:
    code = (
        "import sys; from shelfcheck.service import create_app; c = create_app().test_client();"
        "c.get('/api/health'); c.get('/api/openapi.json'); c.get('/api/measures');"
        "print([m for m in ('sqlalchemy', 'alembic', 'psycopg') if m in sys.modules]);"
        "c.get('/api/join/nono'); print('sqlalchemy' in sys.modules, 'psycopg' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert run.stdout.splitlines() == ["[]", "True False"]


def test_eating_in_the_terminal_loads_nothing_of_the_database() -> None:
    code = (
        "import sys; from shelfcheck.cli import main;"
        f"main(['eat', {str(SAMPLES / 'fda_sample.json')!r}, '2 fists']);"
        "heavy = ('sqlalchemy', 'alembic', 'shelfcheck.tours', 'flask');"
        "print([m for m in sys.modules if m.startswith(heavy)])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert run.stdout.splitlines()[-1] == "[]"


def test_when_the_database_is_gone_everything_but_tours_works() -> None:
    server = Postgres(safe=True)
    app = create_app({"db": server.make("tours")})
    client = app.test_client()
    try:
        walk = Walk.begin(client)
        server.stop()

        for response in (walk.lead("GET"), walk.see(), client.post("/api/tours/sample", json={})):
            problem(response, 503, "not_saved")
            assert response.headers["Retry-After"] == "5"
        assert client.get("/api/ready").get_json()["database"] == "down"
        assert client.get("/api/health").status_code == 200
        assert client.get("/").status_code == 200
        query = {"panel": plan_json()["stops"][0]["panel"], "amount": amount()}
        assert client.post("/api/portions", json=query).status_code == 200
        server.start()
        assert client.get("/api/ready").status_code == 200
        assert walk.see().status_code == 200
    finally:
        app.extensions[EXTENSION]().close()
        server.remove()


def test_a_service_starts_without_its_database_and_says_so(tmp_path: Path) -> None:
    with served("--db", f"sqlite:///{tmp_path}/nowhere/tours.db") as (process, _):
        assert process.poll() is None
        process.terminate()
        _, err = process.communicate(timeout=10)

    assert "Tours cannot be kept just now" in err
    assert "Traceback" not in err


def test_a_service_is_not_started_with_a_url_that_is_none() -> None:
    with served("--db", "tours.db") as (process, _):
        _, err = process.communicate(timeout=10)

    assert process.returncode == 2
    assert "The setting db must be" in err


def test_tours_are_swept_when_the_service_is_used(walk: Walk, app: Flask) -> None:
    store = app.extensions[EXTENSION]()
    store.calendar = Calendar(lambda: 10_000_000_000.0, lambda: 0.0, store.days)

    problem(walk.see(), 404, "no_tour")
