"""What a phone needs to open and install the app: the shell's list, the worker, the manifest, the icons."""

from __future__ import annotations

import hashlib
import json
import os
import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from shelfcheck.service import create_app
from shelfcheck.service.shell import precache, shell
from tests.making import ROOT

WEB = ROOT / "web"
FACTS = ROOT / "shelfcheck" / "data"


@pytest.fixture
def client() -> FlaskClient:
    return create_app().test_client()


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Return a page of two files, beside facts as the project's."""
    (tmp_path / "modules" / "deep").mkdir(parents=True)
    (tmp_path / "index.html").write_text("page", encoding="utf-8")
    (tmp_path / "modules" / "deep" / "one.js").write_text("one", encoding="utf-8")
    return tmp_path


def told(script: str) -> dict[str, object]:
    found: dict[str, object] = json.loads(script.removeprefix("self.SHELL = ").rstrip().removesuffix(";"))
    return found


def test_each_file_of_the_shell_is_served_as_its_hash_says(client: FlaskClient) -> None:
    files = shell(WEB, FACTS)

    assert files[0][0] == "./"
    for url, content_hash in files:
        with client.get("/" + url.removeprefix("./")) as answer:
            assert answer.status_code == 200, url
            assert hashlib.sha256(answer.data).hexdigest().startswith(content_hash), url


def test_the_shell_holds_every_module_style_drawing_and_fact_that_the_page_names() -> None:
    urls = {url for url, _ in shell(WEB, FACTS)}
    page = (WEB / "index.html").read_text(encoding="utf-8")
    named = set(re.findall(r'(?:href|src)="([\w/.-]+\.(?:css|js|svg))"', page))
    facts = re.findall(r'"(data/\w+\.json)"', (WEB / "modules" / "facts.js").read_text(encoding="utf-8"))

    assert named | set(facts) | {"data/words/en.json", "data/words/es.json", "icons.svg"} <= urls
    for module in WEB.glob("modules/**/*.js"):
        text = re.sub(r"/\*.*?\*/", "", module.read_text(encoding="utf-8"), flags=re.DOTALL)
        for path in re.findall(r'(?:from|import\()\s*"(\.[^"]+)"', text):
            assert (module.parent / path).resolve().relative_to(WEB).as_posix() in urls, (module, path)


def test_the_version_changes_with_any_file_and_only_then(small: Path) -> None:
    first = told(precache(small, FACTS))
    assert told(precache(small, FACTS)) == first

    (small / "modules" / "deep" / "one.js").write_text("two", encoding="utf-8")
    second = told(precache(small, FACTS))
    (small / "modules" / "new.js").write_text("", encoding="utf-8")
    third = told(precache(small, FACTS))

    assert len({str(one["version"]) for one in (first, second, third)}) == 3
    assert first["files"][0] == second["files"][0]  # type: ignore[index]


def test_a_file_that_did_not_change_is_not_read_again(small: Path) -> None:
    module = small / "modules" / "deep" / "one.js"
    first = precache(small, FACTS)
    seen = module.stat()
    module.write_text("ONE", encoding="utf-8")
    os.utime(module, ns=(seen.st_atime_ns, seen.st_mtime_ns))

    assert precache(small, FACTS) == first


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/sw.js", "text/javascript"),
        ("/precache.js", "text/javascript"),
        ("/manifest.webmanifest", "application/manifest+json"),
        ("/icons/icon-192.png", "image/png"),
        ("/vendor/idb.js", "text/javascript"),
    ],
)
def test_files_come_with_their_kind_and_are_asked_for_each_time(
    client: FlaskClient, path: str, kind: str
) -> None:
    with client.get(path) as answer:
        assert (answer.status_code, answer.mimetype) == (200, kind)
        assert answer.headers["Cache-Control"] == "no-cache"
        tag = answer.headers["ETag"]
    with client.get(path, headers={"If-None-Match": tag}) as again:
        assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize(
    "path",
    [
        "/vendor/../../pyproject.toml",
        "/icons/%2e%2e/%2e%2e/pyproject.toml",
        "/vendor/",
        "/icons/nothing.png",
        "/other/app.js",
    ],
)
def test_nothing_outside_the_web_folder_is_served(client: FlaskClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_a_shared_photo_that_no_worker_took_leads_to_the_page(client: FlaskClient) -> None:
    answer = client.post("/share", data={"photo": (b"", "photo")})

    assert answer.status_code == 303
    assert answer.headers["Location"] == "./?shared=0"
    assert client.get("/share").status_code in (404, 405)
