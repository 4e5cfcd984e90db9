"""Every screen held against WCAG 2.2 AA by axe-core, and against our own bounds for reflow and targets."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, PHONE, SMALL
from tests.browser.screens import SCREENS, Screen

pytestmark = pytest.mark.browser

WCAG = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
COLOURS = {"type": "rule", "values": ["color-contrast"]}
"""What differs in the dark scheme."""
LAID_OUT = {"type": "rule", "values": ["color-contrast", "target-size", "scrollable-region-focusable"]}
"""What differs on a desk."""
BY_EYE = ".count-name, #question, .hand-last .primary span"
"""Ink on ground and a button's pair, told elsewhere; here axe cannot tell what lies
behind: the number's own box above the name, the dim page behind a question, the figure beside a step."""
MATCHES_JS = "([target, selector]) => document.querySelector(target).matches(selector)"
TARGET = 44
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


@pytest.mark.parametrize("screen", SCREENS.values(), ids=SCREENS)
def test_no_screen_has_a_violation_on_a_phone_or_a_desk_in_either_scheme(
    shopper: Arrive, axe: Callable[..., list[str]], screen: Screen
) -> None:
    one = shopper(bypass_csp=True)  # the page's own policy lets no foreign script in
    screen(one)
    for (width, height), rules in ((PHONE, WCAG), (DESK, LAID_OUT)):
        one.page.set_viewport_size({"width": width, "height": height})
        check_fit(one.page)

        make_room(one.page)
        one.page.wait_for_timeout(100)
        assert axe(one.page, rules) == []
        one.page.emulate_media(color_scheme="dark")
        one.page.wait_for_timeout(100)
        assert axe(one.page, COLOURS) == []
        one.page.emulate_media(color_scheme="light")


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
