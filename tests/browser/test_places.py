"""Kept foods, side by side, and the meal: what was typed once serves again, and the sums are right."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Arrive
from tests.browser.driving import Shopper

pytestmark = pytest.mark.browser

CORN = {"energy": "110", "fat": "1", "sodium": "190", "carbohydrate": "24"}
CORN_LABEL = {"household": "1", "metric": "28", "servings": "12"}


def keep(shopper: Shopper, name: str) -> None:
    acts = shopper.page.locator(".act-buttons button")
    acts.nth(0).click()
    shopper.page.locator("#food-name").fill(name)
    shopper.page.locator(".keep-form button").click()
    expect(shopper.page.locator(".acts .news")).to_contain_text(name)


def go_to(shopper: Shopper, place: str) -> Shopper:
    shopper.page.locator(f'[data-place="{place}"]:is(a)').click()
    expect(shopper.page.locator("#place-title")).to_be_focused()
    return shopper


def with_two_foods(shopper: Shopper) -> Shopper:
    shopper.type_granola()
    keep(shopper, "Granola")
    shopper.page.locator("#label .folded button").click()
    if shopper.page.locator(".question [data-answer=yes]").count():
        shopper.page.locator(".question [data-answer=yes]").click()
    shopper.page.wait_for_selector("body:not(.has-draft)")
    shopper.start_typing().fill(CORN_LABEL | CORN).go_on()
    shopper.page.wait_for_selector("#numbers .card")
    keep(shopper, "Puffed corn")
    return go_to(shopper, "kept")


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_kept_food_is_there_after_a_reload_and_opens_at_its_amount(shopper: Arrive, lang: str) -> None:
    one = shopper(lang=lang).type_granola().press("plus", 2)
    keep(one, "Granola")
    one.page.reload()
    go_to(one, "kept").page.locator(".food-card .open").click()

    expect(one.page.locator("#count")).to_have_value("2")
    assert one.value("energy") == "690"


def test_a_food_is_renamed_deleted_and_taken_back(shopper: Arrive) -> None:
    one = with_two_foods(shopper())
    card = one.page.locator(".food-card").first
    card.locator("summary").click()
    card.locator("input").fill("Corn puffs")
    card.locator(".rename button").click()
    expect(one.page.locator(".food-name").first).to_have_text("Corn puffs")

    card.locator("summary").click()
    card.locator(".remove").click()
    expect(one.page.locator(".food-card")).to_have_count(1)
    one.page.locator("#place .news button").click()
    expect(one.page.locator(".food-card")).to_have_count(2)


def test_foods_side_by_side_are_at_one_amount_and_in_order(shopper: Arrive) -> None:
    one = with_two_foods(shopper())
    for number in range(2):
        one.page.locator(".beside-toggle").nth(number).click()
    one.page.locator("#beside").click()
    rows = one.page.locator(".beside-row")
    expect(rows).to_have_count(2)
    expect(rows.locator("h3")).to_have_text(["Puffed corn", "Granola"])
    expect(rows.locator(".value")).to_have_text(["24 g", "56 g"])  # a fist is a cup: 24, and 37 x 3/2

    one.page.locator("#side-sort").select_option("sodium")
    expect(rows.locator(".value")).to_have_text(["190 mg", "240 mg"])
    one.page.locator('.in-place .press:has(use[href="#drawing-plus"])').click()
    expect(rows.locator(".value").first).to_have_text("285 mg")  # a fist and a half


def test_a_meal_adds_up_and_a_food_can_be_taken_out_and_put_back(shopper: Arrive) -> None:
    one = with_two_foods(shopper())
    for number in range(2):
        one.page.locator(".food-acts button:last-child").nth(number).click()
        expect(one.page.locator("#place .news")).to_have_class("news is-told")
    go_to(one, "meal")
    values = one.page.locator(".meal-sum .card .value")
    expect(values).to_have_text(["455", "80", "13", "430"])  # 110 + 345, 24 + 55.5, 1 + 12, 190 + 240

    one.page.locator(".meal-acts > .quiet").first.click()
    expect(values.first).to_have_text("345")
    one.page.locator("#place .news button").click()
    expect(values.first).to_have_text("455")


def test_kept_foods_go_out_as_a_file_and_come_back(shopper: Arrive, tmp_path: Path) -> None:
    one = with_two_foods(shopper())
    for kind in ("json", "csv"):
        if not one.page.locator(".choice-file").is_visible():
            one.page.locator("details:has(.choice-file) > summary").click()
        with one.page.expect_download() as waiting:
            one.page.locator(".actions:has(.choice-file) button").nth(int(kind == "csv")).click()
        file = tmp_path / waiting.value.suggested_filename
        waiting.value.save_as(file)
        other = go_to(shopper().arrive(), "kept")
        other.page.locator("details:has(.choice-file) > summary").click()
        other.page.locator(".choice-file input").set_input_files(file)
        expect(other.page.locator(".food-name")).to_have_count(2)
        other.page.locator(".choice-file input").set_input_files(file)
        expect(other.page.locator(".news")).to_contain_text("2")
        expect(other.page.locator(".food-name")).to_have_count(2)
        if kind == "json":
            assert {food["name"] for food in json.loads(file.read_text())["foods"]} == {
                "Granola",
                "Puffed corn",
            }


def test_a_result_is_shared_as_plain_words(shopper: Arrive) -> None:
    one = shopper()
    one.page.add_init_script("navigator.share = async (what) => { window.shared = what; };")
    one.type_granola().press("plus", 2).page.locator(".act-buttons button").nth(2).click()

    text = one.page.evaluate("window.shared.text")
    assert "690 (483 to 897)" in text
    assert "estimate" in text
    assert "insulin" in text


def test_a_meal_is_shared_with_its_foods_and_its_cautions(shopper: Arrive) -> None:
    one = shopper()
    one.page.add_init_script("navigator.share = async (what) => { window.shared = what; };")
    one.type_granola().page.locator(".act-buttons button").nth(1).click()
    go_to(one, "meal").page.locator(".meal-full .actions button").first.click()

    text = one.page.evaluate("window.shared.text")
    assert "1 fist" in text
    assert "345" in text
    assert "insulin" in text


def test_a_food_put_into_the_meal_twice_by_mistake_is_counted_and_taken_back(shopper: Arrive) -> None:
    one = shopper().type_granola()
    to_meal = one.page.locator(".act-buttons button").nth(1)
    to_meal.dblclick()  # a slip of the thumb, which counts once
    expect(one.page.locator(".acts .news")).to_have_class("news is-told")
    expect(one.page.locator(".acts .news")).not_to_contain_text("2 foods")
    one.page.wait_for_timeout(900)
    to_meal.click()
    expect(one.page.locator(".acts .news")).to_contain_text("2 foods")
    one.page.locator(".acts .news button").click()
    go_to(one, "meal")

    expect(one.page.locator(".meal-row")).to_have_count(1)


def test_a_food_is_kept_at_the_first_press_and_named_at_the_second(shopper: Arrive) -> None:
    one = shopper().type_granola()
    one.page.locator(".act-buttons button").first.click()
    expect(one.page.locator(".acts .news")).to_contain_text("2/3 cup (55 g)")
    one.page.locator("#food-name").fill("Granola")
    one.page.locator(".keep-form button").click()
    go_to(one, "kept")

    expect(one.page.locator(".food-name")).to_have_text(["Granola"])


def test_foods_side_by_side_can_stand_each_at_its_own_amount(shopper: Arrive) -> None:
    one = shopper().type_granola().press("plus", 2)
    keep(one, "Granola")
    one.page.locator("#label .folded button").click()
    one.page.locator(".question [data-answer=yes]").click()
    one.page.wait_for_selector("body:not(.has-draft)")
    one.start_typing().fill(CORN_LABEL | CORN).go_on()
    keep(one, "Puffed corn")
    go_to(one, "kept")
    for number in (1, 0):
        one.page.locator(".beside-toggle").nth(number).click()
    one.page.locator("#beside").click()
    values = one.page.locator(".beside-row .value")
    expect(values).to_have_text(["48 g", "111 g"])  # two fists, as the first was kept: 24 x 2, and 37 x 3

    one.page.locator("#side-measure").select_option("own")
    expect(values).to_have_text(["24 g", "111 g"])
    expect(one.page.locator(".controls .stepper")).to_be_hidden()


def test_a_new_label_does_not_change_the_food_that_was_kept_before(shopper: Arrive) -> None:
    one = with_two_foods(shopper())

    expect(one.page.locator(".food-name")).to_have_text(["Puffed corn", "Granola"])
