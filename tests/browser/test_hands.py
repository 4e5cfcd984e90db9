"""My hands: the fist measured in each of four ways, what follows from it, and what it does to the numbers."""

from __future__ import annotations

import json
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, PHONE, Shopper
from tests.making import sample

pytestmark = pytest.mark.browser

SIZES = [pytest.param(PHONE, id="phone"), pytest.param(DESK, id="desk")]
CARD_MM = 85.6


def at_hands(one: Shopper) -> Shopper:
    one.page.goto(f"{one.address}#/hands")
    one.page.wait_for_selector("#place .hands")
    return one


def kept(one: Shopper) -> dict[str, float]:
    """Return the numbers of the hands as the phone keeps them."""
    state: dict[str, Any] = json.loads(one.page.evaluate("localStorage.getItem('shelfcheck.page')") or "{}")
    hands: dict[str, float] = state.get("hands", {})
    return hands


def measure(one: Shopper, way: str, *texts: str, unit: str | None = None) -> Shopper:
    """Measure the fist in a way, typing each text in its input."""
    one.page.locator(f"[data-way={way}]").click()
    panel = one.page.locator("#hand-way")
    if unit:
        panel.locator("select").select_option(unit)
    for place, text in enumerate(texts):
        panel.locator("input[type=text]").nth(place).fill(text)
    panel.locator("form .primary").click()
    return one


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("way", "texts", "unit", "hands"),
    [
        ("heap", ["1 1/4"], None, {"fist_ml": 300}),
        ("heap", ["280"], "ml", {"fist_ml": 280}),
        ("water", ["500", "950"], None, {"fist_water_ml": 450}),
        ("water", ["2", "3 1/2"], "cup", {"fist_water_ml": 360}),
        ("ruler", ["3 1/2"], None, {"hand_breadth_mm": 88.9}),
        ("ruler", ["78"], "mm", {"hand_breadth_mm": 78}),
    ],
)
def test_a_fist_is_measured_in_the_unit_at_hand(
    shopper: Arrive,
    size: tuple[int, int],
    way: str,
    texts: list[str],
    unit: str | None,
    hands: dict[str, float],
) -> None:
    one = measure(at_hands(shopper(size)), way, *texts, unit=unit)

    assert kept(one) == pytest.approx(hands)
    expect(one.page.locator(".fist-everywhere")).to_be_visible()
    expect(one.page.locator(".fist-head")).to_be_focused()
    expect(one.page.locator("#hand-way")).to_be_hidden()


def test_the_card_is_as_wide_as_the_knuckles_at_a_hundred_percent(shopper: Arrive) -> None:
    one = at_hands(shopper())
    one.page.locator("[data-way=card]").click()
    slider = one.page.locator("#card-percent")
    assert slider.input_value() == "97"  # a usual hand: 83.25 mm
    one.page.locator('.card-slide .press:has(use[href="#drawing-plus"])').click()
    slider.press("ArrowRight")
    slider.press("ArrowRight")
    hand, card = (
        one.page.locator(f".card-scale {name}").bounding_box() for name in (".card-hand", ".card-card")
    )

    assert hand is not None
    assert card is not None
    assert hand["x"] + 0.2 * hand["width"] == pytest.approx(card["x"], abs=1)
    assert 0.7 * hand["width"] == pytest.approx(card["width"], abs=1)
    assert card["width"] / card["height"] == pytest.approx(85.60 / 53.98, rel=0.01)
    one.page.locator("#hand-way .primary").click()
    assert kept(one) == pytest.approx({"hand_breadth_mm": CARD_MM})


def test_the_last_way_is_the_one_that_counts(shopper: Arrive) -> None:
    one = measure(at_hands(shopper()), "heap", "1 1/4")
    measure(one, "ruler", "80", unit="mm")
    assert kept(one) == {"hand_breadth_mm": 80}
    measure(one, "heap", "1")

    assert kept(one) == {"fist_ml": 240}


@pytest.mark.parametrize(
    ("way", "texts", "says"),
    [
        ("heap", ["9"], ["0.3", "2.9"]),
        ("heap", [""], ["0.5"]),
        ("heap", ["big"], ["0.5"]),
        ("water", ["900", "500"], ["134", "1175"]),
        ("ruler", ["20"], ["2.3", "4.7"]),
    ],
)
def test_a_size_that_no_hand_has_is_told_in_the_unit_that_was_typed(
    shopper: Arrive, way: str, texts: list[str], says: list[str]
) -> None:
    one = measure(at_hands(shopper()), way, *texts)
    fault = one.page.locator("#hand-way .fault")

    for part in says:
        expect(fault).to_contain_text(part)
    assert kept(one) == {}
    expect(one.page.locator("#hand-way input").last).to_be_focused()
    expect(one.page.locator("#hand-way input").last).to_have_attribute("aria-invalid", "true")


def test_every_other_measure_follows_and_is_surer_than_before(shopper: Arrive) -> None:
    one = at_hands(shopper())
    rows = one.page.locator("[data-hand]:not([data-hand=bowl])")
    assert rows.count() == 7
    assert one.page.locator(".hand-size.own").count() == 0
    measure(one, "heap", "1 1/4")

    assert one.page.locator(".hand-size.own").count() == 7
    thumb = one.page.locator("[data-hand=thumb] .hand-size.own")
    expect(thumb).to_contain_text("1 1/4")
    expect(thumb).to_contain_text("19 mL")
    usual = one.page.locator("[data-hand=thumb] .hand-size.usual")
    assert "third" in usual.inner_text()
    assert "fifth" in thumb.inner_text()
    assert "sixth" in one.page.locator(".fist-words").inner_text()


def test_a_measure_can_be_measured_by_itself_and_let_go_again(shopper: Arrive) -> None:
    one = measure(at_hands(shopper()), "heap", "1 1/4")
    row = one.page.locator("[data-hand=thumb]")
    row.locator("summary").click()
    row.locator("input").fill("2")
    row.locator("form .primary").click()

    assert kept(one) == {"fist_ml": 300, "thumb_ml": 30}
    expect(row.locator("summary")).to_be_focused()
    expect(row.locator(".hand-size.own")).to_contain_text("30 mL")
    row.locator(":scope > div button").click()
    assert kept(one) == {"fist_ml": 300}
    expect(row.locator(".hand-size.own")).to_contain_text("19 mL")


def weigh_a_palmful(one: Shopper) -> None:
    """Type 1 1/2 in the unit that is asked for first."""
    row = one.page.locator("[data-hand=palmful]")
    row.locator("summary").click()
    row.locator("input").fill("1 1/2")
    row.locator("form .primary").click()


def test_what_is_weighed_is_asked_for_in_ounces_or_grams(shopper: Arrive) -> None:
    one = at_hands(shopper())
    weigh_a_palmful(one)

    assert kept(one) == {"palmful_g": 42}
    expect(one.page.locator(".fist-everywhere")).to_be_hidden()


def test_the_usual_fist_comes_back_and_leaves_what_was_measured_by_itself(shopper: Arrive) -> None:
    one = at_hands(shopper())
    weigh_a_palmful(one)
    measure(one, "heap", "1 1/4")
    one.page.locator(".fist-now button").click()

    assert kept(one) == {"palmful_g": 42}
    expect(one.page.locator(".fist-size")).to_contain_text("1 cup")


def test_the_numbers_use_the_hand_as_the_service_does(shopper: Arrive) -> None:
    one = shopper().type_granola()
    before = one.value("energy")
    measure(at_hands(one), "water", "500", "950")
    one.page.goto(f"{one.address}#/label")
    one.page.wait_for_selector("#numbers .card")
    body = {
        "panel": sample("fda_sample"),
        "amount": {"count": 1, "measure": "fist"},
        "hands": {"fist_water_ml": 450},
    }
    energy = one.ask_service("portions", body)["nutrients"]["energy"]

    assert one.value("energy") != before
    assert float(one.value("energy")) == pytest.approx(energy["value"], abs=0.5)


@pytest.mark.parametrize("lang", ["en", "es"])
def test_the_hand_outlives_a_reload_and_a_change_of_language(shopper: Arrive, lang: str) -> None:
    one = measure(at_hands(shopper(lang=lang)), "heap", "1 1/4")
    one.page.locator("[data-way=ruler]").click()
    other = {"en": "es", "es": "en"}[lang]
    one.page.locator(f"#speak-{other}").click()
    expect(one.page.locator("html")).to_have_attribute("lang", other)
    expect(one.page.locator("[data-way=ruler]")).to_have_attribute("aria-expanded", "true")
    one.page.reload()
    one.page.wait_for_selector("#place .hands")

    assert kept(one) == {"fist_ml": 300}
    expect(one.page.locator(".fist-size")).to_contain_text("1 1/4")


def test_by_keyboard_alone(shopper: Arrive) -> None:
    one = at_hands(shopper(DESK))
    one.page.locator("[data-way=heap]").focus()
    one.page.keyboard.press("Enter")
    for _ in range(4):  # past the other three ways, to the number
        one.page.keyboard.press("Tab")
    one.page.keyboard.type("1 1/4")
    one.page.keyboard.press("Enter")

    assert kept(one) == {"fist_ml": 300}


def test_the_amount_tells_what_a_measured_hand_holds(shopper: Arrive) -> None:
    one = shopper()
    one.arrive()
    one.page.evaluate("localStorage.setItem('shelfcheck.page', JSON.stringify({hands: {fist_ml: 360}}))")
    one.page.reload()
    one.type_granola()

    expect(one.page.locator(".chosen .small")).to_contain_text("1 1/2")
    assert one.value("energy") == "518"  # 360 mL of 160 mL a serving: 2.25 x 230


@pytest.mark.parametrize("size", SIZES)
def test_the_bowl_that_a_person_really_uses_is_measured_once_and_then_counts(
    shopper: Arrive, size: tuple[int, int]
) -> None:
    one = shopper(size).type_granola().choose("bowl")
    assert one.value("energy") == "518"  # 1 1/2 cups of what serves 2/3 cup
    one.page.locator(".chosen a").click()
    own = one.page.locator("[data-hand=bowl]")
    expect(own.locator("input")).to_be_focused()
    own.locator("input").fill("3000")
    own.locator("select").select_option("ml")
    own.locator("form .primary").click()
    expect(own.locator(".fault")).to_contain_text("2400")
    own.locator("input").fill("2 1/2")
    own.locator("select").select_option("cup")
    own.locator("form .primary").click()

    assert kept(one) == {"bowl_ml": 600}
    expect(own.locator(".own")).to_contain_text("a tenth")
    one.page.locator(".way-back").click()
    expect(one.page.locator(".card.energy .value")).to_have_text("863")
    expect(one.page.locator(".chosen p.small")).to_contain_text("Your own bowl: about 2 1/2 cups")
    at_hands(one).page.locator("[data-hand=bowl] .quiet").click()
    assert kept(one) == {}
