"""Typing a label through to the real numbers, on a phone and a desk, in both languages."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, GRANOLA, LABEL, PHONE, Shopper
from tests.making import SAMPLES, sample

pytestmark = pytest.mark.browser

SHOWN = ("energy", "carbohydrate", "fat", "sodium")
PANEL: dict[str, Any] = {
    "serving": {
        "household_amount": 2 / 3,
        "household_unit": "cup",
        "metric_amount": 55,
        "metric_unit": "g",
        "servings_per_container": 8,
        "text": "2/3 cup (55 g)",
    },
    "nutrients": {key: float(value) for key, value in GRANOLA.items()},
}

AS_TYPED = {
    "2/3": 2 / 3,
    "1 1/2": 1.5,
    "1½": 1.5,
    " 0.5 ": 0.5,
    ".5": 0.5,
    "0,5": 0.5,
    "1,200": 1200,
    "<1": 1,
    "-3": -3,
    "": None,
    "1/0": "1/0",
    "8 g": "8 g",
}
"""What people type, and the number it is; what is no number stays as it is, to be told as a fault."""


def figures(text: str) -> list[float]:
    """Return the numbers of a text as people in the United States write them."""
    return [float(found.replace(",", "")) for found in re.findall(r"\d[\d,]*(?:\.\d+)?", text)]


def shown_ends(low: float, high: float) -> list[float]:
    """Return a range as the page shows it: whole from 10 up, unless both ends would be the same."""
    whole = [float(int(end + 0.5)) if end >= 10 else end for end in (low, high)]
    return whole if whole[0] != whole[1] else [low, high]


def assert_equal_to_the_service(
    shopper: Shopper, amount: dict[str, Any], panel: dict[str, Any] = PANEL, lang: str = "en"
) -> None:
    answer = shopper.ask_service(f"portions?lang={lang}", {"panel": panel, "amount": amount})
    for key in SHOWN:
        eaten = answer["nutrients"][key]
        assert figures(shopper.value(key)) == [eaten["value"]], key
        assert figures(shopper.range(key)) == shown_ends(eaten["low"], eaten["high"]), key
    choices = shopper.page.locator(".share .value").first.inner_text()
    assert figures(choices) == [answer["carb_choices"]["value"]]
    assert shopper.page.locator(".working li").all_text_contents() == answer["working"]


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_numbers_are_those_of_the_service(shopper: Arrive, size: tuple[int, int]) -> None:
    one = shopper(size).type_granola()

    assert_equal_to_the_service(one, {"count": 1, "measure": "fist"})


def test_the_stepper_is_live(shopper: Arrive) -> None:
    one = shopper().type_granola().press("plus", 2)

    assert one.page.locator("#count").input_value() == "2"
    assert_equal_to_the_service(one, {"count": 2, "measure": "fist"})

    one.press("minus")

    assert one.page.locator("#count").input_value() == "1 1/2"
    assert_equal_to_the_service(one, {"count": 1.5, "measure": "fist"})


def test_the_stepper_never_goes_to_nothing_and_takes_typed_fractions(shopper: Arrive) -> None:
    one = shopper().type_granola().press("minus", 4)
    count = one.page.locator("#count")

    assert count.input_value() == "1/2"

    count.fill("2/3")
    count.press("Enter")
    assert_equal_to_the_service(one, {"count": 2 / 3, "measure": "fist"})

    count.fill("many")
    count.press("Enter")
    assert count.input_value() == "2/3"


def test_holding_a_button_goes_on(shopper: Arrive) -> None:
    one = shopper(DESK).type_granola()
    one.page.locator('.press:has(use[href="#drawing-plus"])').hover()
    one.page.mouse.down()
    one.page.wait_for_timeout(1200)
    one.page.mouse.up()

    assert figures(one.page.locator("#count").input_value())[0] >= 3


@pytest.mark.parametrize("measure", ["thumb", "palmful", "two_fingers", "bundle", "cup", "oz", "container"])
def test_every_kind_of_measure_gives_the_numbers_of_the_service(shopper: Arrive, measure: str) -> None:
    one = shopper(DESK).type_granola().choose(measure)
    one.page.locator("#count").fill("1")
    one.page.locator("#count").press("Enter")

    assert_equal_to_the_service(one, {"count": 1, "measure": measure})


def test_spanish_says_the_same_numbers(shopper: Arrive) -> None:
    one = shopper(lang="es").type_granola()

    assert one.page.locator("html").get_attribute("lang") == "es"
    assert one.page.locator(".card.energy h3").inner_text().lower() == "calorías"
    panel = PANEL | {"serving": PANEL["serving"] | {"text": "2/3 taza (55 g)"}}
    assert_equal_to_the_service(one, {"count": 1, "measure": "fist"}, panel, lang="es")


def test_switching_the_language_keeps_what_was_typed_and_is_remembered(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill({"household": "2/3", "fat": "8"})

    one.page.locator("#speak-es").click()

    assert one.field("household").input_value() == "2/3"
    assert one.field("fat").input_value() == "8"
    expect(one.page.locator("#speak-es")).to_be_focused()
    one.page.reload()
    one.page.wait_for_selector("#check-title")
    assert one.page.locator("#check-title").inner_text().endswith("Revísela")


def test_a_killed_tab_loses_nothing(shopper: Arrive) -> None:
    one = shopper().type_granola().press("plus")
    before = one.value("energy")

    one.page.reload()
    one.page.wait_for_selector("#numbers .card")

    assert one.page.locator("#count").input_value() == "1 1/2"
    assert one.value("energy") == before


def test_all_faults_are_shown_at_once_and_nothing_is_lost(shopper: Arrive) -> None:
    typed = {"metric": "-55", "fat": "eight", "sodium": "999999"}
    one = shopper().arrive().start_typing().fill(typed).go_on()

    faults = one.page.locator("#check .row .fault:visible")
    assert faults.count() == 3
    expect(one.page.locator("#check .problem")).to_be_focused()
    assert one.page.locator("#check .problem li").count() == 3
    assert {name: one.field(name).input_value() for name in typed} == typed
    assert one.field("fat").get_attribute("aria-invalid") == "true"

    one.page.locator("#check .problem a").last.click()
    expect(one.field("sodium")).to_be_focused()


def test_a_label_without_a_serving_is_asked_for_it_only_on_going_on(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill({"fat": "8"})
    assert one.page.locator("#check .fault:visible").count() == 0

    one.go_on()

    assert one.page.locator("#check .row .fault:visible").count() == 1
    assert one.field("household").get_attribute("aria-invalid") == "true"


def test_fat_heavier_than_the_serving_is_told_at_each_field(shopper: Arrive) -> None:
    one = (
        shopper().arrive().start_typing().fill(LABEL | GRANOLA | {"fat": "40", "carbohydrate": "37"}).go_on()
    )

    told = one.page.locator("#check .row.is-faulty .row-name").all_inner_texts()
    assert [name.lower() for name in told] == ["fat", "carbohydrate"]


def test_a_doubtful_line_may_be_kept_and_is_then_said_beside_the_numbers(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill(LABEL | GRANOLA | {"sodium": "163"}).go_on()
    assert one.page.locator("#check .doubt:visible").count() == 1

    one.go_on()

    expect(one.page.locator(".insights .look_again")).to_contain_text("sodium")


def test_a_doubtful_line_that_is_confirmed_is_not_doubted_again(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill(LABEL | GRANOLA | {"sodium": "163"}).go_on()
    one.page.locator("#check .agree:visible").click()
    one.go_on()

    assert one.page.locator("#numbers .card").count() == 4
    assert one.page.locator(".insights .look_again").count() == 0


def test_a_measure_that_needs_the_food_asks_for_it(shopper: Arrive) -> None:
    one = shopper(DESK).arrive().start_typing()
    one.fill({"metric": "28", "energy": "170", "fat": "15", "sodium": "0", "carbohydrate": "6"}).go_on()
    cup = one.page.locator("#measures [data-measure=cup]")
    expect(cup).to_have_accessible_name("cup (asks which food)")
    one.choose("cup")
    expect(one.page.locator("#food")).to_be_visible()
    expect(one.page.locator("#food-fault")).to_be_visible()

    one.page.locator("#food").fill("almonds")
    one.page.locator("#food").blur()

    panel = {
        "serving": {"metric_amount": 28, "metric_unit": "g"},
        "nutrients": {"energy": 170, "fat": 15, "sodium": 0, "carbohydrate": 6},
    }
    answer = one.ask_service(
        "portions", {"panel": panel, "amount": {"count": 1, "measure": "cup"}, "food": "almonds"}
    )
    assert figures(one.value("energy")) == [answer["nutrients"]["energy"]["value"]]
    expect(cup).to_have_accessible_name("cup")


def test_cooked_is_counted_through_the_yield(shopper: Arrive) -> None:
    one = shopper(DESK).arrive().start_typing()
    one.fill({"household": "1/4", "metric": "45", "energy": "160", "carbohydrate": "37"}).go_on()
    one.page.locator(
        "#check .agree:visible"
    ).first.click()  # no fat, no sodium: said to be so, or passed over
    one.go_on()
    one.page.locator(".asks button").last.click()
    one.page.locator("#food").fill("white rice")
    one.page.locator("#food").blur()
    expect(one.page.locator("input[name=cooked][value=true]")).to_be_checked()

    panel = {
        "serving": {
            "household_amount": 0.25,
            "household_unit": "cup",
            "metric_amount": 45,
            "metric_unit": "g",
        },
        "nutrients": {"energy": 160, "carbohydrate": 37},
    }
    amount = {"count": 1, "measure": "fist", "cooked": True}
    answer = one.ask_service("portions", {"panel": panel, "amount": amount, "food": "white rice"})
    assert figures(one.value("energy")) == [answer["nutrients"]["energy"]["value"]]
    assert one.page.locator(".card.fat .range").inner_text() == "not on the label"
    assert one.page.locator(".card.sodium .range").inner_text() == "no number given"


def test_a_food_that_is_not_known_is_told_at_its_field(shopper: Arrive) -> None:
    one = shopper(DESK).type_granola()
    one.page.locator(".asks button").last.click()
    one.page.locator("#food").fill("gravel")
    one.page.locator("#food").blur()

    expect(one.page.locator("#food-fault")).to_contain_text("gravel")


def test_the_plan_is_empty_at_first_and_gives_its_share(shopper: Arrive) -> None:
    one = shopper().type_granola()
    one.page.locator(".plan summary").click()
    meal = one.page.locator("#meal_carbohydrate_g")
    assert meal.input_value() == ""
    assert one.page.locator(".share:visible").count() == 2

    meal.fill("45")

    answer = one.ask_service(
        "portions",
        {"panel": PANEL, "amount": {"count": 1, "measure": "fist"}, "plan": {"meal_carbohydrate_g": 45}},
    )
    share = one.page.locator(".share:visible .value").last.inner_text()
    assert figures(share) == [answer["meal_carbohydrate_percent"]["value"]]

    meal.fill("1")
    expect(one.page.locator("#meal_carbohydrate_g-fault")).to_be_visible()
    assert figures(one.value("energy")) == [answer["nutrients"]["energy"]["value"]]


def test_dry_or_cooked_is_asked_before_there_are_numbers(shopper: Arrive) -> None:
    one = shopper(DESK).arrive().start_typing()
    one.fill({"household": "1/4", "metric": "45", "energy": "160", "fat": "0", "sodium": "0"})
    one.fill({"carbohydrate": "37"}).go_on()
    one.choose("piece")
    one.page.locator("#food").fill("white rice")
    one.page.locator("#food").blur()
    one.choose("fist")
    expect(one.page.locator("#numbers .card").first).to_be_hidden()
    expect(one.page.locator("input[name=cooked]:checked")).to_have_count(0)
    one.page.locator("input[name=cooked][value=false]").check()
    dry = float(one.value("energy"))
    one.page.locator("input[name=cooked][value=true]").check()

    assert dry == pytest.approx(640)  # a fist is a cup, four times the serving
    assert float(one.value("energy")) < dry / 2

    one.choose("container")
    expect(one.page.locator("input[name=cooked]").first).to_be_hidden()


def test_a_label_that_looks_like_a_dry_staple_is_asked_about_and_no_other(shopper: Arrive) -> None:
    page = shopper().arrive().page
    read = """async (panels) => {
      const { looksSoldDry } = await import('/modules/page/cooking.js');
      const facts = await (await fetch('/data/facts.json')).json();
      return panels.map((panel) => looksSoldDry(facts, panel));
    }"""
    names = sorted(path.stem for path in SAMPLES.glob("*.json"))
    found = page.evaluate(read, [sample(name) for name in names])

    assert {name for name, looks in zip(names, found, strict=True) if looks} == {
        "dry_spaghetti",
        "macaroni_mix",
        "rolled_oats",
        "white_rice",
    }


def test_a_count_that_cannot_be_is_told(shopper: Arrive) -> None:
    one = shopper().type_granola()
    for text in ("-1", "abc", "1e9", "9999", "0"):
        one.page.locator("#count").fill(text)
        one.page.locator("#count").press("Enter")
        expect(one.page.locator("#amount .stepper .fault")).to_contain_text("999")
        expect(one.page.locator("#count")).to_have_value("1")
    one.press("plus")

    expect(one.page.locator("#amount .stepper .fault")).to_be_hidden()


def test_beside_spanish_names_stand_those_on_the_package(shopper: Arrive) -> None:
    one = shopper(lang="es").arrive().start_typing()

    expect(one.page.locator("label[for=field-nutrients-carbohydrate]")).to_contain_text("Total Carbohydrate")


def test_parts_of_a_cup_have_their_own_buttons(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing()
    parts = one.page.locator(".fraction")
    parts.nth(3).click()
    expect(one.field("household")).to_have_value("2/3")
    one.field("household").fill("1")
    parts.nth(2).click()
    expect(one.field("household")).to_have_value("1 1/2")
    parts.nth(0).click()

    expect(one.field("household")).to_have_value("1 1/4")


def test_a_main_number_that_is_left_empty_is_asked_for_once(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing().fill(LABEL | GRANOLA | {"carbohydrate": ""}).go_on()
    expect(one.field("carbohydrate")).to_be_focused()
    expect(one.page.locator("#numbers")).to_be_hidden()
    one.go_on()

    assert one.page.locator(".card.carbohydrate .range").inner_text() == "no number given"


def test_what_is_left_of_the_plan_and_what_goes_beyond_it_is_said(shopper: Arrive) -> None:
    one = shopper().type_granola()
    one.page.locator(".plan summary").click()
    one.page.locator("#meal_carbohydrate_g").fill("60")
    told = one.page.locator(".share").last
    expect(told).to_contain_text("About 5 g of your plan are left. It may also be more")
    one.page.locator("#meal_carbohydrate_g").fill("45")

    expect(told).to_contain_text("About 11 g more than your plan. It may also be less")


def test_starting_over_asks_only_where_work_would_be_lost(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing()
    one.page.locator("#label .folded button").click()
    expect(one.page.locator("#label .choices")).to_be_visible()

    one.start_typing().fill({"fat": "8"})
    one.page.locator("#label .folded button").click()
    one.page.locator(".question [data-answer=no]").click()
    assert one.field("fat").input_value() == "8"

    one.page.locator("#label .folded button").click()
    one.page.locator(".question [data-answer=yes]").click()
    expect(one.page.locator("#label .choices")).to_be_visible()
    one.start_typing()
    assert one.field("fat").input_value() == ""


def test_correcting_the_label_changes_the_numbers_at_once_on_a_desk(shopper: Arrive) -> None:
    one = shopper(DESK).type_granola()

    one.field("energy").fill("240")

    assert figures(one.value("energy")) == [360]

    one.field("energy").fill("x")
    expect(one.page.locator("#numbers .doubt")).to_be_visible()


def test_numbers_are_read_as_people_type_them(shopper: Arrive) -> None:
    page = shopper().arrive().page
    read = "async (texts) => texts.map((await import('/modules/page/fields.js')).numberFrom)"

    found = page.evaluate(read, list(AS_TYPED))

    assert dict(zip(AS_TYPED, found, strict=True)) == AS_TYPED


def test_a_label_in_pieces_starts_with_its_own_serving(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing()
    one.page.locator("#field-household-unit").select_option("cracker")
    one.fill({"household": "9", "metric": "30", "energy": "140"}).go_on().go_on()

    assert one.page.locator("#count").input_value() == "9"
    expect(one.page.locator("#count-name")).to_have_text("crackers")
    assert figures(one.value("energy")) == [140]


def test_a_unit_that_is_not_in_the_list_can_be_typed(shopper: Arrive) -> None:
    one = shopper().arrive().start_typing()
    one.page.locator("#field-household-unit").select_option("other")
    own = one.page.locator(".unit-choice input")
    expect(own).to_be_focused()
    own.fill("mint")
    one.fill({"household": "3", "metric": "2", "energy": "10"}).go_on().go_on()

    assert one.page.locator("#count").input_value() == "3"
    expect(one.page.locator("#count-name")).to_have_text("mint")
    assert figures(one.value("energy")) == [10]
