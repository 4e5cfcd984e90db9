"""Requests that change something are refused when another site's page sends them."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from shelfcheck.words import say
from tests.making import sample
from tests.test_service import problem

QUERY = {"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}}
HOST = "food.example:8000"


def sent(client: FlaskClient, method: str = "POST", path: str = "/api/portions", **headers: str) -> Any:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return client.open(path, method=method, json=QUERY, headers={"Host": HOST} | named)


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
        {"Sec_Fetch_Site": "cross-site", "Origin": f"http://{HOST}"},
        {"Sec_Fetch_Site": "anything else"},
        {"Origin": "http://other.example"},
        {"Origin": "http://food.example"},
        {"Origin": "http://food.example:8001"},
        {"Origin": f"http://{HOST}.other.example"},
        {"Origin": f"http://other.example/{HOST}"},
        {"Origin": "null"},
        {"Origin": ""},
        {"Origin": "http://[half"},
    ],
)
def test_another_site_is_refused(client: FlaskClient, headers: dict[str, str]) -> None:
    assert problem(sent(client, **headers), 403, "cross_site") == {}


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec_Fetch_Site": "same-origin"},
        {"Sec_Fetch_Site": "same-origin", "Origin": f"http://{HOST}"},
        {"Sec_Fetch_Site": "same-origin", "Origin": "https://behind.a.proxy"},
        {"Sec_Fetch_Site": "none", "Origin": "null"},
        {"Origin": f"http://{HOST}"},
        {"Origin": f"HTTPS://{HOST.upper()}"},
        {},
    ],
)
def test_our_own_page_the_person_and_what_is_no_browser_pass(
    client: FlaskClient, headers: dict[str, str]
) -> None:
    assert sent(client, **headers).status_code == 200


@pytest.mark.parametrize(
    ("host", "origin"),
    [
        ("food.example", "https://food.example"),
        ("food.example:80", "http://food.example"),
        ("[::1]:8000", "http://[::1]:8000"),
    ],
)
def test_a_port_that_goes_without_saying_is_not_said(client: FlaskClient, host: str, origin: str) -> None:
    assert sent(client, Host=host, Origin=origin).status_code == 200


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
@pytest.mark.parametrize("path", ["/api/tours/mine", "/api/nothing", "/"])
def test_every_way_to_change_is_refused_before_anything_is_looked_at(
    client: FlaskClient, method: str, path: str
) -> None:
    problem(sent(client, method, path, Sec_Fetch_Site="cross-site"), 403, "cross_site")


@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS"])
def test_reading_is_not_refused(client: FlaskClient, method: str) -> None:
    response = client.open("/api/health", method=method, headers={"Sec-Fetch-Site": "cross-site"})

    assert response.status_code == 200


@pytest.mark.parametrize("site", ["none", "cross-site"])
def test_a_photo_shared_by_the_phone_passes_whatever_shares_it(client: FlaskClient, site: str) -> None:
    headers = {"Sec-Fetch-Site": site, "Origin": "null"}

    assert client.post("/share", data=b"...", headers=headers).status_code == 303


def test_the_refusal_is_said_in_the_askers_language(client: FlaskClient) -> None:
    answer = sent(client, Sec_Fetch_Site="cross-site", Accept_Language="es")

    assert answer.get_json()["error"]["message"] == say("error.cross_site", "es")


@pytest.mark.parametrize("path", ["/", "/api/health", "/api/portions", "/metrics", "/api/nothing"])
def test_no_other_page_may_read_any_answer(client: FlaskClient, path: str) -> None:
    for method in ("GET", "OPTIONS", "POST"):
        answer = client.open(path, method=method, headers={"Origin": "http://other.example"})
        assert not [name for name, _ in answer.headers if name.lower().startswith("access-control-")]
