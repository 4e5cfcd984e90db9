"""What every screen must be: readable, large enough to press, named, calm, and never wider than the phone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest

from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, GRANOLA, LABEL, PHONE, SMALL, Shopper
from tests.browser.screens import doubtful_granola
from tests.making import SAMPLES

pytestmark = pytest.mark.browser

COLOURS = (
    "ground",
    "quiet",
    "marked",
    "ink",
    "soft",
    "accent",
    "on-accent",
    "edge",
    "fault",
    "mark",
    "on-mark",
)
TEXT, NUMBERS, PARTS = 4.5, 7.0, 3.0
PAIRS = [
    *[("ink", ground, NUMBERS) for ground in ("ground", "quiet", "marked")],
    *[("soft", ground, TEXT) for ground in ("ground", "quiet")],
    *[("accent", ground, TEXT) for ground in ("ground", "quiet")],
    *[("fault", ground, TEXT) for ground in ("ground", "quiet")],
    ("on-accent", "accent", TEXT),
    ("on-mark", "mark", TEXT),
    ("edge", "ground", PARTS),
]
"""WCAG 2.2: 1.4.3 for text, 1.4.6 for the numbers, 1.4.11 for the edges of fields and the focus ring."""

PRESSED_JS = """() => [...document.querySelectorAll('a[href], button, input, select, summary, label.choice')]
  .filter((one) => one.checkVisibility({ opacityProperty: false }) && !one.matches('.skip, .file'))"""
SMALL_JS = (
    PRESSED_JS
    + """
  .map((one) => (one.matches('[type=checkbox], [type=radio]') ? one.closest('label') : one))
  .map((one) => [one.outerHTML.slice(0, 90), one.getBoundingClientRect()])
  .filter(([, box]) => box.width > 0 && Math.min(box.width, box.height) < 43.5)
  .map(([html, box]) => `${html} ${box.width}x${box.height}`)"""
)
"""What is smaller than 44 CSS pixels (WCAG 2.5.5); half a pixel is left to rounding."""

NAMELESS_JS = (
    PRESSED_JS
    + """
  .filter((one) => !one.ariaLabel && !one.textContent.trim())
  .filter((one) => ![...(one.labels ?? [])].some((label) => label.textContent.trim()))
  .map((one) => one.outerHTML.slice(0, 120))"""
)
TOO_WIDE_JS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
LEVELS_JS = """() => [...document.querySelectorAll('h1, h2, h3, h4')]
  .filter((one) => one.checkVisibility()).map((one) => Number(one.tagName[1]))"""


def screens(one: Shopper) -> Iterator[str]:
    """Bring the shopper to each screen in turn."""
    page = one.arrive().page
    yield "label"
    one.start_typing().fill({"metric": "-1"}).go_on()
    yield "faults"
    one.page.locator("#check details.more > summary").first.click()
    one.fill(LABEL | GRANOLA | {"fiber": "1"}).go_on()
    yield "numbers"
    for summary in page.locator("#numbers summary:visible").all():
        summary.click()
    page.locator(".asks button").last.click()
    page.locator("#food").fill("spaghetti")
    page.locator("#food").blur()
    one.choose("bundle")
    if not page.locator("#measures").is_visible():
        page.locator("[aria-controls=measures]").click()
    yield "everything open"
    page.locator("#label .folded button").click()
    yield "question"
    page.locator(".question [data-answer=yes]").click()
    page.wait_for_selector("body:not(.has-draft)")
    one.answer_photos_with(doubtful_granola(), held=True).choose_photo(SAMPLES / "fda_sample.png")
    page.wait_for_selector(".busy:not([hidden])")
    yield "reading"
    one.let_go()
    page.wait_for_selector(".look")
    yield "doubts"


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("size", [SMALL, PHONE, DESK], ids=["320", "phone", "desk"])
def test_each_screen_fits_its_window_and_is_large_enough_named_and_in_order(
    shopper: Arrive, size: tuple[int, int], lang: str
) -> None:
    one = shopper(size, lang)

    for name in screens(one):
        assert one.page.evaluate(TOO_WIDE_JS) == 0, name
        assert one.page.evaluate(SMALL_JS) == [], name
        assert one.page.evaluate(NAMELESS_JS) == [], name
        levels = one.page.evaluate(LEVELS_JS)
        assert levels[0] == 1, name
        assert all(after - before <= 1 for before, after in pairwise(levels)), (name, levels)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_colours_stand_out_from_their_ground(shopper: Arrive, scheme: str) -> None:
    page = shopper(color_scheme=scheme).arrive().page
    style = page.evaluate_handle("getComputedStyle(document.documentElement)")
    read = "(style, name) => style.getPropertyValue(name)"
    colours = {name: style.evaluate(read, f"--{name}") for name in COLOURS}

    for ink, ground, least in PAIRS:
        assert contrast(colours[ink], colours[ground]) >= least, (ink, ground)


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours "#rrggbb" (WCAG 2.2, relative luminance)."""
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    parts = [int(colour.strip()[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_nothing_moves_for_who_asks_for_calm(shopper: Arrive) -> None:
    one = shopper(reduced_motion="reduce").arrive().answer_photos_with(doubtful_granola(), held=True)
    one.choose_photo(SAMPLES / "fda_sample.png")
    one.page.wait_for_selector(".busy:not([hidden])")

    assert one.page.evaluate("document.getAnimations().length") == 0


def test_the_page_asks_only_its_own_service(shopper: Arrive) -> None:
    one = shopper()
    asked: list[str] = []
    one.page.on("request", lambda request: asked.append(request.url))

    one.type_granola()

    strangers = [url for url in asked if not url.startswith((one.address, "blob:", "data:"))]
    assert strangers == []


def test_the_stepper_is_within_reach_of_a_thumb(shopper: Arrive) -> None:
    one = shopper().type_granola()
    box = one.page.locator(".press").last.bounding_box()

    assert box is not None
    assert box["height"] >= 56
    assert box["y"] + box["height"] > PHONE[1] - 80, "just above the tabs"
    energy = one.page.locator(".card.energy .value").bounding_box()
    assert energy is not None
    assert 0 < energy["y"] < box["y"], "the numbers stand in sight above it"


def test_in_a_low_window_the_stepper_covers_nothing(shopper: Arrive) -> None:
    one = shopper((640, 320)).type_granola()

    position = one.page.locator(".stepper").evaluate("(one) => getComputedStyle(one).position")

    assert position == "static"


def test_the_bundle_is_drawn_at_the_size_that_the_coin_sets(shopper: Arrive) -> None:
    one = shopper().type_granola().choose("bundle")
    slider = one.page.locator("#ring")

    slider.fill("6")

    box = one.page.locator(".ring").bounding_box()
    assert box is not None
    assert box["width"] == pytest.approx(18 * 6, abs=1)
    one.page.reload()
    one.page.wait_for_selector(".ring")
    assert one.page.locator("#ring").input_value() == "6"
