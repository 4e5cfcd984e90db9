"""The picture that phones scan says the address of the tour, and nothing else."""

from __future__ import annotations

import base64
import re
from typing import Any

import cv2
import numpy as np
import pytest
from flask.testing import FlaskClient
from playwright.sync_api import Browser

from shelfcheck.service import create_app
from tests.test_service import problem

CODE = "bamituko"


@pytest.fixture
def client() -> FlaskClient:
    """A service of which no tour was asked: the picture needs none."""
    return create_app().test_client()


def read(browser: Browser, picture: bytes) -> str:
    """Return what an independent reader sees in a picture as the page shows it on a dark ground."""
    page = browser.new_page(viewport={"width": 200, "height": 200}, device_scale_factor=2)
    source = f"data:image/svg+xml;base64,{base64.b64encode(picture).decode()}"
    try:
        page.set_content(
            f"<body style='margin:26px;background:#222'><img width=148 height=148 src='{source}'>"
        )
        shot = np.frombuffer(page.screenshot(), np.uint8)
    finally:
        page.close()
    return str(cv2.QRCodeDetector().detectAndDecode(cv2.imdecode(shot, cv2.IMREAD_COLOR))[0])


@pytest.mark.browser
@pytest.mark.parametrize(
    ("query", "host", "address"),
    [
        ("", "shelf.example", f"http://shelf.example/#/join/{CODE}"),
        ("?scheme=http", "192.168.0.7:8000", f"http://192.168.0.7:8000/#/join/{CODE}"),
        ("?scheme=https", "shelf.example:8443", f"https://shelf.example:8443/#/join/{CODE}"),
        ("?scheme=javascript", "shelf.example", f"http://shelf.example/#/join/{CODE}"),
        ("?scheme=https", "[2001:db8::7]:8000", f"https://[2001:db8::7]:8000/#/join/{CODE}"),
    ],
)
def test_a_reader_sees_the_address_of_the_tour(
    client: FlaskClient, chromium: Browser, query: str, host: str, address: str
) -> None:
    response = client.get(f"/api/join/{CODE}/qr.svg{query}", headers={"Host": host})

    assert response.status_code == 200
    assert read(chromium, response.data) == address


def test_the_code_may_be_typed_with_hyphen_and_capitals(client: FlaskClient) -> None:
    pictures = {
        client.get(f"/api/join/{typed}/qr.svg").data
        for typed in (CODE, "bami-tuko", "BAMI-TUKO", "Bami%20Tuko", "vami-tuco")
    }

    assert len(pictures) == 1
    assert pictures != {client.get("/api/join/dori-nalu/qr.svg").data}


@pytest.mark.parametrize("code", ["nono", "bami-tuk", "bami-tukoo", "%00", "x" * 500, "<svg>"])
def test_what_cannot_be_a_code_has_no_picture(client: FlaskClient, code: str) -> None:
    problem(client.get(f"/api/join/{code}/qr.svg"), 404, "not_found")


def test_the_picture_is_an_image_that_runs_nothing(client: FlaskClient) -> None:
    response = client.get(f"/api/join/{CODE}/qr.svg", headers={"Host": "shelf.example"})
    other = client.get("/api/health")

    assert response.mimetype == "image/svg+xml"
    for name in ("Content-Security-Policy", "X-Content-Type-Options", "Cross-Origin-Resource-Policy"):
        assert response.headers[name] == other.headers[name]
    assert response.headers["Cache-Control"] == "no-store"
    text = response.get_data(as_text=True)
    assert set(re.findall(r"<(\w+)", text)) == {"svg", "path"}
    assert not re.search(r"script|\son\w+=|href|style=", text)


def test_the_picture_is_described(client: FlaskClient) -> None:
    document: dict[str, Any] = client.get("/api/openapi.json").get_json()
    route = document["paths"]["/api/join/{code}/qr.svg"]["get"]

    assert set(route["responses"]) >= {"200", "404"}
    assert list(route["responses"]["200"]["content"]) == ["image/svg+xml"]
    assert [(each["name"], each["schema"]["enum"]) for each in route["parameters"]] == [
        ("scheme", ["http", "https"])
    ]
