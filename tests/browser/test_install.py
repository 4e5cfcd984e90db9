"""Installing the app: the manifest, its icons, and photos that other apps share."""

from __future__ import annotations

import io
import json
import math
import re
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import expect

from shelfcheck import data
from shelfcheck.service.shell import served
from shelfcheck.settings import load_settings
from tests.browser.conftest import Arrive
from tests.browser.driving import PHONE, Shopper
from tests.browser.test_offline import offline, with_worker
from tests.making import ROOT, SAMPLES, sample

pytestmark = pytest.mark.browser

WEB = ROOT / "web"
MANIFEST: dict[str, Any] = json.loads((WEB / "manifest.webmanifest").read_text(encoding="utf-8"))
GROUND = (0x5E, 0x1A, 0x53)
SAFE = 0.4
"""Radius of a maskable icon's safe zone, as a share of its side (W3C manifest)."""
PHOTO = SAMPLES / "fda_sample.png"


def share(one: Shopper, *files: tuple[bytes, str]) -> Shopper:
    """Share files with the app as a phone's gallery does: from outside, with a form."""
    target = MANIFEST["share_target"]
    one.page.goto("about:blank")
    one.page.set_content(
        f"""<form action="{one.address}{target["action"].removeprefix("./")}" method="{target["method"]}"
            enctype="{target["enctype"]}"><input type="file" name="photo" multiple><button></form>"""
    )
    one.page.locator("input").set_input_files(
        [
            {"name": f"{place}", "mimeType": kind, "buffer": content}
            for place, (content, kind) in enumerate(files)
        ]
    )
    one.page.locator("button").click()
    one.page.wait_for_selector("#label-title", state="attached")
    return one


def test_chromium_finds_nothing_that_stands_against_installing(shopper: Arrive) -> None:
    one = with_worker(shopper)
    devtools = one.page.context.new_cdp_session(one.page)

    found = devtools.send("Page.getAppManifest")
    errors = devtools.send("Page.getInstallabilityErrors")["installabilityErrors"]

    assert found["errors"] == []
    assert json.loads(found["data"]) == MANIFEST
    assert [error["errorId"] for error in errors if error["errorId"] != "in-incognito"] == []


@pytest.mark.parametrize(
    "image", MANIFEST["icons"] + MANIFEST["screenshots"], ids=lambda image: image["src"].split("/")[-1]
)
def test_each_picture_is_as_large_as_the_manifest_says(image: dict[str, str]) -> None:
    with Image.open(WEB / image["src"]) as picture:
        assert f"{picture.width}x{picture.height}" == image["sizes"]
        assert picture.format == "PNG"


@pytest.mark.parametrize("name", ["maskable-512", "apple-touch-180"])
def test_icons_that_phones_cut_fill_their_square_and_keep_the_drawing_within(name: str) -> None:
    with Image.open(WEB / "icons" / f"{name}.png") as opened:
        picture = opened.convert("RGBA")
    side = picture.width
    safe = SAFE if name.startswith("maskable") else 0.5
    for y in range(0, side, 2):
        for x in range(0, side, 2):
            *colour, opaque = picture.getpixel((x, y))  # type: ignore[misc]
            assert opaque == 255
            if math.dist((x, y), (side / 2, side / 2)) > safe * side:
                assert tuple(colour) == GROUND, (x, y)


def test_each_shortcut_leads_to_a_place_of_the_app(shopper: Arrive) -> None:
    one = shopper()
    for shortcut in MANIFEST["shortcuts"]:
        one.page.goto("about:blank")
        one.page.goto(one.address + shortcut["url"].removeprefix("./"))
        expect(one.page.locator("#place-title")).to_be_visible()


def test_what_the_page_loads_is_all_in_the_shell(shopper: Arrive) -> None:
    one = shopper(PHONE)
    asked: set[str] = set()
    one.page.on("request", lambda request: asked.add(request.url))
    one.type_granola()
    for place in ("kept", "compare", "meal", "hands", "phone"):
        one.page.goto(f"{one.address}#/{place}")
        expect(one.page.locator("#place-title")).to_be_visible()

    kept = {
        one.address + url.removeprefix("./")
        for url, file in served(WEB, Path(data.FOLDER), load_settings()).items()
        if file.kept == "at once"
    }
    besides = {url.removeprefix(one.address) for url in asked if url.startswith("http")}
    besides -= {url.removeprefix(one.address) for url in kept}
    assert {url for url in besides if not url.startswith("api/")} <= {
        "manifest.webmanifest",
        "icons/apple-touch-180.png",
    }


# sharing


def test_a_shared_photo_is_read_at_once(shopper: Arrive) -> None:
    one = with_worker(shopper).answer_photos_with(sample("fda_sample"))

    share(one, (PHOTO.read_bytes(), "image/png"))

    expect(one.field("fat")).to_have_value("8")
    assert "shared" not in one.page.url
    one.page.reload()
    expect(one.page.locator(".waiting-list li")).to_have_count(0)


def test_a_large_shared_photo_is_made_smaller_before_it_is_sent(shopper: Arrive) -> None:
    one = with_worker(shopper).answer_photos_with(sample("fda_sample"))
    large = io.BytesIO()
    picture = Image.new("RGB", (3000, 4000), "white")
    picture.paste((220, 30, 30), (0, 0, 800, 800))
    picture.save(large, "JPEG")

    with one.page.expect_request("**/api/panels/read*") as waiting:
        share(one, (large.getvalue(), "image/jpeg"))

    assert Image.open(io.BytesIO(waiting.value.post_data_buffer or b"")).size == (1650, 2200)


def test_a_photo_shared_with_no_signal_waits(shopper: Arrive) -> None:
    one = with_worker(shopper)
    offline(one)

    share(one, (PHOTO.read_bytes(), "image/png"))

    expect(one.page.locator(".waiting-list li")).to_have_count(1)
    expect(one.page.locator("#waiting-title")).to_be_visible()


def test_a_shared_photo_does_not_overwrite_typed_work_without_asking(shopper: Arrive) -> None:
    one = with_worker(shopper).answer_photos_with(sample("fda_sample"))
    one.start_typing().fill({"fat": "3"})

    share(one, (PHOTO.read_bytes(), "image/png"))
    one.page.locator(".question [data-answer=no]").click()

    assert one.field("fat").input_value() == "3"
    expect(one.page.locator("[data-notice=read]")).to_be_visible()  # read all the same, and offered


@pytest.mark.parametrize("files", [[], [(b"", "image/jpeg")], [(b"a note", "text/plain")]])
def test_an_empty_share_says_so_and_overwrites_nothing(
    shopper: Arrive, files: list[tuple[bytes, str]]
) -> None:
    one = with_worker(shopper)
    one.start_typing().fill({"fat": "3"})

    share(one, *files)

    expect(one.page.locator("[data-notice=shared]")).to_be_visible()
    assert one.field("fat").input_value() == "3"


def test_a_share_that_finds_no_worker_is_answered_by_the_service(shopper: Arrive) -> None:
    one = shopper().arrive()

    share(one, (PHOTO.read_bytes(), "image/png"))

    expect(one.page.locator("[data-notice=shared]")).to_be_visible()


def test_the_worker_and_the_page_open_the_same_database() -> None:
    worker = (WEB / "sw.js").read_text(encoding="utf-8")
    page = (WEB / "modules" / "phone" / "database.js").read_text(encoding="utf-8")

    name, version = re.search(r'name: "(\w+)", version: (\d+)', worker).groups()  # type: ignore[union-attr]
    assert f'NAME = "{name}"' in page
    assert f"VERSION = {version};" in page
    stores = re.search(r"stores: (\[.*?\])", worker)
    assert stores
    assert f"STORES = {stores[1]}" in page
