"""Letters and numbers that nobody means, typed into the page: refused beside their field, never added up."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Arrive
from tests.browser.driving import GRANOLA, LABEL, PHONE, Shopper

pytestmark = pytest.mark.browser

NO_NUMBERS = (
    *("9" * 400, "1/0", f"{'9' * 400}/{'9' * 400}", "NaN", "Infinity", "1e400", "-1", "0x10", "1_0", "½½"),
    *("٣", "３", "𝟛", "²", "5²", "⅕", "٣٫٥", "5\u200b0", "\u202e5", "5\u0301", "5\0", "\ud800", "<b>5</b>"),
)
FIELDS = "#field-household, #field-metric, #field-servings, #field-nutrients-energy, #field-nutrients-fat"
SLIPS = re.compile(r"NaN|Infinity|undefined|\[object|\bnull\b")
TYPE_JS = """([selector, units]) => {
  for (const input of document.querySelectorAll(selector)) {
    input.value = String.fromCharCode(...units);
    for (const kind of ["input", "change"]) input.dispatchEvent(new Event(kind, { bubbles: true }));
  }
}"""
"""Half a sign, which some keyboards leave behind, is no text that a test can send as it is."""
REFUSED_JS = """(selector) =>
  [...document.querySelectorAll(selector)].map((input) => input.getAttribute("aria-invalid"))"""


def put(one: Shopper, selector: str, text: str) -> None:
    raw = text.encode("utf-16-le", "surrogatepass")
    units = [raw[at] + 256 * raw[at + 1] for at in range(0, len(raw), 2)]
    one.page.evaluate(TYPE_JS, [selector, units])


def assert_no_slip(one: Shopper, text: str) -> None:
    shown = one.page.locator("main").inner_text().replace(text, "")
    assert SLIPS.search(shown) is None, ascii(text)
    assert one.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0], ascii(text)


def test_what_is_no_number_is_refused_beside_each_field_of_the_label(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill(LABEL | GRANOLA)

    for text in NO_NUMBERS:
        put(one, FIELDS, text)
        one.go_on()

        expect(one.page.locator("#check .problem")).to_be_visible()
        assert one.page.evaluate(REFUSED_JS, FIELDS) == ["true"] * 5, ascii(text)
        assert_no_slip(one, text)

    one.fill(LABEL | GRANOLA).go_on()
    expect(one.page.locator("#numbers .card").first).to_be_visible()


def test_what_is_no_amount_leaves_the_amount_and_the_numbers_as_they_were(shopper: Arrive) -> None:
    one = shopper().type_granola()
    count, before = one.page.locator("#count"), one.value("energy")

    for text in (*NO_NUMBERS, "0", "1000", "0/5", f"1/{'9' * 400}"):
        put(one, "#count", text)

        assert count.input_value() == "1", ascii(text)
        assert one.value("energy") == before, ascii(text)
        expect(one.page.locator(".stepper .fault").first).to_be_visible()
        assert_no_slip(one, text)

    put(one, "#count", "\ufeff 2 ")
    expect(one.page.locator(".stepper .fault").first).to_be_hidden()
    assert count.input_value() == "2"


def test_a_number_with_very_many_figures_is_that_number(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing()
    one.fill(LABEL | GRANOLA | {"household": "0.6666" + "6" * 90, "metric": "55." + "0" * 90}).go_on()

    expect(one.page.locator("#numbers .card").first).to_be_visible()
    assert_no_slip(one, "")


def test_a_unit_in_strange_letters_is_a_word_like_any_other(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing()
    one.page.locator("#field-household-unit").select_option("other")
    unit = "\u202e<img src=x onerror=throw(1)>\ud800\0"
    put(one, ".unit-choice input", unit)
    one.fill({"household": "3", "metric": "30", "energy": "140"}).go_on().go_on()
    expect(one.page.locator("#count-name")).to_contain_text("<img src=x")

    one.page.reload()

    expect(one.page.locator("#numbers .card").first).to_be_visible()
    assert one.page.locator("main img").count() == 0
    assert_no_slip(one, unit)
