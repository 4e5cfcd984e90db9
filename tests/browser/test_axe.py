"""Every screen held against WCAG 2.2 AA by axe-core, and against our own bounds for reflow and targets."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, GRANOLA, LABEL, SIZES, SMALL, Shopper
from tests.browser.shots import doubtful_granola
from tests.making import SAMPLES, sample

pytestmark = pytest.mark.browser

WCAG = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
COLOURS = {"type": "rule", "values": ["color-contrast"]}
"""What differs in the dark scheme."""
BY_EYE = ".count-name, #question, .hand-last .primary span"
"""Ink on ground and a button's pair, told elsewhere; here axe cannot tell what lies
behind: the number's own box above the name, the dim page behind a question, the figure beside a step."""
MATCHES_JS = "([target, selector]) => document.querySelector(target).matches(selector)"
TARGET = 44
KEEP_JS = """async ([store, names]) => {
  const { keep } = await import("/modules/phone/database.js");
  for (const name of names) {
    const panel = PANEL;
    await keep(store, { name, panel, food: "", amount: { measure: "fist", count: 1, cooked: false } });
  }
}"""
SIDEWAYS_JS = """(most) => {
  const wide = [...document.body.querySelectorAll("*")].filter((one) => {
    const { right, width, left } = one.getBoundingClientRect();
    const clipped = one.closest(".unseen, .sprite, .card-box, .crop");
    return width > 1 && !clipped && (right > most + 1 || left < -1);
  });
  const scrolls = document.scrollingElement.scrollWidth > most;
  return scrolls ? wide.map((one) => one.outerHTML.slice(0, 120)) : [];
}"""
SMALL_TARGETS_JS = """(least) => {
  const inSentence = (one) => one.matches("a") && getComputedStyle(one).display === "inline";
  const shown = (one) => one.checkVisibility({ visibilityProperty: true }) && !one.closest("[inert]");
  const area = (one) => one.closest("label:has(> [type=checkbox], > [type=radio], > .file)") ?? one;
  return [...document.querySelectorAll("a[href], button, input, select, summary, textarea")]
    .filter((one) => shown(one) && !one.matches(".skip") && !inSentence(one))
    .map((one) => [one, area(one).getBoundingClientRect()])
    .filter(([, { width, height }]) => width < least - 0.01 || height < least - 0.01)
    .map(([one, { width, height }]) => `${width} x ${height}: ${one.outerHTML.slice(0, 120)}`);
}"""
Screen = Callable[[Shopper], None]


def label(one: Shopper) -> None:
    one.arrive()


def typing_with_faults(one: Shopper) -> None:
    one.arrive().start_typing().go_on()
    one.page.locator("#check .more > summary").first.click()


def check_with_doubts(one: Shopper) -> None:
    one.arrive().answer_photos_with(doubtful_granola())
    one.choose_photo(SAMPLES / "fda_sample.png")
    one.page.wait_for_selector(".look")


def reading(one: Shopper) -> None:
    one.arrive().answer_photos_with(doubtful_granola(), held=True)
    one.choose_photo(SAMPLES / "fda_sample.png")
    one.page.wait_for_selector(".busy:not([hidden])")


def amount_and_numbers(one: Shopper) -> None:
    one.arrive().start_typing().fill(LABEL | GRANOLA).go_on()
    one.page.wait_for_selector("#numbers .card")
    one.choose("thumb_tip").choose("bundle").choose("fist")
    unfold(one, "#numbers")


def unfold(one: Shopper, where: str) -> None:
    """Open every fold there that can be seen."""
    for fold in one.page.locator(f"{where} details > summary:visible").all():
        fold.click()


def start_over_question(one: Shopper) -> None:
    one.type_granola().page.locator("#label .folded button").click()


def place(name: str, *, full: bool = False) -> Screen:
    """Return the way to a place, with two foods kept and in the meal where it is to be full."""

    def go(one: Shopper) -> None:
        one.arrive()
        if full:
            for store in ("foods", "meal"):
                one.page.evaluate(keeping(), [store, ["Oat rings", "A cereal with a long name of its own"]])
        one.page.goto(f"{one.address}#/{name}")
        one.page.wait_for_selector("#place-title")
        unfold(one, "#place")

    return go


def compared(one: Shopper) -> None:
    place("kept", full=True)(one)
    for toggle in one.page.locator(".beside-toggle").all():
        toggle.click()
    one.page.goto(f"{one.address}#/compare")
    one.page.wait_for_selector("#place-title")


def hands(way: str) -> Screen:
    """Return the way to a way of measuring, with a fault where a number is typed."""

    def go(one: Shopper) -> None:
        place("hands")(one)
        one.page.locator(f"[data-way={way}]").click()
        if way != "card":
            one.page.locator("#hand-way form .primary").click()

    return go


def measured_hands(one: Shopper) -> None:
    place("hands")(one)
    one.page.locator("[data-way=card]").click()
    one.page.locator("#hand-way .primary").click()


def delete_question(one: Shopper) -> None:
    place("phone")(one)
    one.page.locator(".erase").click()


SCREENS: dict[str, Screen] = {
    "label": label,
    "reading": reading,
    "faults": typing_with_faults,
    "doubts": check_with_doubts,
    "numbers": amount_and_numbers,
    "start_over": start_over_question,
    "kept_empty": place("kept"),
    "kept_full": place("kept", full=True),
    "compare_empty": place("compare"),
    "compare_full": compared,
    "meal_empty": place("meal"),
    "meal_full": place("meal", full=True),
    "hands_heap": hands("heap"),
    "hands_water": hands("water"),
    "hands_ruler": hands("ruler"),
    "hands_card": hands("card"),
    "hands_measured": measured_hands,
    "phone": place("phone"),
    "delete": delete_question,
}


@cache
def keeping() -> str:
    """Return the script that keeps the sample panel under some names."""
    return KEEP_JS.replace("PANEL", json.dumps(sample("fda_sample")))


@pytest.fixture
def axe() -> Callable[..., list[str]]:
    """Return a function that gives what axe finds wrong, or could not tell, a line each."""
    runner = Axe()

    def run(page: Page, only: dict[str, object] = WCAG) -> list[str]:
        options = {"runOnly": only, "resultTypes": ["violations", "incomplete"]}
        found = runner.run(page, options=options).response
        results = [*found["violations"], *found["incomplete"]]
        return [
            f"{result['id']}: {node['html'][:160]} ({node['failureSummary'][:200]})"
            for result in results
            for node in result["nodes"]
            if result in found["violations"] or not page.evaluate(MATCHES_JS, [node["target"][0], BY_EYE])
        ]

    return run


def check_fit(page: Page) -> None:
    """Check that every target is large enough, and that nothing scrolls sideways on the narrowest phone."""
    assert page.evaluate(SMALL_TARGETS_JS, TARGET) == []
    before = page.viewport_size
    if before["width"] < DESK[0]:
        page.set_viewport_size({"width": SMALL[0], "height": SMALL[1]})
        page.wait_for_timeout(50)
        assert page.evaluate(SIDEWAYS_JS, SMALL[0]) == []
        assert page.evaluate("document.scrollingElement.scrollWidth") <= SMALL[0]
        assert page.evaluate(SMALL_TARGETS_JS, TARGET) == []
        page.set_viewport_size(before)


def make_room(page: Page) -> None:
    """Make the window as high as the page: what lies below the tabs would not be told."""
    height = page.evaluate("document.documentElement.scrollHeight")
    page.set_viewport_size({"width": page.viewport_size["width"], "height": height + 200})


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS)
def test_no_screen_has_a_violation_in_either_scheme(
    shopper: Arrive, axe: Callable[..., list[str]], screen: Screen, size: tuple[int, int]
) -> None:
    one = shopper(size, bypass_csp=True)  # the page's own policy lets no foreign script in
    screen(one)
    check_fit(one.page)

    make_room(one.page)
    one.page.wait_for_timeout(100)
    assert axe(one.page) == []
    one.page.emulate_media(color_scheme="dark")
    one.page.wait_for_timeout(100)
    assert axe(one.page, COLOURS) == []


def test_axe_finds_what_is_wrong(shopper: Arrive, axe: Callable[..., list[str]]) -> None:
    """The check above must be able to fail."""
    one = shopper(bypass_csp=True).arrive()
    one.page.evaluate("document.querySelector('main').append(document.createElement('button'))")

    assert "button-name" in [line.split(":")[0] for line in axe(one.page)]


@pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS)
def test_in_spanish_whose_words_are_longer_every_screen_fits(shopper: Arrive, screen: Screen) -> None:
    one = shopper(SMALL, "es")
    screen(one)
    check_fit(one.page)


def test_a_small_target_and_a_wide_line_are_found(shopper: Arrive) -> None:
    """The check above must be able to fail, too."""
    one = shopper(SMALL).arrive()
    one.page.evaluate(
        """() => {
          const main = document.querySelector("main");
          const button = main.appendChild(document.createElement("button"));
          button.style.width = button.style.height = "20px";
          const line = main.appendChild(document.createElement("p"));
          line.style.width = "400px";
          line.textContent = "wide";
        }"""
    )

    assert len(one.page.evaluate(SMALL_TARGETS_JS, TARGET)) == 1
    assert one.page.evaluate(SIDEWAYS_JS, SMALL[0])[0].startswith("<p")
