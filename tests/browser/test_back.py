"""The phone's own Back goes one step back, keeps what was typed, and shows no step that is not open yet."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Arrive

pytestmark = pytest.mark.browser


def test_back_leads_through_the_steps_and_forward_again(shopper: Arrive) -> None:
    one = shopper().type_granola()
    page = one.page
    assert page.url.endswith("#/amount")

    page.go_back()
    expect(page.locator("body")).to_have_attribute("data-at", "check")
    assert one.field("fat").input_value() == "8"
    page.go_back()
    expect(page.locator("body")).to_have_attribute("data-at", "label")
    page.go_forward()
    page.go_forward()

    expect(page.locator("#amount-title")).to_be_focused()
    assert one.value("energy") == "345"


def test_back_from_a_place_returns_to_the_step_it_was_left_at(shopper: Arrive) -> None:
    one = shopper().type_granola()
    one.page.locator(".chosen a").click()
    expect(one.page.locator("#place .hands")).to_be_visible()

    one.page.go_back()
    expect(one.page.locator("#numbers .card").first).to_be_visible()
    one.page.locator("#places a[data-place=meal]").click()
    one.page.locator("#places a[data-place=label]").click()
    expect(one.page.locator("body")).to_have_attribute("data-at", "amount")


def test_back_after_starting_over_shows_no_step_without_a_label(shopper: Arrive) -> None:
    one = shopper().type_granola()
    one.page.locator("#label .folded button").click()
    one.page.locator(".question [data-answer=yes]").click()
    expect(one.page.locator("#label .choices")).to_be_visible()

    one.page.go_back()
    expect(one.page.locator("#label .choices")).to_be_visible()
    expect(one.page.locator("body")).to_have_attribute("data-at", "label")


def test_a_reload_stays_at_the_step(shopper: Arrive) -> None:
    one = shopper().type_granola()
    one.page.reload()

    expect(one.page.locator("#numbers .card").first).to_be_visible()
    assert one.page.url.endswith("#/amount")
