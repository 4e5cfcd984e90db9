"""Markup in what people type, import or are sent stays text; the page's policy is never broken."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import Route, expect

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, GRANOLA, LABEL, Shopper
from tests.browser.screens import PHOTO, doubtful_granola, unfold
from tests.browser.test_offline import wait_for_worker
from tests.browser.test_tours import LIVE_MS
from tests.making import sample

pytestmark = pytest.mark.browser

EVIL = "<img src=x onerror=hacked()><svg onload=hacked()>"
TRUSTED = "require-trusted-types-for 'script'; trusted-types worker"
SHORT = "<img src=x onerror=hacked()>"
SCRIPT = "</p><script>hacked()</script><a href='javascript:hacked()'>"
WATCH = """
window.broken = [];
window.hacked = () => window.broken.push("a script ran");
addEventListener("securitypolicyviolation", ({ violatedDirective, blockedURI, sample }) =>
  window.broken.push(`${violatedDirective} ${blockedURI} ${sample}`));
"""
MADE_JS = """() => [...document.querySelectorAll(
    "[onerror], [onload], img[src=x], main script, main iframe, [href^='javascript:']")]
  .map((one) => one.outerHTML)"""


def watched(one: Shopper) -> Shopper:
    one.page.add_init_script(WATCH)
    return one.arrive()


def expect_only_text(one: Shopper, text: str = "<img src=x") -> None:
    """Expect that the page shows the markup as text, made nothing of it, ran nothing and broke no policy."""
    expect(one.page.locator("main")).to_contain_text(text)
    one.page.wait_for_timeout(100)
    assert one.page.evaluate(MADE_JS) == []
    assert one.page.evaluate("window.broken") == []


def see_everywhere(one: Shopper, *places: str) -> None:
    for place in places:
        one.page.goto(f"{one.address}#/{place}")
        one.page.wait_for_selector("#place-title")
        unfold(one, "#place")
        expect_only_text(one)


def test_what_is_typed_on_a_label_and_as_a_name(shopper: Arrive) -> None:
    one = watched(shopper(DESK))
    one.start_typing().fill(LABEL | GRANOLA | {"fat": SHORT}).go_on()
    one.page.wait_for_timeout(200)
    assert one.page.evaluate(MADE_JS) == []
    one.fill({"fat": "8"}).go_on()
    one.page.wait_for_selector("#numbers .card")
    one.page.locator(".asks button:last-child").click()
    one.page.locator("#food").fill(EVIL)
    one.page.locator("#food").blur()
    one.page.locator(".plan summary").click()
    one.page.locator("#meal_carbohydrate_g").fill(EVIL)
    one.page.locator("#meal_carbohydrate_g").blur()
    one.page.wait_for_timeout(200)
    assert one.page.evaluate(MADE_JS) == []
    one.page.locator("#meal_carbohydrate_g").fill("")
    one.page.locator("#food").fill("granola")
    one.page.locator("#food").blur()
    one.page.locator(".act-buttons button").first.click()
    one.page.locator("#food-name").fill(EVIL)
    one.page.locator(".keep-form button").click()
    expect(one.page.locator(".acts .news")).to_contain_text("<img src=x")
    one.page.locator(".act-buttons button").nth(1).click()
    expect_only_text(one)

    see_everywhere(one, "kept", "meal")
    one.page.locator("#speak-es").click()
    see_everywhere(one, "kept")


@pytest.mark.parametrize("kind", ["json", "csv"])
def test_what_comes_in_a_file(shopper: Arrive, tmp_path: Path, kind: str) -> None:
    panel = sample("fda_sample")
    panel["serving"]["text"] = EVIL
    panel["serving"]["household_unit"]["value"] = SHORT
    panel["name"] = panel["food"] = SCRIPT
    panel["doubts"] = [{"field": "nutrients.sodium", "code": "percent", "params": {}, "reason": EVIL}]
    amount = {"count": 2, "measure": EVIL, "cooked": False}
    food = {"name": EVIL, "food": EVIL, "kept": "2026-05-04T10:00:00.000Z", "amount": amount, "panel": panel}
    rows = "name,food,count,measure,household_amount,household_unit,metric_amount,metric_unit,energy_kcal\n"
    file = tmp_path / f"foods.{kind}"
    text = (
        json.dumps({"shelfcheck": 1, "foods": [food, food | {"name": SCRIPT}]})
        if kind == "json"
        else rows
        + "".join(f'"{name}","{EVIL}",1,"{SHORT}",2,"{SHORT}",55,g,230\n' for name in (EVIL, SCRIPT))
    )
    file.write_text(text, encoding="utf-8")
    one = watched(shopper(DESK))
    one.page.goto(f"{one.address}#/kept")
    unfold(one, "#place")
    one.page.locator(".choice-file input").set_input_files(file)
    expect(one.page.locator(".food-card")).to_have_count(2)
    for place in (0, 1):
        one.page.locator(".beside-toggle").nth(place).click()
    one.page.locator(".food-acts button").last.click()

    see_everywhere(one, "kept", "compare", "meal")
    one.page.goto(f"{one.address}#/kept")
    one.page.locator(".food-card .open").first.click()
    one.page.wait_for_selector("#label-title")
    one.page.wait_for_timeout(300)
    assert one.page.evaluate(MADE_JS) == []
    assert one.page.evaluate("window.broken") == []


def test_a_file_that_is_all_markup_is_told_as_text(shopper: Arrive, tmp_path: Path) -> None:
    file = tmp_path / "foods.csv"
    file.write_text(f"name,household_amount\nx,{SHORT}\n", encoding="utf-8")
    one = watched(shopper())
    one.page.goto(f"{one.address}#/kept")
    unfold(one, "#place")
    one.page.locator(".choice-file input").set_input_files(file)

    expect(one.page.locator("#place .news")).to_have_class("news is-told")
    assert one.page.evaluate(MADE_JS) == []
    assert one.page.evaluate("window.broken") == []


def test_what_is_read_on_a_photo_and_what_the_service_says(shopper: Arrive) -> None:
    panel = doubtful_granola()
    panel["serving"]["text"] = EVIL  # type: ignore[index]
    panel["doubts"][0] |= {"reason": EVIL, "params": {"amount": 180, "unit": EVIL, "percent": 7}}  # type: ignore[index]
    one = watched(shopper(DESK)).answer_photos_with(panel)
    one.choose_photo(PHOTO)
    one.page.wait_for_selector(".look")
    expect_only_text(one)
    one.page.unroute("**/api/panels/read*")
    one.answer_photos_with({"error": {"code": "no_panel", "message": EVIL, "fields": {}}}, status=422)
    one.page.locator("#steps a").first.click()
    one.choose_photo(PHOTO)
    one.page.locator(".question [data-answer=yes]").or_(
        one.page.locator("#label .problem:visible")
    ).first.wait_for()
    if one.page.locator(".question").is_visible():
        one.page.locator(".question [data-answer=yes]").click()

    expect(one.page.locator("#label .problem")).to_have_text(EVIL)
    expect_only_text(one)
    one.troubles.clear()  # Chromium reports the 422 itself


def test_what_a_leader_writes_reaches_every_phone_as_text(shopper: Arrive) -> None:
    lead = watched(shopper(DESK))
    lead.page.goto(f"{lead.address}#/tours")
    lead.page.locator(".tour-part > button").click()
    lead.page.locator("[data-view=prepare]").click()
    for field in ("plan-title", "stop-0-name", "stop-0-question", "stop-1-name"):
        lead.page.locator(f"#{field}").fill(EVIL)
    lead.page.locator(".prepare > .primary").click()
    expect(lead.page.locator(".prepare .doubt")).to_be_hidden()
    code = lead.page.locator(".tour-code").inner_text()
    one = watched(shopper())
    one.page.goto(f"{one.address}#/join/{code}")
    lead.page.locator("[data-view=lead]").click()
    lead.page.locator(".stop .primary").first.click()
    one.page.locator(".guess-form .primary").first.click(timeout=LIVE_MS)
    expect(one.page.locator(".stop-state").first).to_contain_text("1", timeout=LIVE_MS)
    lead.page.locator(".stop[data-state=open] .primary").click()
    expect(one.page.locator(".own-numbers")).to_be_visible(timeout=LIVE_MS)

    expect_only_text(one)
    for view in ("lead", "prepare", "report", "sheet"):
        lead.page.locator(f"[data-view={view}]").click()
        lead.page.wait_for_timeout(300)
        expect_only_text(lead)
    for who in (lead, one):
        see_everywhere(who, "tours")


@pytest.mark.parametrize("name", ["join", "lead", "hands", EVIL, "javascript:hacked()"])
def test_what_stands_in_an_address(shopper: Arrive, name: str) -> None:
    one = watched(shopper())
    one.page.goto(f"{one.address}#/{name}/{EVIL}")
    one.page.reload()
    one.page.wait_for_timeout(500)

    assert one.page.evaluate(MADE_JS) == []
    assert one.page.evaluate("window.broken") == []


def test_no_text_becomes_script_or_markup_where_the_browser_itself_forbids_it(shopper: Arrive) -> None:
    """Trusted Types: with this policy a browser refuses each such text, wherever it comes from."""
    one = shopper(DESK, service_workers="allow")
    answers = one.page.context.request

    def stricter(route: Route) -> None:
        answer = answers.get(one.address)
        policy = f"{answer.headers['content-security-policy']}; {TRUSTED}"
        route.fulfill(response=answer, headers=answer.headers | {"content-security-policy": policy})

    one.page.route(one.address, stricter, times=1)
    watched(one)
    wait_for_worker(one.page)  # its address is such a text, too
    one.start_typing().fill(LABEL | GRANOLA).go_on()
    one.page.wait_for_selector("#numbers .card")
    for place in ("kept", "compare", "meal", "hands", "phone", "privacy", "tours"):
        one.page.evaluate("(place) => { location.hash = `/${place}`; }", place)
        expect(one.page.locator(f"#place > .{place}")).to_be_visible()

    assert one.page.evaluate("window.broken") == []
    assert one.page.evaluate("() => { try { document.body.innerHTML = ''; } catch { return 'refused'; } }")
    one.troubles.clear()  # Chromium reports that it refused this


def test_a_script_and_an_element_would_be_seen(shopper: Arrive) -> None:
    """The checks above must be able to fail."""
    one = watched(shopper())
    one.page.evaluate("(html) => { document.querySelector('main').innerHTML = html; }", EVIL)
    one.page.wait_for_timeout(300)

    assert len(one.page.evaluate(MADE_JS)) == 2
    assert one.page.evaluate("window.broken") != []
    one.troubles.clear()  # Chromium reports the handlers that the policy stopped
