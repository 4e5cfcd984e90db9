"""The whole way by keyboard, with the focus always seen, and what a screen reader hears."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, PHONE, Shopper

pytestmark = pytest.mark.browser

HERE = "document.activeElement.id || document.activeElement.className || document.activeElement.tagName"
RING_JS = """() => {
  const one = document.activeElement;
  const ringed = one.matches('.file') ? one.closest('label') : one;
  const style = getComputedStyle(ringed);
  const drawn = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  return drawn || one.matches('h2, main, body');
}"""
COVERED_JS = """() => {
  const one = document.activeElement;
  const box = one.getBoundingClientRect();
  if (!box.width || one.matches('body')) return false;
  const [x, y] = [box.x + box.width / 2, box.y + Math.min(box.height / 2, 20)];
  const top = document.elementFromPoint(x, y);
  const own = one.matches('.file') ? one.closest('label') : one;
  return !(top && (own.contains(top) || top.contains(own)));
}"""


def tab_to(page: Page, selector: str, most: int = 80) -> None:
    """Press Tab until the element has the focus; every stop on the way shows a ring and is not covered."""
    for _ in range(most):
        page.keyboard.press("Tab")
        assert page.evaluate(RING_JS), page.evaluate(HERE)
        assert not page.evaluate(COVERED_JS), page.evaluate(HERE)
        if page.evaluate("(selector) => document.activeElement.matches(selector)", selector):
            return
    message = f"{selector} was not reached"
    raise AssertionError(message)


def type_by_keyboard(one: Shopper) -> None:
    page = one.page
    tab_to(page, "#label .choices > button")
    page.keyboard.press("Enter")
    expect(page.locator("#check-title")).to_be_focused()
    for selector, text in (
        ("#field-household", "2/3"),
        ("#field-metric", "55"),
        ("#field-servings", "8"),
        ("#field-nutrients-energy", "230"),
        ("#field-nutrients-fat", "8"),
        ("#field-nutrients-sodium", "160"),
        ("#field-nutrients-carbohydrate", "37"),
    ):
        tab_to(page, selector)
        page.keyboard.type(text)
    page.keyboard.press("Enter")


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_whole_way_by_keyboard(shopper: Arrive, size: tuple[int, int]) -> None:
    one = shopper(size).arrive()
    type_by_keyboard(one)

    if size == PHONE:
        expect(one.page.locator("#amount-title")).to_be_focused()
        tab_to(one.page, "#count")
    else:
        expect(one.page.locator("#count")).to_be_focused()
    one.page.keyboard.press("ArrowUp")
    one.page.keyboard.press("ArrowUp")

    assert one.value("energy") == "690"
    one.page.locator("#amount-title").focus()
    tab_to(one.page, "#meal_carbohydrate_g, .plan summary")


def test_the_skip_link_comes_first_and_leads_to_the_steps(shopper: Arrive) -> None:
    page = shopper().arrive().page

    page.keyboard.press("Tab")

    expect(page.locator("#skip")).to_be_focused()
    expect(page.locator("#skip")).to_be_in_viewport()
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()


def test_choosing_a_measure_by_keyboard_keeps_the_focus(shopper: Arrive) -> None:
    one = shopper().type_granola()
    page = one.page
    page.locator("#amount-title").focus()
    tab_to(page, "[aria-controls=measures]")
    page.keyboard.press("Enter")
    assert page.locator("[aria-controls=measures]").get_attribute("aria-expanded") == "true"

    tab_to(page, "#measures [data-measure=thumb]")
    page.keyboard.press("Enter")

    expect(page.locator("[aria-controls=measures]")).to_be_focused()
    expect(page.locator("#count-name")).to_have_text("thumb")


def test_the_question_before_starting_over_holds_the_focus_and_gives_it_back(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill({"fat": "8"})
    over = one.page.locator("#label .folded button")
    over.focus()
    one.page.keyboard.press("Enter")
    expect(one.page.locator(".question [data-answer=no]")).to_be_focused()

    one.page.keyboard.press("Escape")

    expect(over).to_be_focused()
    assert one.field("fat").input_value() == "8"


def test_the_numbers_are_said_once_the_stepper_rests(shopper: Arrive) -> None:
    one = shopper().type_granola().press("plus", 2)

    spoken = one.page.locator("#numbers [aria-live=polite]")
    expect(spoken).to_have_text("2 fists: 690 calories, 111 g carbohydrate, 24 g fat, 480 mg sodium.")


def test_a_fault_is_tied_to_its_field(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill({"fat": "x"})
    described = one.field("fat").get_attribute("aria-describedby") or ""

    texts = [one.page.locator(f"#{name}").inner_text() for name in described.split()]
    assert any("number" in text for text in texts)


def test_the_step_that_one_is_at_is_marked(shopper: Arrive) -> None:
    one = shopper().type_granola()
    current = one.page.locator("#steps [aria-current=step]")

    assert current.count() == 1
    assert "Amount" in current.inner_text()


def test_steps_that_are_not_there_yet_cannot_be_gone_to(shopper: Arrive) -> None:
    page = shopper().arrive().page

    assert page.locator("#steps a[aria-disabled=true]").count() == 3
    page.locator("#steps a").last.click()
    assert page.locator("body").get_attribute("data-at") == "label"
