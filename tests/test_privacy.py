"""What the privacy place says is what the code does: nothing is stored that no sentence of it names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from shelfcheck.service import create_app
from shelfcheck.tours.tables import Base
from shelfcheck.words import words
from tests.making import ROOT

WEB = ROOT / "web"
STORED = {
    "shelfcheck.page": "kept_now",
    "shelfcheck.tours": "kept_tours",
    "shelfcheck.erased": "gone_note",
    "foods": "kept_foods",
    "meal": "kept_meal",
    "waiting": "kept_waiting",
    "shown": "kept_photo",
    "shell-": "kept_app",
}
"""Each place where the page keeps something on the phone, and the sentence that names it."""
NO_STORE = {"shelfcheck.outbox": "the name of a lock between tabs, which holds nothing"}
COLUMNS = {
    "tour": {
        "group_lead": ("title", "lang", "held_on", "meal_carbohydrate_g", "show_plan"),
        "group_number": ("token_hash",),
        "group_none": ("version", "phone_version", "changed_at", "ended"),
        "kept_tours": ("code",),
    },
    "stop": {
        "group_lead": ("name", "question", "measure", "food", "panel"),
        "group_none": ("position", "state", "shown", "version"),
    },
    "phone": {"group_number": ("hash",)},
    "guess": {"group_join": ("count", "measure", "cooked", "hands"), "group_none": ("late",)},
    "practice": {"group_join": ("round", "measure", "measured")},
}
"""Each column of the tables of tours, by the sentence that names what is in it."""
LINKS = re.compile(r"(id|\w+_id)$")
"""Columns that tie rows to each other and tell nothing."""


def place() -> str:
    return (WEB / "modules" / "privacy" / "place.js").read_text(encoding="utf-8")


def page_files() -> Iterator[tuple[Path, str]]:
    for path in (*WEB.glob("modules/**/*.js"), WEB / "sw.js"):
        yield path, path.read_text(encoding="utf-8")


def test_everything_that_the_page_stores_is_told() -> None:
    text = "\n".join(text for _, text in page_files())
    names = {*re.findall(r'"(shelfcheck\.\w+)"', text)} - NO_STORE.keys()
    lists = re.findall(r"(?:STORES = |stores: )\[([^\]]*)\]", text)
    stores = {name for one in lists for name in re.findall(r'"(\w+)"', one)}
    caches = set(re.findall(r'const PREFIX = "([\w-]+)"', text))

    assert len(lists) == 2  # the page's own list, and the worker's
    assert names | stores | caches | {"shown"} == STORED.keys()
    for key in STORED.values():
        assert f'"privacy.{key}"' in place()
        assert f"page.privacy.{key}" in words("en")


def test_nothing_is_stored_under_a_name_that_is_put_together() -> None:
    """Every name that is written under is a constant, which the test above finds."""
    written = [
        found
        for path, text in page_files()
        for found in re.findall(r"(?:local|session)Storage\.setItem\(([^,]+),", text)
    ]

    assert len(written) == 3
    assert set(written) <= {"KEY", "ERASED"}


def test_no_other_kind_of_store_is_used() -> None:
    """No cookie, and neither of the stores by an index or by brackets, which the tests here would not see."""
    other = re.compile(
        r"document\.cookie|cookieStore|(local|session)Storage\s*\[|openDatabase|getDirectory\("
    )

    assert [path.name for path, text in page_files() if other.search(text)] == []
    assert {path.name for path, text in page_files() if re.search(r"\bopenDB\(|indexedDB\.open\(", text)} == {
        "database.js",
        "sw.js",
    }
    assert {path.name for path, text in page_files() if "caches.open(" in text} == {"sw.js"}


def test_every_column_of_a_tour_is_named() -> None:
    found = {
        table.name: {column.name for column in table.columns if not LINKS.match(column.name)}
        for table in Base.metadata.tables.values()
    }

    assert found == {
        table: {name for names in told.values() for name in names} for table, told in COLUMNS.items()
    }
    for told in COLUMNS.values():
        for key in told:
            assert f'"privacy.{key}"' in place()


def test_the_days_come_from_the_setting() -> None:
    app = create_app({"tour_days": 7})

    told = app.test_client().get("/data/privacy.json").get_json()

    assert told["settings"] == {"tourDays": 7}
    assert told["words"]["es"].keys() == told["words"]["en"].keys() > {"page.privacy.group_days"}
    assert "tourDays" in place()


def test_another_number_of_days_is_another_version_of_the_app() -> None:
    """A phone that has kept the place is told of the new number."""

    def version(days: int) -> bytes:
        return create_app({"tour_days": days}).test_client().get("/precache.js").data

    assert version(7) != version(8)
    assert version(7) == version(7)


def test_of_the_notes_in_a_photo_only_the_side_that_is_up_is_used() -> None:
    code = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "shelfcheck").rglob("*.py"))

    assert set(re.findall(r"\w*exif\w*|GPS\w*", code, re.IGNORECASE)) == {"exif_transpose"}


@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE"])
def test_no_route_sets_a_cookie(method: str) -> None:
    app = create_app()
    client = app.test_client()
    filled = {"folder": "icons", "name": "icon-192.png", "path": "index.html", "code": "bamitoko", "stop": 1}
    tried = 0
    for rule in app.url_map.iter_rules():
        if method not in (rule.methods or ()):
            continue
        with app.test_request_context():
            url = app.url_map.bind("localhost").build(
                rule.endpoint, {name: filled[name] for name in rule.arguments}, method=method
            )
        with client.open(url, method=method, json={"lang": "en"}) as answer:
            assert "Set-Cookie" not in answer.headers, url
            tried += 1

    assert tried
