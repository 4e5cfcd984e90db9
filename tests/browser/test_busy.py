"""A service with its hands full is waited for as it asks, and nothing is lost meanwhile."""

from __future__ import annotations

import json
import re
import threading
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from playwright.sync_api import Route, expect

from shelfcheck.words import say
from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, START_SECONDS, Shopper
from tests.browser.screens import PHOTO
from tests.browser.test_offline import expect_waiting, offline, put_away
from tests.browser.test_tours import LIVE_MS, guess, join, sample_tour, state
from tests.making import sample

pytestmark = pytest.mark.browser

BUSY = {"error": {"code": "busy", "message": "Many photos are being read.", "fields": {}}}
READ = "**/api/panels/read*"
NO_CHANCE = "Math.random = () => 0;"
"""Waits are then as long as the service asks, and no longer."""
FAST_MS = 12_000


class Busy:
    """Answers what is asked for so: each of ``answers`` once, the last of them for good.

    An answer is a status with its Retry-After, or None for what is answered without this.
    """

    def __init__(self, *answers: tuple[int, str] | None) -> None:
        self.answers = list(answers)
        self.asked = 0

    def __call__(self, route: Route) -> None:
        answer = self.answers[min(self.asked, len(self.answers) - 1)]
        self.asked += 1
        if answer is None:
            route.fallback()
            return
        status, wait = answer
        route.fulfill(status=status, json=BUSY, headers={"Retry-After": wait})


def busy_reader(shopper: Arrive, *answers: tuple[int, str] | None, lang: str = "en") -> tuple[Shopper, Busy]:
    """Return a shopper whose photos are answered so, and in the end read."""
    one = shopper(lang=lang)
    one.page.add_init_script(NO_CHANCE)
    one.arrive().answer_photos_with(sample("fda_sample"))
    busy = Busy(*answers)
    one.page.route(READ, busy)
    return one, busy


def forgive(one: Shopper) -> None:
    """Chromium reports each 429 and 503 itself."""
    assert all("status of 503" in trouble or "status of 429" in trouble for trouble in one.troubles)
    one.troubles.clear()


@pytest.mark.parametrize(("status", "lang"), [(503, "en"), (429, "es")])
def test_a_busy_service_is_waited_for_as_long_as_it_asks(shopper: Arrive, lang: str, status: int) -> None:
    one, busy = busy_reader(shopper, (status, "2"), (status, "1"), None, lang=lang)
    one.choose_photo(PHOTO)

    expect(one.page.locator(".busy-words")).to_have_text(say("page.label.busy", lang, count=2))
    expect(one.page.locator(".busy .seconds")).to_be_empty()  # no clock runs beside the sentence
    expect(one.field("fat")).to_have_value("8", timeout=FAST_MS)
    assert busy.asked == 3
    forgive(one)


def test_the_hour_at_which_to_come_again_is_taken_by_the_clock_of_the_service(shopper: Arrive) -> None:
    """The phone's own clock may be hours off."""
    one, _ = busy_reader(shopper, None)
    now = datetime(2031, 5, 4, 10, tzinfo=UTC)
    headers = {
        "Date": format_datetime(now, usegmt=True),
        "Retry-After": format_datetime(now + timedelta(seconds=3), usegmt=True),
    }
    one.page.route(READ, lambda route: route.fulfill(status=503, json=BUSY, headers=headers), times=1)
    one.choose_photo(PHOTO)

    expect(one.page.locator(".busy-words")).to_have_text(say("page.label.busy", "en", count=3))
    expect(one.field("fat")).to_have_value("8", timeout=FAST_MS)
    forgive(one)


def test_phones_that_are_told_the_same_come_back_at_different_times(shopper: Arrive) -> None:
    one = shopper().arrive()
    waits = one.page.evaluate(
        """async () => {
            const { waitAsked } = await import("/modules/phone/patience.js");
            const header = (name) => ({ "Retry-After": "5" })[name] ?? null;
            return Array.from({ length: 50 }, () => waitAsked(503, header));
        }"""
    )

    assert min(waits) >= 5
    assert max(waits) <= 10
    assert max(waits) - min(waits) > 2.5
    assert len(set(waits)) == 50


def test_only_a_busy_answer_with_a_time_is_one(shopper: Arrive) -> None:
    told = [
        (503, "7", 7),
        (429, "7", 7),
        (503, "0", 1),
        (503, None, 0),
        (503, "soon", 0),
        (500, "7", 0),
        (200, "7", 0),
        (503, "Wed, 01 Jan 2020 00:00:00 GMT", 1),
    ]
    one = shopper()
    one.page.add_init_script(NO_CHANCE)
    one.arrive()

    waits = one.page.evaluate(
        """async (told) => {
            const { waitAsked } = await import("/modules/phone/patience.js");
            const named = (header) => (name) => (name === "Retry-After" ? header : null);
            return told.map(([status, header]) => waitAsked(status, named(header)));
        }""",
        told,
    )

    assert waits == [wait for _, _, wait in told]


def test_a_wait_for_a_busy_service_can_be_cancelled(shopper: Arrive) -> None:
    one, busy = busy_reader(shopper, (503, "3"))
    one.choose_photo(PHOTO)
    expect(one.page.locator(".busy-words")).to_contain_text("3 seconds")

    one.page.locator(".busy button").first.click()

    expect(one.page.locator("#label .choices")).to_be_visible()
    one.page.wait_for_timeout(3500)
    assert busy.asked == 1
    expect_waiting(one, 0)
    forgive(one)


def test_the_label_can_be_typed_while_the_service_is_busy_with_the_photo_beside(shopper: Arrive) -> None:
    one, _ = busy_reader(shopper, (503, "20"))
    one.choose_photo(PHOTO)
    expect(one.page.locator(".busy-words")).to_contain_text("20 seconds")

    one.page.locator(".busy button").last.click()

    expect(one.page.locator("#field-household")).to_be_visible()
    assert one.page.evaluate("document.querySelector('img.beside')?.naturalWidth ?? 0") > 0
    forgive(one)


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_service_that_stays_busy_leaves_the_photo_waiting_here_and_to_be_typed(
    shopper: Arrive, lang: str
) -> None:
    """It asks for more than a minute, so nobody is kept before a screen that does nothing."""
    one, _ = busy_reader(shopper, (503, "90"), lang=lang)
    one.choose_photo(PHOTO)

    expect_waiting(one, 1)
    expect(one.page.locator("#label .problem")).to_have_text(say("page.label.still_busy", lang))
    expect(one.page.locator("#label .problem")).to_be_in_viewport()
    expect(one.page.locator("#waiting-title")).to_be_focused()
    expect(one.page.locator("[data-notice=offline]")).to_have_count(0)
    one.page.locator(".waiting-list button").nth(1).click()
    expect(one.page.locator("#field-household")).to_be_visible()
    forgive(one)


def test_no_more_than_a_minute_is_waited_in_all(shopper: Arrive) -> None:
    one = shopper()
    one.page.clock.install()
    one.page.add_init_script(NO_CHANCE)
    one.arrive()
    busy = Busy((503, "25"))
    one.page.route(READ, busy)
    one.choose_photo(PHOTO)

    seconds = 0
    while seconds < 70 and not one.page.locator(".waiting-list li").count():
        seconds += 1
        one.page.clock.run_for(1000)
        one.page.wait_for_timeout(40)

    assert 45 <= seconds <= 60  # two waits of 25 seconds; the third would end too late
    assert busy.asked == 3
    forgive(one)


def test_a_phone_that_keeps_nothing_says_what_the_service_says_and_tries_again(shopper: Arrive) -> None:
    one = shopper()
    one.page.add_init_script("indexedDB.open = () => { throw new DOMException('no', 'InvalidStateError'); }")
    one.arrive()
    one.page.route(READ, Busy((503, "90")))
    one.choose_photo(PHOTO)

    expect(one.page.locator("#label .problem")).to_have_text(BUSY["error"]["message"])
    expect(one.page.locator("#label .again")).to_be_focused()
    forgive(one)


# photos that wait


def test_a_busy_answer_is_no_failed_try_and_the_photo_is_read_when_the_service_is_free(
    shopper: Arrive,
) -> None:
    one = shopper()
    one.page.add_init_script(NO_CHANCE)
    put_away(one.arrive()).answer_photos_with(sample("fda_sample"))
    busy = Busy(*[(503, "1")] * 4, None)
    one.page.route(READ, busy)

    offline(one, now=False)

    expect(one.field("fat")).to_have_value("8", timeout=FAST_MS)  # by itself, at the fifth time
    assert busy.asked == 5
    forgive(one)


def test_a_busy_service_is_left_alone_until_the_time_it_told(shopper: Arrive) -> None:
    one = put_away(shopper().arrive())
    busy = Busy((429, "120"))
    one.page.route(READ, busy)
    offline(one, now=False)
    until(one, lambda: busy.asked == 1)

    for _ in range(3):
        one.page.evaluate("dispatchEvent(new Event('online'))")
        one.page.wait_for_timeout(200)

    assert busy.asked == 1
    expect(one.page.locator(".waiting-state b")).to_have_text(say("page.waiting.waits", "en"))
    forgive(one)


def until(one: Shopper, true: Callable[[], bool]) -> None:
    for _ in range(100):
        if true():
            return
        one.page.wait_for_timeout(50)
    pytest.fail("it did not come to pass")


# the signal


@pytest.mark.parametrize(
    ("status", "headers", "reached"),
    [
        (503, {"Retry-After": "5"}, True),
        (429, {"Retry-After": "5"}, True),
        (503, {}, False),
        (502, {}, False),
    ],
)
def test_a_busy_service_is_not_taken_for_no_signal(
    shopper: Arrive, status: int, headers: dict[str, str], *, reached: bool
) -> None:
    one = shopper().arrive()
    one.page.route("**/api/health", lambda route: route.fulfill(status=status, body="", headers=headers))

    found = one.page.evaluate("async () => (await import('/modules/phone/signal.js')).hasSignal()")

    assert found is reached
    one.troubles.clear()  # Chromium reports the 5xx itself


def test_a_photo_that_is_out_is_not_given_up_at_the_first_silence(shopper: Arrive, address: str) -> None:
    """A service that reads many photos may answer nothing else for a while."""
    with occupied(address) as (between, free):
        one = shopper()
        one.address = between
        one.arrive().choose_photo(PHOTO)
        one.page.wait_for_timeout(5500)  # longer than a hanging signal is believed in before the photo is out
        expect(one.page.locator(".busy-words")).to_have_text(say("page.label.reading", "en"))
        free.set()

        expect(one.field("fat")).to_have_value("8")
        one.page.close()
    one.troubles.clear()  # Chromium reports the signs of life that were not answered


@contextmanager
def occupied(address: str) -> Iterator[tuple[str, threading.Event]]:
    """Yield the address of a service that takes photos and then answers nothing until the event is set."""
    free = threading.Event()

    class Between(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            if self.path.startswith("/api/health"):
                free.wait(START_SECONDS)
            with urllib.request.urlopen(address + self.path.removeprefix("/"), timeout=5) as answer:
                self.answer(answer.read(), answer.headers["Content-Type"])

        def do_POST(self) -> None:
            self.rfile.read(int(self.headers["Content-Length"]))
            free.wait(START_SECONDS)
            self.answer(json.dumps(sample("fda_sample")).encode(), "application/json")

        def answer(self, body: bytes, kind: str) -> None:
            with suppress(OSError):  # who asked may have gone
                self.send_response(200)
                self.send_header("Content-Type", kind)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Between) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/", free
        free.set()
        server.shutdown()


# group tours


def test_an_answer_to_a_tour_waits_for_a_busy_service_and_counts_once(shopper: Arrive) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    one = join(shopper(), code)
    lead.page.locator(".stop .primary").first.click()
    expect(one.page.locator(".guess-form").first).to_be_visible(timeout=LIVE_MS)
    busy = Busy((429, "1"), (503, "2"), None)
    one.page.route("**/guess*", busy)
    guess(one, 2)

    waits = say("page.tour.answer_waits", "en")
    expect(one.page.locator(".stop-state").first).to_have_text(waits)
    expect(one.page.locator("#place .problem")).to_have_text(BUSY["error"]["message"])
    expect(one.page.locator(".stop-state").first).to_contain_text("2 fists", timeout=2 * LIVE_MS)
    expect(state(lead)).to_contain_text("1 of 1", timeout=LIVE_MS)
    expect(one.page.locator("#place .problem")).to_be_hidden()
    assert busy.asked == 3
    forgive(one)


def test_a_busy_tour_is_left_alone_until_the_time_it_told(shopper: Arrive) -> None:
    lead = shopper(DESK)
    one = join(shopper(), sample_tour(lead))
    busy = Busy((503, "300"))
    one.page.route("**/api/join/**", busy)
    until(one, lambda: busy.asked == 1)
    for _ in range(3):
        one.page.evaluate("dispatchEvent(new Event('online'))")
        one.page.wait_for_timeout(200)

    assert busy.asked == 1
    forgive(one)


def test_a_busy_service_at_the_first_look_still_brings_the_whole_tour(shopper: Arrive) -> None:
    lead = shopper(DESK)
    lead.page.add_init_script(NO_CHANCE)
    sample_tour(lead)
    lead.page.route("**/api/tours/mine?*", Busy((503, "1"), None))
    lead.page.reload()
    expect(lead.page.locator("#place .problem")).to_have_text(BUSY["error"]["message"])

    expect(lead.page.locator(".tour-view .stop").first).to_be_visible(timeout=LIVE_MS)
    expect(lead.page.locator("#place .problem")).to_be_hidden()
    forgive(lead)


def test_an_answer_is_sent_from_elsewhere_in_the_app_once_the_service_is_free(shopper: Arrive) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    one = join(shopper(), code)
    lead.page.locator(".stop .primary").first.click()
    expect(one.page.locator(".guess-form").first).to_be_visible(timeout=LIVE_MS)
    offline(one)
    guess(one, 2)
    expect(one.page.locator(".stop-state").first).to_have_text(re.compile("waits"), timeout=LIVE_MS)
    busy = Busy((503, "1"), (503, "1"), None)
    one.page.route("**/guess*", busy)
    one.page.evaluate("location.hash = '/label'")
    offline(one, now=False)

    expect(state(lead)).to_contain_text("1 of 1", timeout=LIVE_MS)
    assert busy.asked == 3
    forgive(one)
