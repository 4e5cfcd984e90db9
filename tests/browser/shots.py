"""Pictures of every screen, on a phone and a desk, light and dark, in English and Spanish.

Run it as ``python -m tests.browser.shots FOLDER [SCREEN ...]``; without names it takes all of them.
"""

from __future__ import annotations

import itertools
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.driving import SIZES, Shopper, new_context, open_chromium, running_service
from tests.browser.screens import SCREENS

SCHEMES = ("light", "dark")
LANGUAGES = ("en", "es")


def main(folder: Path, wanted: list[str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with running_service() as address, sync_playwright() as playwright:
        browser = open_chromium(playwright)
        for (size, pixels), scheme, lang in itertools.product(SIZES.items(), SCHEMES, LANGUAGES):
            for name in wanted or SCREENS:
                context = new_context(browser, pixels, lang, color_scheme=scheme, reduced_motion="reduce")
                shopper = Shopper(context.new_page(), address)
                SCREENS[name](shopper)
                save(shopper, folder / f"{name}-{size}-{scheme}-{lang}")
                context.close()
                if shopper.troubles:
                    sys.exit(f"{name}-{size}-{scheme}-{lang}: {shopper.troubles}")
        browser.close()


def save(shopper: Shopper, path: Path) -> None:
    """Save what is in sight, and the whole page."""
    shopper.page.wait_for_timeout(300)
    shopper.page.screenshot(path=path.with_suffix(".png"))
    shopper.page.screenshot(path=path.with_name(f"{path.name}-whole.png"), full_page=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
