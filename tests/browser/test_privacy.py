"""The privacy place says what is so: each sentence that can be held to the running app is."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from playwright.sync_api import expect

from shelfcheck.settings import SETTINGS
from shelfcheck.words import say
from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, Shopper, running_service
from tests.browser.screens import PHOTO, SCREENS, guessed_tour
from tests.browser.test_offline import offline, with_worker
from tests.making import sample
from tests.test_privacy import STORED

pytestmark = pytest.mark.browser

TOUR_DAYS = next(setting.default for setting in SETTINGS if setting.name == "tour_days")
FOUND_JS = """async () => [
  ...Object.keys(localStorage),
  ...Object.keys(sessionStorage),
  ...(await caches.keys()).map((name) => name.replace(/-[0-9a-f]{16}$/, "-")),
  ...(await Promise.all((await indexedDB.databases()).map(({ name }) => new Promise((resolve) => {
    const opening = indexedDB.open(name);
    opening.onsuccess = () => {
      resolve([...opening.result.objectStoreNames]);
      opening.result.close();
    };
  })))).flat(),
]"""
"""The name of every store of the browser that holds something of this site."""


def at_privacy(one: Shopper) -> Shopper:
    one.page.goto(f"{one.address}#/privacy")
    one.page.wait_for_selector("#place .privacy")
    return one


@pytest.mark.parametrize("lang", ["en", "es"])
def test_it_is_reached_from_the_first_screen_and_from_this_phone_and_leads_back(
    shopper: Arrive, lang: str
) -> None:
    one = shopper(lang=lang).arrive()
    one.page.locator("#label a[href='#/privacy']").click()
    expect(one.page.locator("#place-title")).to_have_text(say("page.phone.privacy", lang))
    expect(one.page.locator("#place-title")).to_be_focused()
    one.page.locator("#place a[href='#/phone']").click()
    one.page.locator("#place .phone a[href='#/privacy']").click()
    one.page.locator("#place a[href='#/label']").click()
    expect(one.page.locator("#label-title")).to_be_visible()
    one.page.go_back()

    expect(one.page.locator("#place .privacy")).to_be_visible()


def test_it_speaks_the_language_of_the_app(shopper: Arrive) -> None:
    one = at_privacy(shopper())
    one.page.locator("#speak-es").click()

    expect(one.page.locator("#place-title")).to_have_text(say("page.phone.privacy", "es"))
    expect(one.page.locator(".days")).to_have_text(say("page.privacy.group_days", "es", count=TOUR_DAYS))


def test_the_days_of_a_tour_are_those_that_the_service_was_told(
    shopper: Arrive, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = at_privacy(shopper()).page.locator(".days").inner_text()
    monkeypatch.setenv("SHELFCHECK_TOUR_DAYS", "1")
    with running_service() as address:
        other = shopper()
        other.address = address
        shorter = at_privacy(other).page.locator(".days").inner_text()

    assert said == say("page.privacy.group_days", "en", count=TOUR_DAYS)
    assert shorter == say("page.privacy.group_days", "en", count=1)


def test_once_seen_it_opens_with_no_signal(shopper: Arrive) -> None:
    one = at_privacy(with_worker(shopper))
    offline(one)
    one.page.reload()

    expect(one.page.locator("#place .privacy")).to_be_visible()


def test_never_seen_it_says_that_it_needs_the_signal_and_comes_with_it(shopper: Arrive) -> None:
    one = with_worker(shopper)
    offline(one)
    one.page.goto(f"{one.address}#/privacy")
    expect(one.page.locator("#place .problem").first).to_be_visible()
    offline(one, now=False)

    expect(one.page.locator("#place .privacy")).to_be_visible()
    one.troubles.clear()  # the page reports the part that could not be loaded


def test_a_whole_walk_keeps_only_what_is_told_asks_only_this_service_and_gets_no_cookie(
    shopper: Arrive,
) -> None:
    one = with_worker(shopper, size=DESK)
    asked: set[str] = set()
    one.page.context.on("request", lambda request: asked.add(request.url))
    kept = walk(one)
    found = kept | set(one.page.evaluate(FOUND_JS))

    assert found <= STORED.keys()
    assert {"shelfcheck.page", "shelfcheck.tours", "foods", "meal", "waiting", "shell-"} <= found
    assert elsewhere(asked, one.address) == []
    assert len(asked) > 10
    assert one.page.context.cookies() == []
    kinds = {url.removeprefix(f"{one.address}api/").split("/")[0] for url in asked if "/api/" in url}
    assert kinds == {"health", "panels", "tours", "join"}  # so what is typed is sent to none but a tour


def walk(one: Shopper) -> set[str]:
    """Go everywhere: type, keep, lead and join a tour, have a photo wait; return what was kept meanwhile."""
    for name in ("kept_full", "meal_full", "compare_full", "hands_measured", "phone", "privacy", "numbers"):
        SCREENS[name](one)
    token, code = guessed_tour(one)
    for place in ("tours", f"lead/{token}", f"join/{code}"):
        one.page.goto(f"{one.address}#/{place}")
        one.page.wait_for_selector("#place-title")
    one.page.goto(f"{one.address}#/label")
    offline(one)
    one.page.locator("#label .folded button").click()
    one.page.locator(".question [data-answer=yes]").click()
    one.choose_photo(PHOTO)
    expect(one.page.locator(".waiting-list li")).to_have_count(1)
    kept = set(one.page.evaluate(FOUND_JS))
    one.answer_photos_with(sample("fda_sample"))
    offline(one, now=False)
    expect(one.page.locator("#check form")).to_be_visible()
    return kept


def elsewhere(urls: Iterable[str], address: str) -> list[str]:
    return [url for url in urls if not url.startswith((address, "blob:", "data:"))]


def test_a_request_to_another_site_would_be_found() -> None:
    here = "http://127.0.0.1:8000/"

    assert elsewhere(["https://fonts.example/a.woff", here, f"blob:{here}1"], here) == [
        "https://fonts.example/a.woff"
    ]
