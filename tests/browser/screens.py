"""Every screen of the page by its name, and how a shopper gets there: for the checks and for pictures."""

from __future__ import annotations

import copy
import json
import uuid
from collections.abc import Callable, Sequence
from functools import cache

from tests.browser.driving import GRANOLA, LABEL, Shopper
from tests.making import SAMPLES, sample

PHOTO = SAMPLES / "fda_sample.png"
KEEP_JS = """async ([store, names]) => {
  const { keep } = await import("/modules/phone/database.js");
  const panels = PANELS;
  for (const name of names) {
    const panel = panels[name];
    await keep(store, { name, panel, food: "", amount: { measure: "fist", count: 1, cooked: false } });
  }
}"""
KEPT = {"Oat rings": "toasted_oat_rings", "A cereal with a long name of its own": "fda_sample"}
"""Foods to keep, and the sample labels that they have."""
Screen = Callable[[Shopper], None]


def doubtful_granola() -> dict[str, object]:
    """Return the sample panel as a reader that doubts two lines would give it, and that missed one."""
    panel = copy.deepcopy(sample("fda_sample"))
    panel["nutrients"]["sodium"] |= {"value": 180.0, "state": "check"}
    panel["nutrients"]["carbohydrate"] |= {"value": None, "percent_dv": None, "state": "missing"}
    panel["serving"]["metric_amount"]["state"] = "check"
    params = {"amount": 180, "unit": "mg", "percent": 7}
    panel["doubts"] = [
        {
            "field": "nutrients.sodium",
            "code": "percent",
            "params": params,
            "reason": "180 mg does not fit the 7 % beside it.",
            "box": [63, 1120, 690, 44],
        },
        {
            "field": "serving.metric_amount",
            "code": "household",
            "params": {},
            "reason": "The serving's measure and its weight do not fit each other.",
            "box": [63, 586, 690, 46],
        },
    ]
    return panel


def label(one: Shopper) -> None:
    one.arrive()


def typing_with_faults(one: Shopper) -> None:
    one.arrive().start_typing().go_on()
    one.page.locator("#check .more > summary").first.click()


def check_with_doubts(one: Shopper) -> None:
    one.arrive().answer_photos_with(doubtful_granola())
    one.choose_photo(PHOTO)
    one.page.wait_for_selector(".look")


def reading(one: Shopper) -> None:
    one.arrive().answer_photos_with(doubtful_granola(), held=True)
    one.choose_photo(PHOTO)
    one.page.wait_for_selector(".busy:not([hidden])")


def busy(wait: int) -> Screen:
    """Return the way to a photo that a busy service asks to send again after so many seconds."""

    def go(one: Shopper) -> None:
        one.page.add_init_script("Math.random = () => 0;")  # no wait is longer than what is asked for
        one.arrive()
        error = {"error": {"code": "busy", "message": "Many photos are being read.", "fields": {}}}
        one.page.route(
            "**/api/panels/read*",
            lambda route: route.fulfill(status=503, json=error, headers={"Retry-After": str(wait)}),
        )
        one.choose_photo(PHOTO)
        one.page.wait_for_selector(".busy[data-stage=busy], .waiting-list li")
        one.troubles.clear()  # Chromium reports the 503 itself

    return go


def amount_and_numbers(one: Shopper) -> None:
    one.arrive().start_typing().fill(LABEL | GRANOLA).go_on()
    one.page.wait_for_selector("#numbers .card")
    one.choose("thumb_tip").choose("bundle").choose("fist")
    unfold(one, "#numbers")


def unfold(one: Shopper, where: str) -> None:
    """Open every fold there that can be seen."""
    for fold in one.page.locator(f"{where} details > summary:visible").all():
        fold.click()


def measures_to_choose_from(one: Shopper) -> None:
    one.type_granola().show_measures()


def food_and_plan(one: Shopper) -> None:
    one.type_granola().choose("bowl")
    one.page.locator(".plan summary").click()
    one.page.locator("#meal_carbohydrate_g").fill("45")
    one.page.locator(".asks button:last-child").click()
    one.page.locator("#food").fill("granola")
    one.page.locator("#food").blur()


def start_over_question(one: Shopper) -> None:
    one.type_granola().page.locator("#label .folded button").click()


def place(name: str, *, full: bool = False) -> Screen:
    """Return the way to a place, with two foods kept and in the meal where it is to be full."""

    def go(one: Shopper) -> None:
        one.arrive()
        if full:
            for store in ("foods", "meal"):
                one.page.evaluate(keeping(), [store, list(KEPT)])
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


def no_signal(one: Shopper) -> None:
    one.arrive().page.context.set_offline(offline=True)
    one.page.wait_for_selector("[data-notice=offline]")


def photo_waiting(one: Shopper) -> None:
    no_signal(one)
    one.choose_photo(PHOTO)
    one.page.wait_for_selector(".waiting-list li")


def nothing_shared(one: Shopper) -> None:
    one.page.goto(f"{one.address}?shared=0")
    one.page.wait_for_selector("[data-notice=shared]")


def guessed_tour(
    one: Shopper, amounts: Sequence[float] = (1, 1.5, 1.5, 2, 3), *, shown: bool = True
) -> tuple[str, str]:
    """Make the sample tour with its first food guessed by some phones; return its token and its code."""
    made = one.ask_service("tours/sample", {"lang": one.page.evaluate("navigator.language.slice(0, 2)")})
    token, code, stop = made["token"], made["code"], made["tour"]["stops"][0]["id"]
    one.ask_service(f"tours/mine/stops/{stop}/state", {"state": "open"}, token=token)
    for count in amounts:
        guess = {"phone": str(uuid.uuid4()), "count": count, "measure": "fist"}
        one.ask_service(f"join/{code}/stops/{stop}/guess", guess, "PUT")
        poured = {"phone": guess["phone"], "round": "before", "measure": "fist", "measured": 150 * count}
        one.ask_service(f"join/{code}/practice", poured, "PUT")
    if shown:
        one.ask_service(f"tours/mine/stops/{stop}/state", {"state": "revealed"}, token=token)
    return token, code


def led(view: str) -> Screen:
    """Return the way to a view of a tour with its first food shown."""

    def go(one: Shopper) -> None:
        token, _ = guessed_tour(one.arrive())
        one.page.goto(f"{one.address}#/lead/{token}")
        one.page.locator(f"[data-view={view}]").click()
        one.page.wait_for_selector(f".tour-view h3, .tour-view .{view}")
        one.page.wait_for_timeout(300)

    return go


def joined(*, shown: bool) -> Screen:
    """Return the way to a phone in a group, which has answered where the amounts are shown."""

    def go(one: Shopper) -> None:
        token, code = guessed_tour(one.arrive(), shown=False)
        one.page.goto(f"{one.address}#/join/{code}")
        one.page.locator(".guess-form .primary").wait_for()
        if not shown:
            unfold(one, "#place")
            return
        one.page.locator(".guess-form .primary").click()
        one.page.locator(".stop-state:visible").wait_for()
        stop = one.page.locator(".stop").get_attribute("data-stop")
        one.ask_service(f"tours/mine/stops/{stop}/state", {"state": "revealed"}, token=token)
        one.page.wait_for_selector(".plots")

    return go


SCREENS: dict[str, Screen] = {
    "label": label,
    "reading": reading,
    "busy": busy(30),
    "still_busy": busy(300),
    "faults": typing_with_faults,
    "doubts": check_with_doubts,
    "numbers": amount_and_numbers,
    "measures": measures_to_choose_from,
    "food_and_plan": food_and_plan,
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
    "privacy": place("privacy"),
    "delete": delete_question,
    "no_signal": no_signal,
    "waiting": photo_waiting,
    "nothing_shared": nothing_shared,
    "tours": place("tours"),
    **{f"lead_{view}": led(view) for view in ("lead", "prepare", "report", "sheet")},
    "join_open": joined(shown=False),
    "join_shown": joined(shown=True),
}


@cache
def keeping() -> str:
    """Return the script that keeps foods by their names."""
    panels = {name: sample(label) for name, label in KEPT.items()}
    return KEEP_JS.replace("PANELS", json.dumps(panels))
