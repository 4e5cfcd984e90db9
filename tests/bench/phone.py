"""The page on a slow phone, ``python -m tests.bench.phone``: what a shopper waits for, how often they tap.

Chromium, its processor slowed four times, and for the first visit its network held to a slow 4G (150 ms,
1.6 Mbit/s), as the mobile setting of page audits has it.

- the first screen: when its largest words stand there, and how far things moved meanwhile;
- a clear photo to the real numbers: taps, and seconds from the first tap, the service reading the photo;
- the stepper: the slowest and the middle answer to a tap, until it is painted, slowed and not.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from statistics import median

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.driving import PHONE, Shopper, new_context, open_chromium, running_service
from tests.making import SAMPLES

PHOTO = SAMPLES / "fda_sample.png"
SLOWER = 4
_SLOW_4G = {"offline": False, "latency": 150, "downloadThroughput": 204_800, "uploadThroughput": 96_000}
_PRESSES = 30
_WATCH = """() => {
  window.seen = { largest: 0, moved: 0, clicks: 0, answers: [] };
  addEventListener("click", () => { seen.clicks += 1; }, { capture: true });
  const watch = (type, take, more = {}) => new PerformanceObserver((list) =>
    list.getEntries().forEach(take)).observe({ type, buffered: true, ...more });
  watch("largest-contentful-paint", (entry) => { seen.largest = entry.startTime; });
  watch("layout-shift", (entry) => { if (!entry.hadRecentInput) seen.moved += entry.value; });
  watch("event", ({ name, duration }) => { if (name === "click") seen.answers.push(duration); },
    { durationThreshold: 16 });
}"""


def main() -> None:
    """Print the three measurements."""
    with running_service() as address, sync_playwright() as playwright:
        browser = open_chromium(playwright)
        with visit(browser, slow_network=True) as page:
            page.goto(address)
            page.wait_for_selector("#label-title")
            page.wait_for_timeout(1500)
            seen = page.evaluate("seen")
            told(
                f"first visit: largest words after {seen['largest'] / 1000:.2f} s, moved {seen['moved']:.3f}"
            )
        for lang in ("en", "es"):
            with visit(browser, lang=lang) as page:
                taps, seconds = photo_to_numbers(Shopper(page, address))
                told(f"photo to numbers, {lang}: {taps} taps, {seconds:.1f} s")
        for slower in (1, SLOWER):
            with visit(browser, slower=slower) as page:
                answers = stepper(Shopper(page, address))
            middle = median(answers)
            told(f"stepper, slowed {slower} times: {max(answers):.0f} ms, in the middle {middle:.0f} ms")
        browser.close()


@contextmanager
def visit(
    browser: Browser, lang: str = "en", slower: int = SLOWER, *, slow_network: bool = False
) -> Iterator[Page]:
    """Yield a page on a slow phone, watched from its start."""
    context = new_context(browser, PHONE, lang)
    context.add_init_script(f"({_WATCH})()")
    page = context.new_page()
    session = context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    if slow_network:
        session.send("Network.enable")
        session.send("Network.emulateNetworkConditions", _SLOW_4G)
    yield page
    context.close()


def photo_to_numbers(shopper: Shopper) -> tuple[int, float]:
    """Return the taps and the seconds from the open app to the numbers of a clear label.

    Choosing the photo adds two taps: the button, and the photo in the phone's own chooser.
    """
    page = shopper.arrive().page
    start = time.perf_counter()
    shopper.choose_photo(PHOTO)
    page.locator("#check .next").tap()
    page.wait_for_selector("#numbers .card .value")
    seconds = time.perf_counter() - start
    return 2 + int(page.evaluate("seen.clicks")), seconds


def stepper(shopper: Shopper) -> list[float]:
    """Return how long each tap on the stepper took until its answer was painted, in milliseconds."""
    page = shopper.type_granola().page
    page.wait_for_timeout(1000)
    page.evaluate("seen.answers = []")
    for sign in ("plus", "minus") * (_PRESSES // 2):
        page.locator(f'.press:has(use[href="#drawing-{sign}"])').tap()
        page.wait_for_timeout(120)
    # What took less than 16 ms is not told by the browser.
    seen: list[float] = page.evaluate("seen.answers")
    return [*seen, *[16.0] * (_PRESSES - len(seen))]


def told(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
