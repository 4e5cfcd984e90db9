"""What the server answers by itself has the shape, the headers and the language of every other error."""

from __future__ import annotations

import json
import socket
from collections.abc import Iterator
from http.client import HTTPResponse

import pytest

from shelfcheck.service.security import ALWAYS
from shelfcheck.words import say
from tests.test_serve import served

LARGE = b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 99999999\r\nAccept-Language: es\r\n\r\n"


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    with served("--log", "error") as (_, address):
        yield int(address.rpartition(":")[2])


def answer(port: int, request: bytes) -> tuple[HTTPResponse, bytes]:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as connection:
        connection.sendall(request)
        response = HTTPResponse(connection)
        response.begin()
        return response, response.read()


@pytest.mark.parametrize(
    ("request_sent", "status", "code"),
    [
        (b"nonsense\r\n\r\n", 400, "bad_request"),
        (b"GET / HTTP/1.1\r\nHost: a\r\nno header\r\n\r\n", 400, "bad_request"),
        (b"GET / HTTP/1.1\r\nHost: a\r\nLong: " + b"x" * 300_000 + b"\r\n\r\n", 431, "error"),
        (LARGE, 413, "too_large"),
        (b"POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: gzip\r\n\r\n", 501, "error"),
    ],
    ids=["no HTTP", "no header", "endless header", "large body", "unknown coding"],
)
def test_a_request_that_never_reaches_the_service_is_refused_in_its_words(
    port: int, request_sent: bytes, status: int, code: str
) -> None:
    response, body = answer(port, request_sent)

    assert response.status == status
    error = json.loads(body)["error"]
    assert (error["code"], error["fields"]) == (code, {})
    assert response.headers["Content-Type"] == "application/json"
    assert response.headers["Cache-Control"] == "no-store"
    assert all(response.headers[name] == value for name, value in ALWAYS)
    assert len(response.headers["X-Request-ID"]) == 32
    assert "Server" not in response.headers
    assert b"waitress" not in body


def test_a_photo_that_is_too_large_is_refused_in_the_askers_language(port: int) -> None:
    _, body = answer(port, LARGE)

    assert json.loads(body)["error"]["message"] == say("error.http_413", "es")


@pytest.mark.parametrize(
    ("path", "status"),
    [
        (b"/%00%ff%0d%0aSet-Cookie:%20x=y", 404),
        (b"//other.example/..//etc/passwd", 404),
        (b"/data/..%2f..%2fpyproject.toml", 404),
        (b"/modules/..%2f..%2fpyproject.toml", 404),
        (b"/api/join/" + b"%2e" * 5000, 404),
    ],
)
def test_a_strange_path_is_an_unknown_page(port: int, path: bytes, status: int) -> None:
    response, body = answer(port, b"GET " + path + b" HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n")

    assert response.status == status
    assert "error" in json.loads(body)
    assert "Set-Cookie" not in response.headers
    assert len(body) < 1000
