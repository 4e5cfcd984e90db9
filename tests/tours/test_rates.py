"""One address may do only so much; a class behind one address is never refused."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shelfcheck.service import create_app, rates
from shelfcheck.service.rates import Rate
from shelfcheck.service.tour_access import EXTENSION
from shelfcheck.words import LANGUAGES
from tests.conftest import ClosingClient
from tests.test_service import check, problem
from tests.tours.walking import Clock, Walk, phone, plan_json


@pytest.fixture
def app(url: str) -> Iterator[Flask]:
    made = create_app({"db": url, "tour_makes_per_hour": 3, "wrong_codes_per_minute": 2})
    made.test_client_class = ClosingClient
    yield made
    made.extensions[EXTENSION]().close()


def test_a_bucket_empties_and_fills_again_by_the_steady_count() -> None:
    clock = Clock(0)
    rate = Rate(2, 60, clock)

    assert [rate.take("a") for _ in range(4)] == [0, 0, 30, 30]
    assert rate.take("b") == 0
    clock.now += 29.5
    assert rate.take("a") == 1
    clock.now += 0.5
    assert [rate.take("a") for _ in range(2)] == [0, 30]
    clock.now += 10_000
    assert [rate.take("a") for _ in range(3)] == [0, 0, 30]  # never more than it holds


def test_only_so_many_addresses_are_remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rates, "_ADDRESSES", 2)
    rate = Rate(1, 60, Clock(0))

    assert [rate.take(address) for address in ("a", "b", "a", "c", "a", "b")] == [0, 0, 60, 0, 60, 0]


@pytest.mark.parametrize("lang", LANGUAGES)
def test_making_many_tours_is_told_to_wait_and_what_is_no_plan_does_not_count(
    client: FlaskClient, lang: str
) -> None:
    for _ in range(5):
        assert client.post("/api/tours", json={}).status_code == 422
        assert client.post("/api/tours/mine/copy").status_code == 401
    walk = Walk.begin(client)
    assert client.post("/api/tours", json=plan_json()).status_code == 201
    assert walk.lead("POST", "/copy").status_code == 201

    refused = client.post(f"/api/tours?lang={lang}", json=plan_json())
    problem(refused, 429, "too_many")
    assert 0 < int(refused.headers["Retry-After"]) <= 20 * 60
    assert "20 min" in refused.get_json()["error"]["message"]
    assert ("Espere" in refused.get_json()["error"]["message"]) is (lang == "es")
    problem(client.post("/api/tours/sample", json={}), 429, "too_many")
    problem(walk.lead("POST", "/copy"), 429, "too_many")
    assert walk.state("open").status_code == 200  # who has a tour goes on with it
    elsewhere = {"REMOTE_ADDR": "192.0.2.7"}
    assert client.post("/api/tours", json=plan_json(), environ_overrides=elsewhere).status_code == 201


@pytest.mark.parametrize("lang", LANGUAGES)
def test_many_wrong_codes_are_told_to_wait_and_a_right_one_never(walk: Walk, lang: str) -> None:
    client, who = walk.client, phone()
    problem(client.get("/api/join/nono"), 404, "no_tour")
    problem(client.put("/api/join/fofo-fofo/phone", json={"phone": who}), 404, "no_tour")

    refused = client.get(f"/api/join/fofo-fofo?lang={lang}")
    problem(refused, 429, "too_many")
    assert 0 < int(refused.headers["Retry-After"]) <= 30
    assert ("Espere" in refused.get_json()["error"]["message"]) is (lang == "es")
    problem(client.get(f"/api/join/fofo-fofo/mine?phone={who}"), 429, "too_many")
    walk.state("open")
    for _ in range(10):
        assert walk.see().status_code == 200
        assert walk.guess(who).status_code == 200
    problem(client.get("/api/join/fofo-fofo", environ_overrides={"REMOTE_ADDR": "192.0.2.7"}), 404, "no_tour")


def test_a_class_that_still_asks_for_an_ended_tour_is_told_that_and_not_to_wait(walk: Walk) -> None:
    walk.lead("POST", "/end")
    for _ in range(10):
        problem(walk.see(), 404, "no_tour")

    problem(walk.client.get("/api/join/fofo-fofo"), 404, "no_tour")  # nothing was taken from the bucket


def test_being_asked_to_wait_is_described(walk: Walk) -> None:
    client, document = walk.client, walk.client.get("/api/openapi.json").get_json()
    for _ in range(4):
        made, seen, copied = (
            client.post("/api/tours", json=plan_json()),
            client.get("/api/join/nono"),
            walk.lead("POST", "/copy"),
        )
    assert {made.status_code, seen.status_code, copied.status_code} == {429}

    for path, method, response in (
        ("/api/tours", "post", made),
        ("/api/tours/mine/copy", "post", copied),
        ("/api/join/{code}", "get", seen),
    ):
        assert "429" in document["paths"][path][method]["responses"]
        check(document, path, method, response)


def test_a_refused_tour_is_not_made(client: FlaskClient, app: Flask) -> None:
    from sqlalchemy import text

    for _ in range(6):
        client.post("/api/tours/sample", json={})

    with app.extensions[EXTENSION]().reading() as db:
        assert db.scalar(text("SELECT count(*) FROM tour")) == 3
