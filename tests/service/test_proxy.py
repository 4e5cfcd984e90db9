"""What a proxy says is believed of the proxies that are trusted, and of nobody else; also under waitress."""

from __future__ import annotations

import json
import urllib.request
from typing import Any

import pytest
from flask import Flask, request

from shelfcheck.service import create_app
from tests.test_serve import served

PROXY, STRANGER, PHONE = "10.1.2.3", "203.0.113.9", "198.51.100.7"
TOLD = {
    "X-Forwarded-For": f"192.0.2.66, {PHONE}",
    "X-Forwarded-Proto": "https",
    "X-Forwarded-Host": "food.example",
    "X-Forwarded-Prefix": "/labels",
}
YEAR = "max-age=31536000"


@pytest.fixture
def app() -> Flask:
    made = create_app({"trusted_proxies": "10.1.0.0/16, ::1", "wrong_codes_per_minute": 1})

    @made.get("/seen")
    def seen() -> dict[str, str | None]:
        return {
            "address": request.remote_addr,
            "scheme": request.scheme,
            "host": request.host,
            "prefix": request.root_path,
        }

    return made


def seen_from(app: Flask, address: str) -> dict[str, Any]:
    where = {"REMOTE_ADDR": address}
    told: dict[str, Any] = app.test_client().get("/seen", headers=TOLD, environ_overrides=where).get_json()
    return told


@pytest.mark.parametrize("address", [PROXY, f"::ffff:{PROXY}", "::1"])
def test_a_trusted_proxy_is_believed_on_the_last_address_it_names(app: Flask, address: str) -> None:
    assert seen_from(app, address) == {
        "address": PHONE,
        "scheme": "https",
        "host": "food.example",
        "prefix": "/labels",
    }


@pytest.mark.parametrize("address", [STRANGER, "10.2.0.1", "", "not an address"])
def test_a_stranger_is_not_believed(app: Flask, address: str) -> None:
    assert seen_from(app, address) == {
        "address": address,
        "scheme": "http",
        "host": "localhost",
        "prefix": "",
    }


def test_without_the_setting_nobody_is_believed() -> None:
    client = create_app().test_client()

    assert "Strict-Transport-Security" not in client.get("/api/health", headers=TOLD).headers


def test_what_cannot_be_used_as_a_setting_is_named() -> None:
    with pytest.raises(
        ValueError, match=r'trusted_proxies lists addresses or networks, .* not "proxy.local"'
    ):
        create_app({"trusted_proxies": "10.0.0.1, proxy.local"})


def wrong_code(app: Flask, address: str, client: str) -> int:
    headers = {"X-Forwarded-For": client}
    where = {"REMOTE_ADDR": address}
    return app.test_client().get("/api/join/nono", headers=headers, environ_overrides=where).status_code


def test_limits_count_the_phones_behind_a_proxy_each_by_itself(app: Flask) -> None:
    assert [wrong_code(app, PROXY, PHONE) for _ in range(2)] == [404, 429]
    assert wrong_code(app, PROXY, "198.51.100.8") == 404


def test_limits_are_not_escaped_by_an_invented_address(app: Flask) -> None:
    assert [wrong_code(app, STRANGER, f"198.51.100.{n}") for n in range(3)] == [404, 429, 429]


def test_the_code_to_scan_holds_the_address_that_the_proxy_is_known_by(app: Flask) -> None:
    def drawn(address: str, **headers: str) -> bytes:
        path = "/api/join/bami-tuko/qr.svg"
        return app.test_client().get(path, headers=headers, environ_overrides={"REMOTE_ADDR": address}).data

    told = {"X-Forwarded-Host": "food.example"}
    assert drawn(PROXY, **told) == drawn(STRANGER, Host="food.example")
    assert drawn(STRANGER, **told) == drawn(STRANGER)


def test_browsers_are_told_to_stay_with_https_only_when_they_came_by_it(app: Flask) -> None:
    def told(address: str, proto: str) -> str | None:
        where = {"REMOTE_ADDR": address}
        headers = {"X-Forwarded-Proto": proto}
        answer = app.test_client().get("/", headers=headers, environ_overrides=where)
        answer.close()
        return answer.headers.get("Strict-Transport-Security")

    assert told(PROXY, "https") == YEAR
    assert told(PROXY, "http") is None
    assert told(STRANGER, "https") is None


@pytest.mark.parametrize(("trusted", "secure"), [("127.0.0.1", YEAR), ("192.0.2.1", None)])
def test_the_real_server_hands_on_what_the_proxy_says(trusted: str, secure: str | None) -> None:
    with served("--trusted-proxies", trusted) as (_, address):
        asked = urllib.request.Request(f"{address}/api/health", headers=TOLD)
        with urllib.request.urlopen(asked, timeout=5) as response:
            assert json.load(response)["status"] == "ok"
            assert response.headers.get("Strict-Transport-Security") == secure
