"""The service behind a real nginx that is set up by the file we ship."""

from __future__ import annotations

import io
import json
import os
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPResponse
from typing import Any

import pytest
import segno

from shelfcheck.tours.codes import typed_code
from shelfcheck.words import say
from tests.deploy.nginx import NAME, Nginx
from tests.making import ROOT, typed_portion
from tests.test_serve import served

PHOTO = (ROOT / "tests" / "reading" / "photos" / "flat_grid.jpg").read_bytes()
QUERY = typed_portion()
JSON = {"Content-Type": "application/json"}
JPEG = {"Content-Type": "image/jpeg"}
READ = "/api/panels/read"
CODE = "bami-tuko"
MB = 1024 * 1024
TRUSTING = ("--trusted-proxies", "127.0.0.1", "--reads", "1", "--wrong-codes-per-minute", "2")


@dataclass
class Site:
    """The site as a phone reaches it, and the service behind it."""

    nginx: Nginx
    service: str

    def ask(
        self,
        method: str,
        path: str,
        body: bytes | None = None,
        headers: dict[str, str] | None = None,
        source: str = "127.0.0.1",
    ) -> tuple[HTTPResponse, bytes]:
        connection = self.nginx.connection(source)
        try:
            connection.request(method, path, body, headers or {})
            answer = connection.getresponse()
            return answer, answer.read()
        finally:
            connection.close()


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    with served(*TRUSTING) as (_, address), Nginx(int(address.rpartition(":")[2])) as nginx:
        yield Site(nginx, address)


def test_the_files_have_no_fault_and_nothing_to_warn_of(site: Site) -> None:
    assert site.nginx.look() == ""


def test_the_app_opens_by_https_and_browsers_are_told_to_stay_with_it(site: Site) -> None:
    answer, body = site.ask("GET", "/")

    assert answer.status == 200
    assert b"<title>" in body
    assert answer.getheader("Strict-Transport-Security") == "max-age=31536000"
    assert answer.getheader("Server") == "nginx"


def test_who_comes_by_http_is_sent_on_to_https(site: Site) -> None:
    connection = HTTPConnection("127.0.0.1", site.nginx.plain_port, timeout=10)
    connection.request("GET", "/a/page?lang=es", headers={"Host": NAME})
    answer = connection.getresponse()
    connection.close()

    assert answer.status == 301
    assert answer.getheader("Location") == f"https://{NAME}/a/page?lang=es"


def test_who_makes_the_certificate_finds_its_token_by_http(site: Site) -> None:
    folder = site.nginx.folder / "html" / ".well-known" / "acme-challenge"
    folder.mkdir(parents=True)
    (folder / "token").write_text("the answer")

    address = f"http://127.0.0.1:{site.nginx.plain_port}/.well-known/acme-challenge/token"
    with urllib.request.urlopen(address, timeout=10) as answer:
        assert answer.read() == b"the answer"


@pytest.mark.parametrize("path", ["/metrics", "//metrics", "/%6detrics", "/./metrics", "/metrics?x=1"])
def test_metrics_are_not_told_outside_however_they_are_asked_for(path: str, site: Site) -> None:
    assert site.ask("GET", path)[0].status == 404


def test_metrics_are_told_on_the_machine_and_all_else_outside(site: Site) -> None:
    with urllib.request.urlopen(f"{site.service}/metrics", timeout=10) as answer:
        assert b"shelfcheck_requests_total" in answer.read()
    for path in ("/api/health", "/api/measures", "/api/docs/", "/api/openapi.json", "/sw.js"):
        assert site.ask("GET", path)[0].status == 200, path


def test_a_code_to_scan_holds_the_outside_address_and_nobody_invents_another(site: Site) -> None:
    wanted = io.BytesIO()
    code = segno.make(f"https://food.example:8443/#/join/{typed_code(CODE)}", error="m", micro=False)
    code.save(wanted, kind="svg", border=4, light="#fff", svgclass=None, omitsize=True)
    said = {"Host": "food.example:8443"}
    invented = {"X-Forwarded-Host": "evil.example", "X-Forwarded-Prefix": "/evil"}

    for headers in (said, said | invented):
        answer, drawn = site.ask("GET", f"/api/join/{CODE}/qr.svg?scheme=https", None, headers)
        assert answer.status == 200
        assert drawn == wanted.getvalue()


def test_a_photo_of_some_megabytes_is_read_and_nothing_of_it_is_written_down(site: Site) -> None:
    folders = [site.nginx.folder / name for name in ("client_body", "proxy")]
    before = [folder.stat().st_mtime_ns for folder in folders]
    mark = os.urandom(32)

    answer, body = site.ask("POST", READ, PHOTO + mark * (6 * MB // 32), JPEG)

    assert answer.status == 200
    assert json.loads(body)["nutrients"]["energy"]["state"] == "sure"
    assert [folder.stat().st_mtime_ns for folder in folders] == before  # a file that came and went shows
    assert mark not in site.nginx.files()


def test_what_is_typed_is_not_written_down_either(site: Site) -> None:
    folder = site.nginx.folder / "client_body"
    before = folder.stat().st_mtime_ns

    answer, body = site.ask("POST", "/api/portions", b" " * 60_000 + QUERY, JSON)

    assert answer.status == 200
    assert json.loads(body)["working"]
    assert folder.stat().st_mtime_ns == before


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_photo_that_is_too_large_is_refused_in_the_phones_language(lang: str, site: Site) -> None:
    answer, body = site.ask("POST", f"{READ}?lang={lang}", PHOTO + bytes(17 * MB), JPEG)

    assert answer.status == 413
    assert told(body) == ("too_large", say("error.http_413", lang))


@pytest.mark.parametrize(("path", "size"), [("/api/portions", 2 * MB), (READ, 65 * MB)])
def test_what_is_far_too_large_is_refused_at_the_door_in_the_same_form(
    path: str, size: int, site: Site
) -> None:
    connection = site.nginx.connection()
    connection.request("POST", path, None, JSON | {"Content-Length": str(size)})
    answer = connection.getresponse()
    body = answer.read()
    connection.close()

    assert answer.status == 413
    assert answer.getheader("Content-Type") == "application/json"
    assert told(body) == ("too_large", say("error.http_413", "en"))


def test_a_photo_shared_into_the_app_leads_to_the_page_whatever_its_size(site: Site) -> None:
    form = b'--x\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n%s\r\n--x--\r\n'

    answer, _ = site.ask(
        "POST", "/share", form % bytes(2 * MB), {"Content-Type": "multipart/form-data; boundary=x"}
    )

    assert answer.status == 303


def test_one_address_sends_many_photos_at_once_but_not_without_end(site: Site) -> None:
    slow = [site.nginx.connection() for _ in range(41)]
    for one in slow:
        one.putrequest("POST", READ)
        one.putheader("Content-Length", "1000")
        one.endheaders(b"\0")
    statuses = []
    try:
        answer, body = site.ask("POST", READ, PHOTO, JPEG)
        statuses.append((answer.status, answer.getheader("Retry-After"), told(body)[0]))
        assert site.ask("POST", READ, PHOTO, JPEG, "127.0.0.2")[0].status == 200, "others are heard"
        assert site.ask("POST", "/api/portions", QUERY, JSON)[0].status == 200, "and what is typed"
    finally:
        for one in slow:
            one.close()

    assert statuses == [(503, "5", "busy")]


def told(body: bytes) -> tuple[str, str]:
    error: dict[str, Any] = json.loads(body)["error"]
    assert set(error) == {"code", "message", "fields"}
    return error["code"], error["message"]


def test_limits_count_each_phone_by_itself_and_are_not_escaped(site: Site) -> None:
    def wrong_code(source: str, said: str) -> int:
        headers = {"X-Forwarded-For": said, "Forwarded": f"for={said}"}
        return site.ask("GET", "/api/join/nono", None, headers, source)[0].status

    assert [wrong_code("127.0.0.2", f"192.0.2.{n}") for n in range(4)] == [404, 404, 429, 429]
    assert wrong_code("127.0.0.3", "127.0.0.2") == 404


def test_while_the_service_is_gone_phones_are_asked_to_wait_and_nothing_is_written_down() -> None:
    with served(*TRUSTING) as (process, address), Nginx(int(address.rpartition(":")[2])) as nginx:
        site = Site(nginx, address)
        process.kill()
        process.wait()
        for method, path in (("GET", f"/api/join/{CODE}"), ("POST", READ), ("POST", "/api/portions")):
            answer, body = site.ask(method, path, QUERY if method == "POST" else None, JSON)

            assert answer.status == 503
            assert answer.getheader("Retry-After") == "5"
            assert told(body)[0] == "busy"
        logs = {name: (nginx.folder / f"{name}.log").read_text() for name in ("access", "error", "main")}

    assert logs == {"access": "", "error": "", "main": ""}
