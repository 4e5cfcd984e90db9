"""No signal: the app opens, reckons and keeps photos; weak signal; a new version by consent."""

from __future__ import annotations

import shutil
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, GRANOLA, LABEL, Shopper, running_service
from tests.making import ROOT, SAMPLES, sample

pytestmark = pytest.mark.browser

PHOTO = SAMPLES / "fda_sample.png"
NO_PANEL = {"error": {"code": "no_panel", "message": "No panel here.", "fields": {}}}
KEPT_JS = "async () => (await caches.keys()).filter((name) => name.startsWith('shell-'))"


def with_worker(shopper: Arrive, *, address: str | None = None, **more: Any) -> Shopper:
    """Return a shopper whose first visit is over, the shell on the phone; of `address`, if given."""
    one = shopper(service_workers="allow", **more)
    one.address = address or one.address
    one.arrive()
    wait_for_worker(one.page)
    return one


def wait_for_worker(page: Page) -> None:
    """Wait until the worker is in charge; the page's policy lets no string be evaluated again and again."""
    page.evaluate(
        """async () => {
            while (navigator.serviceWorker.controller?.state !== "activated")
                await new Promise((wake) => setTimeout(wake, 50));
        }"""
    )


def offline(one: Shopper, *, now: bool = True) -> None:
    one.page.context.set_offline(offline=now)


def expect_waiting(one: Shopper, count: int) -> None:
    expect(one.page.locator(".waiting-list li")).to_have_count(count)


def put_away(one: Shopper) -> Shopper:
    """Choose a photo with no signal."""
    offline(one)
    one.choose_photo(PHOTO)
    expect_waiting(one, 1)
    return one


def hang(one: Shopper) -> None:
    """Have the network swallow whatever is asked of the service."""
    one.page.route("**/api/**", lambda _route: None)


# the shell


def test_after_one_visit_the_app_opens_and_reckons_with_no_signal(shopper: Arrive) -> None:
    one = with_worker(shopper)
    offline(one)

    one.page.reload()
    one.page.wait_for_selector("#label-title")
    expect(one.page.locator("[data-notice=offline]")).to_be_visible()
    one.start_typing().fill(LABEL | GRANOLA).go_on()
    one.press("plus", 2)

    assert one.value("energy") == "690"


@pytest.mark.parametrize("place", ["kept", "compare", "meal", "hands"])
def test_every_place_opens_with_no_signal_though_never_visited(shopper: Arrive, place: str) -> None:
    one = with_worker(shopper)
    offline(one)

    one.page.goto(f"{one.address}#/{place}")
    one.page.reload()

    expect(one.page.locator("#place-title")).to_be_visible()


def test_the_app_outlives_the_service(shopper: Arrive) -> None:
    one = shopper(service_workers="allow")
    with running_service() as address:
        one.address = address
        one.arrive()
        wait_for_worker(one.page)

    one.page.reload()

    one.type_granola()
    assert one.value("energy") == "345"
    one.page.locator("#steps a").first.click()
    one.choose_photo(PHOTO)
    one.page.locator(".question [data-answer=yes]").click()
    expect_waiting(one, 1)
    one.troubles.clear()  # Chromium reports refused connections itself


def test_the_signal_coming_and_going_is_told(shopper: Arrive) -> None:
    one = shopper().arrive()
    notice = one.page.locator("[data-notice=offline]")

    offline(one)
    expect(notice).to_be_visible()
    one.page.locator("#speak-es").click()
    expect(notice).to_contain_text("No hay señal")
    offline(one, now=False)
    expect(notice).to_have_count(0)
    offline(one)
    notice.locator("button").click()

    expect(notice).to_have_count(0)


def test_without_service_workers_all_else_works(shopper: Arrive) -> None:
    one = shopper()
    one.page.add_init_script("delete Navigator.prototype.serviceWorker")

    one.type_granola()

    assert one.page.evaluate("'serviceWorker' in navigator") is False
    assert one.value("energy") == "345"


# photos that wait


def test_a_photo_taken_with_no_signal_survives_the_tab_and_is_read_when_it_returns(shopper: Arrive) -> None:
    one = put_away(with_worker(shopper))
    context = one.page.context
    one.page.close()

    again = Shopper(context.new_page(), one.address).arrive()
    expect(again.page.locator(".waiting h3")).to_have_text("1 photo waits to be read")
    assert (
        again.page.locator(".waiting img").evaluate("(img) => img.decode().then(() => img.naturalWidth)")
        > 100
    )
    again.answer_photos_with(sample("fda_sample"))
    offline(again, now=False)

    expect(again.page.locator("#check form")).to_be_visible()  # nothing else was going on
    assert again.field("energy").input_value() == "230"
    expect_waiting(again, 0)


def test_a_label_read_meanwhile_does_not_tear_away_what_is_done(shopper: Arrive) -> None:
    one = put_away(shopper().arrive()).answer_photos_with(sample("fda_sample"))
    one.start_typing().fill({"fat": "3"})

    offline(one, now=False)
    offer = one.page.locator("[data-notice=read]")
    expect(offer).to_be_visible()
    expect(one.page.locator("body")).to_have_attribute("data-at", "check")
    assert one.field("fat").input_value() == "3"

    offer.locator("button").first.click()
    one.page.locator(".question [data-answer=yes]").click()  # typed work is asked about
    expect(one.field("fat")).to_have_value("8")


def test_an_offer_put_off_stays_with_the_label(shopper: Arrive) -> None:
    one = put_away(shopper().arrive()).answer_photos_with(sample("fda_sample"))
    one.start_typing()
    offline(one, now=False)
    one.page.locator("[data-notice=read] button").last.click()
    one.page.reload()
    one.page.locator("#steps a").first.click()

    one.page.locator(".waiting-list .primary").click()

    expect(one.field("fat")).to_have_value("8")
    expect_waiting(one, 0)


def test_a_waiting_photo_can_be_typed_from_with_the_photo_beside(shopper: Arrive) -> None:
    one = put_away(shopper(DESK).arrive())

    one.page.locator(".waiting-list button").nth(1).click()

    expect(one.page.locator("img.beside")).to_be_visible()
    one.fill(LABEL | GRANOLA).go_on()
    assert one.value("energy") == "345"
    expect_waiting(one, 0)


def test_a_waiting_photo_is_let_go_only_after_asking(shopper: Arrive) -> None:
    one = put_away(shopper().arrive())
    let_go = one.page.locator(".waiting-list button").last

    let_go.click()
    one.page.locator(".question [data-answer=no]").click()
    expect_waiting(one, 1)
    let_go.click()
    one.page.locator(".question [data-answer=yes]").click()

    expect(one.page.locator(".waiting")).to_be_hidden()
    expect(one.page.locator("#label-title")).to_be_focused()


def test_a_waiting_photo_that_shows_no_panel_says_so_and_is_not_sent_again(shopper: Arrive) -> None:
    one = put_away(shopper().arrive()).answer_photos_with(NO_PANEL, status=422)
    sent: list[str] = []
    one.page.on("request", lambda request: sent.append(request.url) if "read" in request.url else None)

    offline(one, now=False)
    expect(one.page.locator(".waiting-state b")).to_have_text("No panel here.")
    one.page.evaluate("dispatchEvent(new Event('online'))")
    one.page.wait_for_timeout(300)

    assert len(sent) == 1
    one.troubles.clear()  # Chromium reports the 422 itself


def test_read_it_now_with_still_no_signal_keeps_it(shopper: Arrive) -> None:
    one = put_away(shopper().arrive())

    one.page.locator(".waiting-list button").first.click()

    expect_waiting(one, 1)
    expect(one.page.locator("#waiting-title")).to_be_focused()


def test_a_phone_that_keeps_nothing_lets_the_photo_be_tried_again(shopper: Arrive) -> None:
    one = shopper()
    one.page.add_init_script("indexedDB.open = () => { throw new DOMException('no', 'InvalidStateError'); }")
    one.arrive().answer_photos_with(sample("fda_sample"))
    offline(one)
    one.page.unroute("**/api/panels/read*")
    one.choose_photo(PHOTO)
    expect(one.page.locator("#label .problem")).to_contain_text("signal")

    offline(one, now=False)
    one.answer_photos_with(sample("fda_sample"))
    one.page.locator(".again").click()

    expect(one.field("fat")).to_have_value("8")


# weak signal


def test_a_signal_that_hangs_counts_as_none_after_a_few_seconds(shopper: Arrive) -> None:
    one = shopper().arrive()
    hang(one)

    one.choose_photo(PHOTO)

    expect(one.page.locator(".waiting-list li")).to_have_count(1, timeout=6500)
    expect(one.page.locator("#label .choices")).to_be_visible()


@pytest.mark.ocr
def test_a_slow_upload_that_goes_on_is_shown_and_not_cut(shopper: Arrive) -> None:
    one = shopper().arrive()
    photo = ROOT / "tests" / "reading" / "photos" / "flat_grid.jpg"
    slow = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": 40_000}
    one.page.context.new_cdp_session(one.page).send("Network.emulateNetworkConditions", slow)
    seen: set[str] = set()

    one.choose_photo(photo)
    for _ in range(300):
        seen.add(one.page.locator(".seconds").inner_text() if one.page.locator(".busy").is_visible() else "")
        if one.page.locator("#check form").is_visible():
            break
        one.page.wait_for_timeout(50)

    expect(one.page.locator("#check form")).to_be_visible()
    percents = {int(text.split()[0]) for text in seen if text.endswith("%")}
    assert len(percents) > 3, seen


def test_a_failed_read_is_tried_again_with_the_same_photo(shopper: Arrive) -> None:
    one = shopper().arrive()
    one.page.route("**/api/panels/read*", lambda route: route.fulfill(status=502, body="<h1>Bad</h1>"))
    one.choose_photo(PHOTO)
    expect(one.page.locator("#label .again")).to_be_focused()
    one.page.unroute("**/api/panels/read*")
    one.answer_photos_with(sample("fda_sample"))

    one.page.locator("#label .again").click()

    expect(one.field("fat")).to_have_value("8")
    one.troubles.clear()  # Chromium reports the 502 itself


# a new version


@pytest.fixture
def copied(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    """Yield the folder of a copy of the project, and the address where it runs."""
    for name in ("shelfcheck", "web"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    with running_service(folder=tmp_path) as address:
        yield tmp_path, address


def release(folder: Path) -> None:
    """Change a file of the copy."""
    page = folder / "web" / "index.html"
    page.write_text(
        page.read_text(encoding="utf-8").replace("<body ", '<body data-release="2" '), encoding="utf-8"
    )


def look_for_update(page: Page) -> None:
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")


def test_a_new_version_waits_for_consent_and_loses_nothing(shopper: Arrive, copied: tuple[Path, str]) -> None:
    folder, address = copied
    one = with_worker(shopper, size=DESK, address=address)
    one.answer_photos_with(sample("fda_sample")).choose_photo(PHOTO)
    one.fill({"fat": "7"})
    [first] = one.page.evaluate(KEPT_JS)
    one.page.evaluate(
        """async (name) => (await caches.open(name)).put("icon.svg", new Response("the one of before"))""",
        first,
    )

    release(folder)
    look_for_update(one.page)
    update = one.page.locator("[data-notice=update]")
    expect(update).to_be_visible()
    assert one.page.locator("body[data-release]").count() == 0
    update.locator("button").first.click()

    expect(one.page.locator("body[data-release='2']")).to_have_count(1)
    expect(one.field("fat")).to_have_value("7")
    expect(one.page.locator("img.beside")).to_be_visible()  # the photo that only the tab held
    [second] = one.page.evaluate(KEPT_JS)
    assert second != first
    unchanged = one.page.evaluate("async () => (await caches.match('icon.svg')).text()")
    assert unchanged == "the one of before"  # what did not change was not fetched again


def test_a_new_version_put_off_comes_with_the_next_look(shopper: Arrive, copied: tuple[Path, str]) -> None:
    folder, address = copied
    one = with_worker(shopper, address=address)
    release(folder)
    look_for_update(one.page)
    one.page.locator("[data-notice=update] button").last.click()

    one.page.reload()

    expect(one.page.locator("[data-notice=update]")).to_be_visible()
    assert one.page.locator("body[data-release]").count() == 0


def test_a_photo_being_read_is_not_lost_to_a_new_version(shopper: Arrive, copied: tuple[Path, str]) -> None:
    folder, address = copied
    one = with_worker(shopper, address=address)
    one.answer_photos_with(sample("fda_sample"), held=True).choose_photo(PHOTO)
    one.wait_until_sent()
    one.page.unroute("**/api/panels/read*")
    one.answer_photos_with(sample("fda_sample"))
    release(folder)
    look_for_update(one.page)

    one.page.locator("[data-notice=update] button").first.click()

    expect(one.page.locator("body[data-release='2']")).to_have_count(1)
    expect(one.field("fat")).to_have_value("8")


def test_a_file_that_is_not_what_the_list_says_is_not_kept(shopper: Arrive, address: str) -> None:
    """A release half done, or a network's sign-in page, would mix two versions for good."""
    with changing(address, "icons.svg") as (between, changed):
        one = shopper(service_workers="allow")
        one.address = between
        one.arrive()
        outcome = one.page.evaluate(
            """async () => {
                for (;;) {
                    const found = await navigator.serviceWorker.getRegistration();
                    if (found?.active) return "taken";
                    if (!found) return "refused";
                    await new Promise((wake) => setTimeout(wake, 50));
                }
            }"""
        )
        assert outcome == "refused"

        changed.clear()
        one.page.reload()

        wait_for_worker(one.page)


@contextmanager
def changing(address: str, *names: str) -> Iterator[tuple[str, set[str]]]:
    """Yield the address of a network that changes some files on their way, and the names of those."""
    changed = set(names)

    class Between(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            with urllib.request.urlopen(address + self.path.removeprefix("/"), timeout=5) as answer:
                body = answer.read() + (b" " if self.path.removeprefix("/") in changed else b"")
            self.send_response(200)
            self.send_header("Content-Type", answer.headers["Content-Type"])
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Between) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/", changed
        server.shutdown()
