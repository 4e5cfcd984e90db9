"""This phone: what it keeps, said in figures, and all of it deleted on demand."""

from __future__ import annotations

import json

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Arrive
from tests.browser.driving import SIZES, Shopper

pytestmark = pytest.mark.browser

KEEP_JS = """async ([store, count]) => {
  const { keep } = await import("/modules/phone/database.js");
  for (let i = 0; i < count; i++) await keep(store, { name: "A food" });
}"""
LEFT_JS = """async () => {
  const { recordsOf, STORES } = await import("/modules/phone/database.js");
  const records = await Promise.all(STORES.map((store) => recordsOf(store)));
  return records.flat().length;
}"""


def at_phone(one: Shopper) -> Shopper:
    one.page.goto(f"{one.address}#/phone")
    one.page.wait_for_selector("#place .phone")
    return one


def figure(one: Shopper, name: str) -> str:
    return one.page.locator(f"[data-kept={name}] dd").inner_text()


def test_what_is_kept_is_counted(shopper: Arrive) -> None:
    one = shopper().arrive()
    one.page.evaluate(KEEP_JS, ["foods", 3])
    one.page.evaluate(KEEP_JS, ["meal", 2])
    at_phone(one)

    assert [figure(one, name) for name in ("foods", "meal", "waiting")] == ["3", "2", "0"]
    assert " MB" in figure(one, "space")


def test_hands_and_plan_are_named_once_there_are_any(shopper: Arrive) -> None:
    one = at_phone(shopper())
    before = [figure(one, name) for name in ("hands", "plan")]
    state = {"hands": {"fist_ml": 300}, "plan": {"meal_carbohydrate_g": "45", "day_sodium_mg": ""}}
    one.page.evaluate("(text) => localStorage.setItem('shelfcheck.page', text)", json.dumps(state))
    one.page.reload()
    one.page.wait_for_selector("#place .phone")
    after = [figure(one, name) for name in ("hands", "plan")]

    assert all(now != then for now, then in zip(after, before, strict=True))


@pytest.mark.parametrize("granted", [True, False])
def test_the_phone_is_asked_to_keep_it_safe_and_its_answer_is_said(shopper: Arrive, *, granted: bool) -> None:
    one = shopper()
    answer = str(granted).lower()
    one.page.add_init_script(
        f"""let asked = false;
        StorageManager.prototype.persisted = async () => asked && {answer};
        StorageManager.prototype.persist = async () => (asked = true) && {answer};"""
    )
    at_phone(one)
    said = one.page.locator(".kept-safety p")
    before = said.inner_text()
    one.page.locator(".kept-safety button").click()

    expect(said).not_to_have_text(before)
    expect(one.page.locator(".kept-safety button")).to_be_visible(visible=not granted)


def test_a_phone_that_does_not_say_how_much_room_it_has_still_shows_the_rest(shopper: Arrive) -> None:
    one = shopper()
    one.page.add_init_script("Object.defineProperty(navigator, 'storage', { value: undefined })")
    at_phone(one)

    assert figure(one, "foods") == "0"
    assert "MB" not in figure(one, "space")
    expect(one.page.locator(".kept-safety button")).to_be_hidden()


def test_a_window_that_keeps_nothing_says_so(shopper: Arrive) -> None:
    one = shopper()
    one.page.add_init_script("indexedDB.open('shelfcheck', 99)")  # a later version: ours cannot be opened
    at_phone(one)

    expect(one.page.locator(".phone .problem")).to_be_visible()
    assert figure(one, "foods") == "–"


def test_the_language_changes_here_too(shopper: Arrive) -> None:
    one = at_phone(shopper())
    one.page.locator(".spoken[lang=es]").click()

    expect(one.page.locator("html")).to_have_attribute("lang", "es")
    expect(one.page.locator(".spoken[lang=es]")).to_have_attribute("aria-pressed", "true")


def test_the_version_of_the_service_is_shown(shopper: Arrive) -> None:
    from shelfcheck import __version__

    expect(at_phone(shopper()).page.locator(".phone > .small")).to_contain_text(__version__)


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_delete_all_asks_first_and_then_starts_fresh(shopper: Arrive, size: tuple[int, int]) -> None:
    one = shopper(size).type_granola()
    one.page.evaluate(KEEP_JS, ["foods", 2])
    one.page.evaluate(KEEP_JS, ["waiting", 1])
    one.page.evaluate("caches.open('shelfcheck-of-old').then((cache) => cache.put('/x', new Response('x')))")
    at_phone(one)
    one.page.locator(".erase").click()
    one.page.locator(".question [data-answer=no]").click()
    assert one.page.evaluate(LEFT_JS) == 3

    one.page.locator(".erase").click()
    with one.page.expect_navigation():
        one.page.locator(".question [data-answer=yes]").click()
    one.page.wait_for_selector("#label .choices")

    assert one.page.url == one.address
    assert one.page.evaluate(LEFT_JS) == 0
    assert "has-draft" not in (one.page.locator("body").get_attribute("class") or "")
    assert "shelfcheck-of-old" not in one.page.evaluate("caches.keys()")
    assert (
        json.loads(one.page.evaluate("localStorage.getItem('shelfcheck.page')") or "{}").get("draft") is None
    )


def test_each_place_of_mine_leads_here(shopper: Arrive) -> None:
    one = shopper().arrive()
    one.page.goto(f"{one.address}#/hands")
    one.page.locator("#place .place-foot a").click()

    expect(one.page.locator("#place-title")).to_be_focused()
    expect(one.page.locator("#place .phone")).to_be_visible()
