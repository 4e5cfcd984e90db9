"""Whatever is sent to a tour is kept, or refused with a sentence, by either database; never a failure."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from shelfcheck.service import create_app
from shelfcheck.service.tour_access import EXTENSION
from tests.rough import ANY, ROUGH_PANEL, spoiled
from tests.tours.postgres import Postgres
from tests.tours.walking import Walk, phone, stop_json

NUMBERS = st.sampled_from(("1", "0", str(2**31), str(2**63), "9" * 400, "-1", "1.0", "%00"))
CODES = ANY.map(str) | st.sampled_from(("%2F", "..", "%ff", "٣" * 6, "A" * 5000))
HANDS = st.dictionaries(st.sampled_from(["fist_ml", "thumb_ml"]), st.floats(15, 700))
GUESS = spoiled(
    phone=st.just(phone()),
    count=st.floats(0.1, 9),
    measure=st.sampled_from(["fist", "g", "bowl"]),
    cooked=st.booleans(),
    hands=HANDS,
)
PRACTICE = spoiled(
    phone=st.just(phone()),
    round=st.sampled_from(["before", "after"]),
    measure=st.just("fist"),
    measured=st.floats(12, 4800),
)
STOP = spoiled(
    name=st.text(min_size=1, max_size=9),
    question=st.text(max_size=9),
    measure=st.just("fist"),
    food=st.just("oats"),
    panel=ROUGH_PANEL | st.just(stop_json()["panel"]),
)
PLAN = spoiled(
    title=st.text(min_size=1, max_size=9),
    lang=st.just("es"),
    held_on=st.dates().map(str),
    show_plan=st.booleans(),
    meal_carbohydrate_g=st.floats(1, 200),
    stops=st.lists(STOP, max_size=2),
)
DRAWN = settings(max_examples=60, suppress_health_check=list(HealthCheck))


@pytest.fixture(scope="module", params=["sqlite", "postgres"])
def tour(
    request: pytest.FixtureRequest, postgres: Postgres, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Walk]:
    """A tour whose first food is open, on one database for all that is drawn."""
    folder: Path = tmp_path_factory.mktemp("any")
    url = postgres.make("any", "ready") if request.param == "postgres" else f"sqlite:///{folder}/tours.db"
    app = create_app({"db": url, "tour_makes_per_hour": 10**6, "wrong_codes_per_minute": 10**6})
    walk = Walk.begin(app.test_client())
    walk.state("open")
    yield walk
    app.extensions[EXTENSION]().close()


def hold(response: TestResponse) -> None:
    """Hold an answer: done, or an error of the one shape that is the asker's to mend."""
    if response.status_code >= 300:
        assert 400 <= response.status_code < 500, response.text
        assert set(response.get_json()) == {"error"}
        assert response.get_json()["error"]["message"]


def put(client: FlaskClient, path: str, content: Any) -> TestResponse:
    return client.put(path, data=json.dumps(content), content_type="application/json")


@DRAWN
@given(GUESS)
def test_any_answer_is_kept_or_refused(tour: Walk, content: Any) -> None:
    hold(put(tour.client, f"/api/join/{tour.code}/stops/{tour.stop()}/guess", content))


@DRAWN
@given(PRACTICE)
def test_anything_poured_is_kept_or_refused(tour: Walk, content: Any) -> None:
    hold(put(tour.client, f"/api/join/{tour.code}/practice", content))


@DRAWN
@given(PLAN)
def test_any_plan_makes_a_tour_or_is_refused(tour: Walk, content: Any) -> None:
    made = tour.client.post("/api/tours", data=json.dumps(content), content_type="application/json")

    hold(made)
    if made.status_code == 201:
        again = Walk(tour.client, made.get_json()["token"], made.get_json()["code"])
        assert again.tour()["title"] == " ".join(content["title"].split())
        hold(again.lead("GET", "/report.csv"))


@DRAWN
@given(CODES, NUMBERS, ANY.map(str))
def test_any_code_number_and_token_are_answered(tour: Walk, code: str, number: str, token: str) -> None:
    stranger = Walk(tour.client, "".join(letter for letter in token if letter.isprintable()), code)

    hold(put(tour.client, f"/api/join/{tour.code}/stops/{number}/guess", {"phone": phone()}))
    hold(tour.lead("POST", f"/stops/{number}/state", json={"state": "open"}))
    hold(tour.client.get(f"/api/join/{tour.code}/mine", query_string={"phone": token}))
    hold(stranger.see())
    hold(stranger.lead("GET"))
