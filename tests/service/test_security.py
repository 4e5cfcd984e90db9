"""Every kind of answer carries the headers that keep it safe, and says how it may be kept."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from shelfcheck.service.security import ALWAYS
from tests.making import sample

QUERY = {"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}}
KINDS = {
    "page": ("GET", "/", 200, "no-cache"),
    "script": ("GET", "/modules/app.js", 200, "no-cache"),
    "icon": ("GET", "/icon.svg", 200, "no-cache"),
    "facts": ("GET", "/data/facts.json", 200, "no-cache"),
    "API": ("GET", "/api/foods", 200, "no-store"),
    "sum": ("POST", "/api/portions", 200, "no-store"),
    "described": ("GET", "/api/openapi.json", 200, "no-store"),
    "docs": ("GET", "/api/docs/", 200, "no-store"),
    "file of the docs": ("GET", "/api/docs/swagger-ui.css", 200, "no-cache"),
    "metrics": ("GET", "/metrics", 200, "no-store"),
    "redirect": ("POST", "/share", 303, "no-store"),
    "other redirect": ("GET", "/api/docs", 308, "no-store"),
    "unknown page": ("GET", "/nothing", 404, "no-store"),
    "unknown route": ("GET", "/api/nothing", 404, "no-store"),
    "wrong method": ("DELETE", "/", 405, "no-store"),
    "options": ("OPTIONS", "/api/portions", 200, "no-store"),
    "head": ("HEAD", "/", 200, "no-cache"),
    "wrong code": ("GET", "/api/join/nono", 404, "no-store"),
    "no token": ("GET", "/api/tours/mine", 401, "no-store"),
}


@pytest.mark.parametrize(("method", "path", "status", "kept"), KINDS.values(), ids=KINDS)
def test_every_kind_of_answer_is_safe(
    client: FlaskClient, method: str, path: str, status: int, kept: str
) -> None:
    answer = client.open(path, method=method, json=QUERY if method == "POST" else None)
    policies = dict(ALWAYS)
    if path.startswith("/api/docs"):
        del policies["Content-Security-Policy"]

    assert answer.status_code == status
    assert {name: answer.headers.get_all(name) for name in policies} == {
        name: [value] for name, value in policies.items()
    }
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'; script-src 'self'")
    assert answer.headers.get_all("Cache-Control") == [kept]
    assert ("Accept-Language" in ", ".join(answer.headers.get_all("Vary"))) is path.startswith("/api/")
    assert "Server" not in answer.headers
    assert "Set-Cookie" not in answer.headers


def test_what_has_not_changed_is_safe_too(client: FlaskClient) -> None:
    tag = client.get("/").headers["ETag"]
    answer = client.get("/", headers={"If-None-Match": tag})

    assert answer.status_code == 304
    assert all(answer.headers.get_all(name) == [value] for name, value in ALWAYS)
