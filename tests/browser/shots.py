"""Screenshots of every step, on a phone and a desk, light and dark, in English and Spanish.

Run it as ``python -m tests.browser.shots FOLDER``.
"""

from __future__ import annotations

import copy
import itertools
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.driving import GRANOLA, LABEL, SIZES, Shopper, new_context, open_chromium, running_service
from tests.making import SAMPLES, sample

SCHEMES = ("light", "dark")
LANGUAGES = ("en", "es")


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


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with running_service() as address, sync_playwright() as playwright:
        browser = open_chromium(playwright)
        for (size, pixels), scheme, lang in itertools.product(SIZES.items(), SCHEMES, LANGUAGES):
            context = new_context(browser, pixels, lang, color_scheme=scheme, device_scale_factor=2)
            shopper = Shopper(context.new_page(), address)
            walk(shopper, partial(save, shopper, folder, f"{size}-{scheme}-{lang}"))
            context.close()
            if shopper.troubles:
                sys.exit(f"{size}-{scheme}-{lang}: {shopper.troubles}")
        browser.close()


def save(shopper: Shopper, folder: Path, name: str, step: str) -> None:
    """Save what is in sight, and the whole page."""
    shopper.page.wait_for_timeout(500)
    shopper.page.screenshot(path=folder / f"{name}-{step}.png")
    shopper.page.screenshot(path=folder / f"{name}-{step}-whole.png", full_page=True)


def walk(shopper: Shopper, shot: Callable[[str], None]) -> None:
    """Go through every step and take a picture of each."""
    page = shopper.arrive().page
    shot("1-label")
    shopper.start_typing().go_on()
    shot("2-faults")
    page.locator("#check .more > summary").first.click()
    page.locator("#check form > .quiet").click()
    shopper.fill(LABEL | GRANOLA | {"fiber": "1"})
    shot("2-typed")
    shopper.go_on()
    shopper.press("plus", 2)
    shot("3-numbers")
    page.locator("details:has(.working) > summary").click()
    shopper.choose("thumb_tip").choose("bundle")
    shot("4-bundle")
    page.locator(".plan summary").click()
    page.locator("#meal_carbohydrate_g").fill("45")
    page.locator(".asks button:last-child").click()
    page.locator("#food").fill("spaghetti")
    page.locator("#food").blur()
    shot("5-food-and-plan")
    page.locator("#label .folded button").click()
    shot("6-start-over")
    page.locator(".question .primary").click()
    page.wait_for_selector("body:not(.has-draft)")
    shopper.answer_photos_with(doubtful_granola(), held=True)
    shopper.choose_photo(SAMPLES / "fda_sample.png")
    page.wait_for_selector(".busy:not([hidden])")
    page.wait_for_timeout(1200)
    shot("7-reading")
    shopper.let_go()
    page.wait_for_selector(".look")
    shot("8-doubts")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
