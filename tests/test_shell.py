"""What a phone needs to open and install the app: the shell's list, the worker, the manifest, the icons."""

from __future__ import annotations

import gzip
import hashlib
import json
import os
import re
from pathlib import Path

import brotli
import pytest
from flask.testing import FlaskClient

from shelfcheck.service import create_app
from shelfcheck.service.shell import ShellFile, served
from shelfcheck.settings import load_settings
from tests.making import ROOT

UNPACKED = {"br": brotli.decompress, "gzip": gzip.decompress, "identity": bytes}
WEB = ROOT / "web"
FACTS = ROOT / "shelfcheck" / "data"


@pytest.fixture
def client() -> FlaskClient:
    return create_app().test_client()


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Return a page of a few files, to go with the project's facts."""
    written = {
        "index.html": "page",
        "sw.js": "// the worker",
        "manifest.webmanifest": "{}",
        "styles.css": '@import "one.css";\n@import "two.css";\n',
        "tours.css": "",
        "privacy.css": "",
        "one.css": "/* first */\nb { color: red }\n",
        "two.css": "i { color: blue }\n",
        "modules/app.js": 'import { one } from "./deep/one.js";\nconsole.log(await one());\n',
        "modules/deep/one.js": "/** A comment. */\nexport async function one() {\n  return 1;\n}\n",
    }
    for name, text in written.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def shell(web: Path) -> dict[str, ShellFile]:
    return {url: file for url, file in served(web, FACTS, load_settings()).items() if file.kept == "at once"}


def precache(web: Path) -> str:
    return served(web, FACTS, load_settings())["precache.js"].body.decode()


def told(script: str) -> dict[str, object]:
    found: dict[str, object] = json.loads(script.removeprefix("self.SHELL = ").rstrip().removesuffix(";"))
    return found


@pytest.mark.parametrize("how", ["br", "gzip", "identity"])
def test_each_file_of_the_shell_is_served_as_its_hash_says(client: FlaskClient, how: str) -> None:
    files = shell(WEB)

    assert next(iter(files)) == "./"
    for url, file in files.items():
        answer = client.get("/" + url.removeprefix("./"), headers={"Accept-Encoding": how})
        assert answer.status_code == 200, url
        assert answer.headers.get("Content-Encoding", "identity") == how, url
        assert answer.headers["Vary"] == "Accept-Encoding"
        body = UNPACKED[how](answer.data)
        assert hashlib.sha256(body).hexdigest().startswith(file.hash), url


def test_the_shell_is_small_enough_for_a_weak_signal() -> None:
    """80 kB is the project's own bar; what a phone asks for at its first visit besides is counted with it."""
    sent = [file for file in served(WEB, FACTS, load_settings()).values() if file.kept != "on use"]

    assert sum(len(file.packed["br"]) for file in sent) < 80_000


def test_the_shell_holds_every_file_that_the_page_names() -> None:
    urls = set(shell(WEB))
    page = (WEB / "index.html").read_text(encoding="utf-8")
    named = set(re.findall(r'(?:href|src)="([\w/.-]+\.(?:css|js|svg|json))"', page))

    assert named | {"modules/later.js"} == urls - {"./"}


def test_the_version_changes_with_any_file_and_only_then(small: Path) -> None:
    first = told(precache(small))
    assert told(precache(small)) == first

    (small / "modules" / "deep" / "one.js").write_text("export const one = () => 2;", encoding="utf-8")
    second = told(precache(small))
    (small / "new.svg").write_text("<svg/>", encoding="utf-8")
    third = told(precache(small))

    assert len({str(one["version"]) for one in (first, second, third)}) == 3
    assert first["files"][0] == second["files"][0]  # type: ignore[index]


def test_a_page_that_did_not_change_is_not_made_again(small: Path) -> None:
    module = small / "modules" / "deep" / "one.js"
    first = precache(small)
    seen, text = module.stat(), module.read_text(encoding="utf-8")
    module.write_text(text.replace("1", "2"), encoding="utf-8")
    os.utime(module, ns=(seen.st_atime_ns, seen.st_mtime_ns))

    assert precache(small) == first


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
